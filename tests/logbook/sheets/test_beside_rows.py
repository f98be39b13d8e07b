"""Rows that say something beside their table, each rule by itself."""

import datetime
import inspect

import pytest

from tests.logbook.sheets.test_rows import READING, grid
from wearcast.logbook.sheets.beside import (
    any_of,
    columns_of,
    complete_rows,
    drawn_lines,
    examples,
    filled_cells,
    other_headings,
    own_examples,
    remarks,
    units,
    untouched,
)
from wearcast.logbook.sheets.rows import passed_rows


def marked(rule, *rows, **more):
    """The places that a rule marks."""
    made = grid(list(rows), **more)
    filled = filled_cells(made)
    count = sum(one.astype(int) for one in filled.values())
    known = {"grid": made, "filled": filled, "count": count}
    asked = (known[name] for name in inspect.signature(rule).parameters)
    return [at for at, one in enumerate(rule(*asked)) if one]


PARTS = {"table": "parts", "columns": ("part", "price", "name")}


def test_a_cell_is_filled_that_holds_more_than_blanks():
    made = grid([("M1", None, 7), (" ", "", 0)])
    assert {name: one.tolist() for name, one in filled_cells(made).items()} == {
        "machine": [True, False], "date": [False, False], "hours": [True, True],
    }  # fmt: skip


def test_columns_are_those_of_a_kind_that_stand_in_the_sheet():
    made = grid([READING])
    assert [one.name for one in columns_of(made, "number", "date")] == ["date", "hours"]
    assert columns_of(made, "yes_no") == []
    assert any_of(made, []).tolist() == [False]


def test_a_row_is_complete_with_every_needed_cell():
    assert marked(complete_rows, READING, ("M1", None, 7), ("M1", "x", None)) == [0]
    assert marked(complete_rows, ("GB", None, None), (None, 5, "x"), **PARTS) == [0]


def test_an_example_is_marked_in_any_column_of_names():
    rows = [("EXAMPLE M-01", "2026-01-05", 7), ("M1", "EXAMPLE x", 7), ("AN EXAMPLE M", "x", 7)]
    assert marked(examples, *rows) == [0]
    changes = {"table": "changes", "columns": ("machine", "part")}
    assert marked(examples, ("M1", "EXAMPLE blade"), ("M1", "blade"), **changes) == [0]


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


def test_a_row_is_told_once_and_for_what_it_is_first():
    made = grid([("EXAMPLE M-01", "2026-01-05", 1204.5), ("EXAMPLE M-02", "2026-01-05", 9),
                 READING, ("----", "--", "--"), ("e.g. M1", "2026-01-05", 7)])  # fmt: skip
    assert [(one.places.tolist(), one.wrong.partition(",")[0]) for one in passed_rows(made)] == [
        ([0], ""), ([1], "an example"), ([3], "a drawn line"), ([4], "an example"),
    ]  # fmt: skip
