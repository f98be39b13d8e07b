"""Cells of one column: the same once, rows of each, words for nothing and for yes."""

import numpy as np
import pytest

from wearcast.logbook.columns.cells import (
    cells_of,
    is_empty,
    read_choices,
    read_texts,
    read_yes_no,
    says_missing,
    text_of,
    without,
)
from wearcast.logbook.files.sheet import CellError
from wearcast.logbook.tables import BY_NAME


def test_each_distinct_cell_is_kept_once_and_nothing_has_no_place():
    cells = cells_of(["a", None, "b", "a"])
    assert cells.codes.tolist() == [0, -1, 1, 0]
    assert cells.distinct == ("a", "b")
    assert cells.rows_of([0]).tolist() == [0, 3]
    assert cells.where(lambda cell: cell == "a").tolist() == [True, False, False, True]
    assert cells.spread([1, 2], 0, int).tolist() == [1, 0, 2, 1]


def test_a_number_a_text_and_a_truth_are_three():
    cells = cells_of([1, 1.0, "1", True])
    assert cells.codes.tolist() == [0, 1, 2, 3]
    assert cells.distinct == (1, 1.0, "1", True)


def test_rows_that_are_passed_over_hold_nothing():
    left = without(cells_of(["a", "b", "c", None]), np.array([True, False, False, False]))
    assert left.codes.tolist() == [-1, 0, 1, -1]
    assert left.distinct == ("b", "c")


@pytest.mark.parametrize(
    ("cell", "text"),
    [
        (7.0, "7"),
        (7.5, "7.5"),
        (1e15, "1000000000000000.0"),
        (1e14, "100000000000000"),
        (-3.0, "-3"),
        (7, "7"),
        (True, "TRUE"),
    ],
)
def test_a_cell_as_the_person_sees_it(cell, text):
    assert text_of(cell) == text


@pytest.mark.parametrize("cell", ["", "  ", "\u00a0", "\u200b"])
def test_blanks_alone_are_nothing(cell):
    assert is_empty(cell)


@pytest.mark.parametrize("cell", ["a", "-", 0, False])
def test_what_shows_is_something(cell):
    assert not is_empty(cell)


@pytest.mark.parametrize("cell", ["-", " n/a ", "#REF!", '"', "--", "do.", CellError("#N/A")])
def test_some_words_stand_for_nothing(cell):
    assert says_missing(cell)


@pytest.mark.parametrize("cell", ["", 0, "-5", "no", "-------------", "nah"])
def test_others_do_not(cell):
    assert not says_missing(cell)


def test_twelve_strokes_stand_for_nothing():
    assert says_missing("-" * 12)


def test_nothing_is_no_and_a_word_of_a_neighbour_is_told():
    values, faults = read_yes_no(cells_of(["Yes", None, "x", "0", "oui", "nein", "maybe"]))
    assert values.tolist() == [True, False, True, False, True, False, False]
    assert [(each.places.tolist(), each.severity, each.wrong) for each in faults] == [
        ([4], "repaired", "read as yes"), ([5], "repaired", "read as no"),
        ([6], "set aside", "neither yes nor no"),
    ]  # fmt: skip


def test_a_choice_is_read_in_any_spelling_and_an_unknown_one_told():
    action = BY_NAME["changes"].column("action")
    values, faults = read_choices(cells_of(["Fit", None, "TURN", "polish", "trun"]), action)
    assert values.tolist() == ["fit", "", "turn", "", ""]
    assert [(each.places.tolist(), each.severity, each.wrong) for each in faults] == [
        ([3], "set aside", "no known action"), ([4], "set aside", "no known action"),
    ]  # fmt: skip
    assert faults[0].remedy == "Write one of fit, turn, remove"
    assert faults[1].remedy == "Did you mean turn? Write one of fit, turn, remove"


def test_a_cause_that_nobody_knows_is_another():
    cause = BY_NAME["changes"].column("cause")
    values, faults = read_choices(cells_of(["worn", "rust"]), cause)
    assert values.tolist() == ["worn", "other"]
    assert [(each.severity, each.wrong) for each in faults] == [
        ("repaired", "no known cause; read as other")
    ]


def test_texts_and_names_come_without_blanks_around():
    cells = cells_of([" M-1 ", None, 7.0])
    assert read_texts(cells).tolist() == ["M-1", "", "7"]
