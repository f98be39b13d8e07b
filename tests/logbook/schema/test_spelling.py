"""Which spellings are one name, and which are merely near."""

import pytest

from wearcast.logbook.schema.spelling import (
    LONGEST_HEADING,
    MOST_HINTED,
    did_you_mean,
    fold,
    heading_key,
    listed,
    look_alike,
    nearest,
    one_slip,
    tidy,
)


@pytest.mark.parametrize(
    ("written", "name"),
    [
        ("7.0", "7"), ("7.00", "7"), ("-7.0", "-7"), ("7.5", "7.5"), ("M1.0", "M1.0"),
        ("1234567890123456.0", "1234567890123456.0"), (" a  b ", "a b"), ("a\u00a0b", "a b"),
        ("a\u200bb", "ab"), ("u\u0308", "\u00fc"), ("7", "7"),
    ],
)  # fmt: skip
def test_a_name_is_tidied(written, name):
    assert tidy(written) == name


@pytest.mark.parametrize(
    ("one", "other"),
    [("M-014", "m 014"), ("M-014", "M014"), ("north_hall", "North Hall"), ("a--b", "ab"),
     ("7-A", "7A"), ("M-7\u201314", "m7-14"), ("'M-014", "M-014")],
)  # fmt: skip
def test_case_and_separators_do_not_tell_names_apart(one, other):
    assert fold(one) == fold(other)


@pytest.mark.parametrize(("one", "other"), [("7-1", "71"), ("M-7 1", "M-71"), ("a", "b")])
def test_a_separator_between_digits_does(one, other):
    assert fold(one) != fold(other)


@pytest.mark.parametrize(
    ("heading", "key"),
    [
        ("Hours (h)", "hours"), ("Hours [h]", "hours"), ("hours, h", "hours"),
        ("width cm", "widthcm"), ("Hours (h) [read]", "hours"),
        ("[hours]", "hours"), ("`hours`", "hours"), ("'hours'", "hours"), ("Hours\u00b2", "hours"),
        ("width in cm", "width"), ("Date:", "date"), ("lead-days", "leaddays"), ("No. #", "no"),
        ("x" * LONGEST_HEADING + "_", "x" * LONGEST_HEADING + "_"),
        ("x" * (LONGEST_HEADING - 1) + "_", "x" * (LONGEST_HEADING - 1)),
    ],
)  # fmt: skip
def test_a_heading_is_compared_without_its_unit(heading, key):
    assert heading_key(heading) == key


def test_the_nearest_known_name_is_offered():
    assert nearest("vinly", ["tile", "vinyl"]) == ["vinyl"]
    assert nearest("slate", ["tyre", "vinyl"]) == []
    assert nearest("VINYL", ["vinyl", "vinyl 2"], most=2) == ["vinyl", "vinyl 2"]


def test_a_number_without_its_zeros_is_the_one_meant():
    assert nearest("7", ["007", "17"]) == ["007"]
    assert nearest("007", ["7", "70"]) == ["7"]
    assert nearest("7", ["07", "007"], most=1) == ["007"]
    assert nearest("7", ["12", "17"]) == ["17"]
    assert nearest("M-3", ["M-03", "M-30", "M-33"]) == ["M-03"]
    assert nearest("hall 3 M-01", ["hall 3 M-001", "hall 3 M-011"]) == ["hall 3 M-001"]


def test_long_lists_and_long_names_get_no_hint():
    names = [f"M{number}" for number in range(MOST_HINTED)]
    assert nearest("m5", names) == ["M5"]
    assert nearest("m5", [*names, "one more"]) == []
    assert nearest("x" * 200, ["x" * 200]) == ["x" * 200]
    assert nearest("x" * 201, ["x" * 201]) == []


def test_a_cure_asks_for_the_name_likely_meant():
    assert did_you_mean("tyle", ["tile"], "Correct it") == "Did you mean tile? Correct it"
    assert did_you_mean("felt", ["tile"], "Correct it") == "Correct it"


def test_a_long_list_is_cut():
    assert listed(list("abc"), 3) == "a, b, c"
    assert listed(list("abcd"), 3) == "a, b, c and 1 more"
    assert listed([str(number) for number in range(9)]) == "0, 1, 2, 3, 4, 5, 6, 7 and 1 more"


@pytest.mark.parametrize(
    ("one", "other", "alike"),
    [
        # 2 x 4 letters in common of 5 + 5: 0.8 (difflib's ratio, computed here).
        ("vinyl", "vinly", True), ("tile", "tyre", False), ("hall 1", "hall 2", False),
        ("granit", "granite", True),
    ],
)  # fmt: skip
def test_names_that_look_like_slips_of_one(one, other, alike):
    assert look_alike(one, other) is alike


@pytest.mark.parametrize(
    ("one", "other"),
    [
        pytest.param("North hall", "Nort hall", id="left out"),
        pytest.param("North hall", "North halll", id="put in at the end"),
        pytest.param("North", "Nxrth", id="mistaken"),
        pytest.param("North", "Nroth", id="changed about"),
        pytest.param("North", "xNorth", id="put in at the beginning"),
        pytest.param("East", "Eazt", id="of four letters"),
    ],
)
def test_one_slip_of_the_pen(one, other):
    assert one_slip(one, other)
    assert one_slip(other, one)


@pytest.mark.parametrize(
    ("one", "other"),
    [
        pytest.param("East", "West", id="two letters"),
        pytest.param("abc", "abd", id="a short word"),
        pytest.param("Hall 14", "Hall 15", id="a digit"),
        pytest.param("hall1a", "hall1b", id="a digit in the word"),
        pytest.param("North hall", "Nort hal", id="two words"),
        pytest.param("North", "North hall", id="a word more"),
        pytest.param("North", "North", id="none"),
        pytest.param("North Hall", "North  hall", id="a blank"),
        pytest.param("North", "Northern", id="letters more"),
        pytest.param("North", "Norht s", id="another count of words"),
        pytest.param("Nowrth", "Nxorth", id="two apart"),
    ],
)
def test_more_or_less_than_one_slip(one, other):
    assert not one_slip(one, other)
    assert not one_slip(other, one)
