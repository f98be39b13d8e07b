"""What is told about a fit."""

import pytest

from wearcast.reports.doubts import doubts
from wearcast.told import GRAVE
from wearcast.wear.class_spells import no_spells
from wearcast.wear.diagnostics.words import tell_few, tell_unsettled


def test_a_fit_that_did_not_settle_stands_before_any_figure_that_it_gives():
    told = [tell_unsettled("gum", blended=True)]
    assert doubts(told) == [
        "The fit of gum did not settle: no figure that rests on it can be trusted. Look at its"
        " spells; more worn ends help."
    ]
    assert doubts([tell_unsettled("gum", blended=False)]) == []


@pytest.mark.parametrize(("expected", "grave"), [(40.0, True), (20.0, False)])
def test_a_class_that_nobody_ever_changed_is_doubted_where_it_should_have_been(expected, grave):
    (told,) = tell_few("pad", no_spells(1), expected)
    assert "a typical life is forecast with, not a measured one" in told.wrong
    assert (told.weight >= GRAVE) == grave
