"""Which row holds the headings, and what each of them means."""

import pytest

from wearcast.logbook.reshape.heading_rows import find_headings
from wearcast.logbook.schema.names import SEARCHED_ROWS
from wearcast.logbook.schema.tables import BY_NAME

READINGS = BY_NAME["readings"]
HEADINGS = ["machine", "date", "hours"]


def found(rows, own=None):
    return find_headings(READINGS, rows, own or {})


def meant(rows, own=None):
    return {place: name for place, (name, _) in found(rows, own).meant.items()}


def place(rows):
    heading = found(rows)
    return heading.first, heading.last


def test_the_first_row_that_names_what_is_needed_holds_the_headings():
    rows = [["Hall log"], ["machine", "date"], HEADINGS, HEADINGS]
    assert place(rows) == (2, 2)
    assert found(rows).texts == HEADINGS


def test_where_none_does_the_row_that_names_most_is_taken():
    rows = [["machine", "x"], ["machine", "date", "x"], ["machine", "date", "y"]]
    assert place(rows) == (1, 1)
    assert place([["x"], ["y"]]) == (0, 0)
    assert found([["x", None, " y "]]).texts == ["x", "", "y"]


def test_headings_are_looked_for_so_far_down_and_no_further():
    blank = [["x"]]
    assert place(blank * (SEARCHED_ROWS - 1) + [HEADINGS]) == (SEARCHED_ROWS - 1,) * 2
    assert place(blank * SEARCHED_ROWS + [HEADINGS]) == (0, 0)


@pytest.mark.parametrize(
    ("upper", "lower"),
    [
        pytest.param(["machine", "date", "today's"], ["", "", "meter"], id="in the lower row"),
        pytest.param(["machine", "", "hours"], ["at work", "date", "so far"], id="in the upper"),
        pytest.param(["fleet", "date", "hours"], ["no", "", ""], id="in both"),
        pytest.param(["machine", "date", "hours"], ["no"], id="a short lower row"),
        pytest.param(["the"], ["machine", "date", "hours"], id="a short upper row"),
    ],
)
def test_headings_may_stand_in_two_rows(upper, lower):
    rows = [upper, lower, ["M1", "2026-01-05", 7]]
    assert meant(rows) == {0: "machine", 1: "date", 2: "hours"}


def test_a_row_with_a_digit_is_no_second_row_of_headings():
    assert place([["fleet", "date", "meter"], ["no", "", "x"]]) == (0, 1)
    assert place([["fleet", "date", "meter"], ["no", "", "2"]]) == (0, 0)


def test_an_own_name_beats_an_everyday_word_and_the_person_s_word_both():
    assert meant([["unit", "machine", "date", "hours"]]) == {1: "machine", 2: "date", 3: "hours"}
    own = {("readings", "unit"): "machine"}
    assert meant([["unit", "machine", "date", "hours"]], own) == {
        0: "machine", 2: "date", 3: "hours",
    }  # fmt: skip
    assert meant([["unit", "date", "hours"]]) == {0: "machine", 1: "date", 2: "hours"}


def test_the_person_s_word_holds_in_its_own_table_only():
    own = {("changes", "thing"): "machine"}
    assert meant([["thing", "date", "hours"]], own) == {1: "date", 2: "hours"}


@pytest.mark.parametrize("cell", [None, 7, "", "  ", "elsewhere"])
def test_a_cell_that_says_none_of_our_words_is_no_heading(cell):
    assert meant([[cell, "machine", "date", "hours"]]) == {1: "machine", 2: "date", 3: "hours"}
