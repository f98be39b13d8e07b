"""What is told about a fit."""

from wearcast.reports.doubts import doubts
from wearcast.wear.diagnostics.words import tell_unsettled


def test_a_fit_that_did_not_settle_stands_before_any_figure_that_it_gives():
    told = [tell_unsettled("gum", blended=True)]
    assert doubts(told) == [
        "The fit of gum did not settle: no figure that rests on it can be trusted. Look at its"
        " spells; more worn ends help."
    ]
    assert doubts([tell_unsettled("gum", blended=False)]) == []
