"""What a setting's text is read as, and what is wrong with one."""

import pytest

from tests.logbook.rules.test_names import drafts
from wearcast.logbook.rules.options import (
    check_settings,
    setting_named,
    setting_value,
    settings_of,
)
from wearcast.logbook.schema.tables import Setting


def setting(kind, low=None, high=None, name="it", choices=()):
    return Setting(name, "something", "", kind, low, high, choices)


SHARE, WEEKS = setting("number", 0.5, 0.999), setting("number", 1, 104, "review_weeks")


PAY, FREE, SEED = (
    setting("number", 0, 1e5, "labour_rate"),
    setting("number"),
    setting("count", 0, 2000),
)
PACE = setting("choice", choices=("machine", "off"))


@pytest.mark.parametrize(
    ("kind", "texts", "plain"),
    [
        (SHARE, ["0.9", " 0.9 ", "0,9", "90", "90 %", "90%"], "0.9"),
        (SHARE, ["0.999", "99.9"], "0.999"),
        (SHARE, ["9e-1"], "9e-1"),
        (SHARE, ["+.9"], "+.9"),
        (SHARE, ["0.5", "50"], "0.5"),
        (setting("number", 0, 1), ["95"], "0.95"),
        (WEEKS, ["8", "8 weeks", "8weeks"], "8"),
        (WEEKS, ["1"], "1"),
        (WEEKS, ["104"], "104"),
        (setting("number", 0.1, 20, "speed_km_h"), ["4.5 km/h"], "4.5"),
        (SEED, ["7"], "7"),
        (SEED, ["7.0"], "7.0"),
        (FREE, ["-1e9"], "-1e9"),
        # A comma before three digits, where only one reading may be.
        (setting("number", 0, 730), ["1,204"], "1.204"),
        (SEED, ["1,204"], "1204"),
        (PAY, ["30", "€30", "30 EUR", "$ 30", "30 £"], "30"),
        (PACE, [" Off "], "off"),
        (setting("text"), [" EUR "], "EUR"),
        # Nothing that steers a terminal or turns a line.
        (setting("text"), ["\x1b[31m\u202eEUR\u2069"], "[31mEUR"),
    ],
)
def test_a_setting_is_read_in_its_plain_form(kind, texts, plain):
    assert [setting_value(kind, text) for text in texts] == [(plain, "")] * len(texts)


NO_SHARE = ["0.49", "0.9991", "49", "100", "", "much", "nan", "inf", "0.9 0.8", "0,9,5", "1,000.5"]


@pytest.mark.parametrize(
    ("kind", "texts", "wrong"),
    [
        (SHARE, NO_SHARE, "it must be a number from 0.5 to 0.999"),
        # 95 % of a week is less than one.
        (WEEKS, ["0.9", "104.5", "8 days", "95 %"],
         "review_weeks must be a number from 1 to 104"),
        # Only what cannot be more than one takes a bare percentage.
        (setting("number", 0, 2), ["95"], "it must be a number from 0 to 2"),
        (setting("number", 0, 1e5), ["30 EUR"], "it must be a number from 0 to 100,000"),
        (SEED, ["7.5"], "it must be a whole number from 0 to 2,000"),
        (FREE, ["1e999"], "it must be a number from -inf to inf"),
        # Never a thousand times too much, nor a thousandth.
        (setting("number", 0, 2000), ["1,204"], "it could be 1.204 or 1204"),
        (PACE, ["on"], "it must be machine or off"),
    ],
)  # fmt: skip
def test_what_a_setting_cannot_be_is_wrong(kind, texts, wrong):
    assert [setting_value(kind, text) for text in texts] == [("", wrong)] * len(texts)


DATE, DATES = setting("date"), setting("dates")


@pytest.mark.parametrize(
    ("kind", "text", "plain"),
    [
        (DATE, "2026-12-25", "2026-12-25"),
        (DATE, "25 Dec 2026", "2026-12-25"),
        (DATES, "2026-12-25", "2026-12-25"),
        (DATES, "2026-12-25, 2027-01-01;2027-01-06", "2026-12-25 2027-01-01 2027-01-06"),
        (DATES, " 2026-12-25  ", "2026-12-25"),
        (DATES, "2026-12-25, 2027-01-01,", "2026-12-25 2027-01-01"),
    ],
)
def test_days_are_read_as_year_month_day(kind, text, plain):
    assert setting_value(kind, text) == (plain, "")


@pytest.mark.parametrize(
    ("kind", "text", "words"),
    [
        (DATE, "2026-12-25 2027-01-01", "a date"),
        (DATE, "", "a date"),
        (DATE, "03/02/2026", "a date"),
        (DATES, "", "dates with blanks between"),
        (DATES, "2026-12-25 soon", "dates with blanks between"),
    ],
)
def test_what_is_no_day_is_wrong(kind, text, words):
    assert setting_value(kind, text) == ("", f"it must be {words}, each as year-month-day")


def test_a_day_with_two_readings_is_read_in_the_order_of_the_logbook():
    assert setting_value(DATE, "03/02/2026", "day first") == ("2026-02-03", "")
    assert setting_value(DATE, "03/02/2026", "month first") == ("2026-03-02", "")
    # One with a single reading is read in any.
    assert setting_value(DATE, "25/12/2026", "month first") == ("2026-12-25", "")


def test_a_setting_is_known_in_any_spelling():
    assert setting_named("Service Level").name == "service_level"
    assert setting_named("review-weeks:").name == "review_weeks"
    assert setting_named("service levels") is None


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


def test_settings_hold_in_their_plain_form_and_by_name():
    draft = settings(("Review Weeks", "8 weeks"), ("as_of", "03/02/2026"), ("nonsense", "1"))
    assert settings_of(draft, "month first") == {"as_of": "2026-03-02", "review_weeks": "8"}
    assert list(settings_of(draft, "day first")) == ["as_of", "review_weeks"]


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
