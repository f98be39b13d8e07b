"""Rows that say something beside their table, each rule by itself."""

import datetime
import inspect

import pytest

from tests.logbook.sheets.test_rows import READING, grid
from wearcast.logbook.sheets.beside import (
    drawn_lines,
    filled_cells,
    other_headings,
    own_examples,
    remarks,
    units,
    untouched,
)


def marked(rule, *rows, **more):
    """The places that a rule marks."""
    made = grid(list(rows), **more)
    filled = filled_cells(made)
    count = sum(one.astype(int) for one in filled.values())
    known = {"grid": made, "filled": filled, "count": count}
    asked = (known[name] for name in inspect.signature(rule).parameters)
    return [at for at, one in enumerate(rule(*asked)) if one]


def test_an_example_is_untouched_where_all_but_its_dates_is_ours():
    rows = [
        ("EXAMPLE M-01", "2026-01-05", 1204.5),
        ("EXAMPLE M-01", datetime.datetime(2031, 1, 1), "1204.5"),
        ("EXAMPLE M-01", None, None),
        ("EXAMPLE M-01", "2026-01-05", 1204),
        ("EXAMPLE M-02", "2026-01-05", 1204.5),
    ]
    assert marked(untouched, *rows) == [0, 1, 2]


@pytest.mark.parametrize(
    ("name", "own"),
    [("e.g. M-001", True), ("e. g. M1", True), ("z.B. M1", True), ("M1 e.g.", False), (7, False)],
)
def test_an_example_of_somebody_s_own_begins_so(name, own):
    assert marked(own_examples, (name, "x", 7)) == [0] * own


@pytest.mark.parametrize(
    ("row", "drawn"),
    [
        (("----", "---", "-----"), True),
        (("====", None, " "), True),
        (("----", "---", 7), False),
        (("----", "x", "---"), False),
        ((None, None, None), False),
    ],
)
def test_a_drawn_line_has_nothing_else_in_its_row(row, drawn):
    assert marked(drawn_lines, row, READING) == [0] * drawn


@pytest.mark.parametrize(
    ("row", "said"),
    [
        (("# meters", None, None), True),
        ((None, " // by hand", None), True),
        (("# meters", "2026-01-05", None), False),
        (("Checked by:", "K", None), True),
        (("Checked by: ", None, None), True),
        (("M1:", "2026-01-05", 7), False),
        ((None, "Checked by:", None), False),
        ((7, None, None), False),
    ],
)
def test_a_remark_begins_like_a_comment_or_ends_like_a_label(row, said):
    assert marked(remarks, row, READING) == [0] * said


def test_units_stand_in_the_first_filled_row():
    said = ("text", "dd.mm.yyyy", "[h]")
    assert marked(units, said, READING, said) == [0]
    assert marked(units, (None, None, None), said, (None, None, None), said) == [1]
    assert marked(units, READING, said) == []
    assert marked(units, ("(text)", None, "h ")) == [0]
    assert marked(units, ("M1", "dd.mm.yyyy", "h")) == []
    assert marked(units, ("text", "dd.mm.yyyy", 7)) == []


def test_headings_in_other_words_stand_in_the_first_filled_row():
    said = ("Geraet", "Tag", "Stand")
    assert marked(other_headings, said, READING) == [0]
    assert marked(other_headings, (None, None, None), said, (None, None, None), READING) == [1]
    assert marked(other_headings, READING, said) == []


@pytest.mark.parametrize(
    "row",
    [
        pytest.param(("Geraet", "Tag", None), id="a single word where measures belong"),
        pytest.param(("Geraet", "Tag", 7), id="a number"),
        pytest.param(("Geraet", "Tag 1", "Stand"), id="a digit"),
        pytest.param(("Geraet", "-", "Stand"), id="a word for nothing"),
        pytest.param(("M1", "Tag", "Stand"), id="a name of another row"),
    ],
)
def test_a_first_row_that_may_be_one_of_the_table_is_no_heading(row):
    assert marked(other_headings, row, READING) == []
