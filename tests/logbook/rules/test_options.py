"""What a setting's text is read as, and what is wrong with one."""

import pytest

from tests.logbook.rules.test_names import drafts
from wearcast.logbook.rules.options import (
    check_settings,
    plain_settings,
    setting_named,
    setting_value,
    settings_of,
)
from wearcast.logbook.schema.tables import Setting


def setting(kind, low=None, high=None, name="it", choices=()):
    return Setting(name, "something", "", kind, low, high, choices)


SHARE, WEEKS = setting("number", 0.5, 0.999), setting("number", 1, 104, "review_weeks")


@pytest.mark.parametrize(
    ("text", "plain"),
    [
        ("0.9", "0.9"), (" 0.9 ", "0.9"), ("0,9", "0.9"), ("90", "0.9"), ("90 %", "0.9"),
        ("90%", "0.9"), ("0.5", "0.5"), ("0.999", "0.999"), ("9e-1", "9e-1"), ("+.9", "+.9"),
        ("99.9", "0.999"), ("50", "0.5"),
    ],
)  # fmt: skip
def test_a_share_may_be_written_as_a_number_or_a_percentage(text, plain):
    assert setting_value(SHARE, text) == (plain, "")


@pytest.mark.parametrize(
    "text", ["0.49", "0.9991", "49", "100", "", "much", "nan", "inf", "0.9 0.8", "0,9,5", "1,000.5"]
)
def test_what_is_no_share_in_its_limits_is_wrong(text):
    assert setting_value(SHARE, text) == ("", "it must be a number from 0.5 to 0.999")


@pytest.mark.parametrize(
    ("text", "plain"),
    [("1", "1"), ("104", "104"), ("8 weeks", "8"), ("8weeks", "8"), ("8,5", "8.5")],
)
def test_a_number_may_bear_the_unit_of_its_name(text, plain):
    assert setting_value(WEEKS, text) == (plain, "")


@pytest.mark.parametrize("text", ["0.9", "104.5", "8 days", "95 %"])
def test_a_number_outside_its_limits_or_of_another_unit_is_wrong(text):
    # 95 % of a week is less than one.
    assert setting_value(WEEKS, text)[1] == "review_weeks must be a number from 1 to 104"


def test_only_what_cannot_be_more_than_one_takes_a_bare_percentage():
    assert setting_value(setting("number", 0, 1), "95") == ("0.95", "")
    assert setting_value(setting("number", 0, 2), "95")[1] == "it must be a number from 0 to 2"


def test_a_whole_number_has_no_part():
    seed = setting("count", 0, 2000)
    assert setting_value(seed, "7") == ("7", "")
    assert setting_value(seed, "7.0") == ("7.0", "")
    assert setting_value(seed, "7.5") == ("", "it must be a whole number from 0 to 2,000")


def test_a_number_without_limits_must_be_finite():
    free = setting("number")
    assert setting_value(free, "-1e9") == ("-1e9", "")
    assert setting_value(free, "1e999")[0] == ""


def test_a_comma_before_three_digits_is_read_where_only_one_reading_may_be():
    assert setting_value(setting("number", 0, 730), "1,204") == ("1.204", "")
    assert setting_value(setting("count", 0, 2000), "1,204") == ("1204", "")
    # Never a thousand times too much, nor a thousandth.
    wrong = "it could be 1.204 or 1204"
    assert setting_value(setting("number", 0, 2000), "1,204") == ("", wrong)


def test_a_speed_may_bear_its_unit():
    assert setting_value(setting("number", 0.1, 20, "speed_km_h"), "4.5 km/h") == ("4.5", "")


@pytest.mark.parametrize("text", ["30", "€30", "30 EUR", "$ 30", "30 £"])
def test_a_rate_of_pay_may_bear_its_currency(text):
    assert setting_value(setting("number", 0, 1e5, "labour_rate"), text)[0] == "30"


def test_another_number_may_not():
    assert setting_value(setting("number", 0, 1e5), "30 EUR")[0] == ""


def test_a_choice_is_read_in_any_spelling():
    pace = setting("choice", choices=("machine", "off"))
    assert setting_value(pace, " Off ") == ("off", "")
    assert setting_value(pace, "on") == ("", "it must be machine or off")


def test_a_text_stays_as_it_is_without_blanks_around():
    assert setting_value(setting("text"), " EUR ") == ("EUR", "")


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


def test_a_text_holds_nothing_that_steers_a_terminal_or_turns_a_line():
    text = setting("text")
    assert setting_value(text, "\x1b[31m\u202eEUR\u2069") == ("[31mEUR", "")


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
