"""The settings sheet: what is left out, what is told, and what holds."""

import pytest

from tests.logbook.rules.test_names import drafts
from wearcast.logbook.rules.options import check_settings, plain_settings, settings_of


def settings(*rows):
    return drafts(settings=[{"setting": name, "value": value} for name, value in rows])["settings"]


def said(*rows, order=None):
    found = check_settings(settings(*rows), order)
    return [(list(one.rows), one.column, one.severity, one.wrong) for one in found]


@pytest.mark.parametrize(
    ("name", "value", "told"),
    [
        ("review_weeks", "13", []),
        ("review_weeks", " 13 ", []),
        ("review_weeks", "13 weeks", [([0], "value", "repaired", "read as 13")]),
        ("service_level", "95 %", [([0], "value", "repaired", "read as 0.95")]),
        ("fit", "Data_Only", []),
        ("currency", "EUR", []),
        ("as_of", "3 Feb 2026", [([0], "value", "repaired", "read as 2026-02-03")]),
        ("fit", "bayes", [
            ([0], "value", "set aside", "fit must be blended or data only; blended is used")]),
        ("labour_rate", "much", [
            ([0], "value", "set aside",
             "labour_rate must be a number from 0 to 100,000; nothing is used")]),
        ("servce_level", "95", [([0], "setting", "set aside", "no setting of that name")]),
    ],
)  # fmt: skip
def test_what_a_setting_is_read_as_is_told_where_it_is_not_what_was_written(name, value, told):
    assert said((name, value)) == told


def test_the_setting_likely_meant_is_asked_for_fifty_times():
    found = check_settings(settings(*(("servce_level", str(at)) for at in range(51))), None)
    cures = [one.remedy for one in found]
    assert cures == ["Did you mean service_level? Correct the name"] * 50 + ["Correct the name"]


def test_every_bad_setting_is_told_and_no_good_one():
    rows = [("fit", "x"), ("currency", "EUR"), ("nothing like it", "y"), ("pace", "z")]
    assert [rows for rows, _, _, _ in said(*rows)] == [[0], [2], [3]]


def test_settings_hold_in_their_plain_form_and_by_name():
    draft = settings(("Review Weeks", "8 weeks"), ("as_of", "03/02/2026"), ("nonsense", "1"))
    assert settings_of(draft, "month first") == {"as_of": "2026-03-02", "review_weeks": "8"}
    assert list(settings_of(draft, "day first")) == ["as_of", "review_weeks"]


def test_names_of_settings_come_in_our_spelling():
    draft = settings(("Review Weeks:", "8"), ("nonsense", "1"))
    assert plain_settings(draft.frame)["setting"].tolist() == ["review_weeks", "nonsense"]


@pytest.mark.parametrize(
    ("name", "cure"),
    [
        ("lead time", "Did you mean lead_days? Correct the name"),
        ("labour cost", "Did you mean labour_rate? Correct the name"),
        ("nothing like it", "Correct the name"),
    ],
)
def test_a_setting_is_known_by_its_first_word(name, cure):
    (found,) = check_settings(settings((name, "1")), None)
    assert found.remedy == cure
