"""Cells merged down a column."""

import pytest

from wearcast.logbook.sources import merged
from wearcast.logbook.sources.merged import fill_merged


def filled(areas, rows=None, numbers=(2, 3, 5, 6)):
    """The rows (row 4 is blank and so is missing) once the areas are filled, and which were."""
    rows = rows or [["M1", "a"], [None, "b"], [None, None], ["M2"]]
    told = fill_merged(rows, list(numbers), areas)
    return rows, told


def test_a_value_counts_for_every_filled_row_of_its_area():
    assert filled(["A2:A5"]) == ([["M1", "a"], ["M1", "b"], ["M1", None], ["M2"]], (3, 5))


@pytest.mark.parametrize(
    "area",
    [
        pytest.param("A4:A6", id="begins in a blank row"),
        pytest.param("A7:A9", id="lies below the rows"),
        pytest.param("C2:C5", id="begins right of its row"),
        pytest.param("A2:B2", id="lies along a row"),
        pytest.param("A3:A5", id="begins in an empty cell"),
        pytest.param("A2:A", id="is none"),
    ],
)
def test_an_area_without_a_value_or_rows_fills_nothing(area):
    assert filled([area]) == ([["M1", "a"], [None, "b"], [None, None], ["M2"]], ())


def test_a_short_row_is_made_as_long_as_the_area_lies():
    rows, told = filled(["B2:B6"], [["M1", "a"], [None], [None, "c"], []])
    assert (rows, told) == ([["M1", "a"], [None, "a"], [None, "c"], [None, "a"]], (3, 6))


def test_an_area_over_another_is_passed_over():
    rows, told = filled(["A2:A3", "A3:A6"], [["M1"], [None], [None], [None]])
    assert (rows, told) == ([["M1"], ["M1"], [None], [None]], (3,))
    # One that begins below it is not.
    rows, told = filled(["A5:A6", "A2:A3"], [["M1"], [None], ["M2"], [None]])
    assert (rows, told) == ([["M1"], ["M1"], ["M2"], ["M2"]], (3, 6))


def test_areas_in_two_columns_do_not_meet():
    rows, _ = filled(["A2:A5", "B2:B3"], [["M1", "x"], [None], [None], []])
    assert rows == [["M1", "x"], ["M1", "x"], ["M1"], []]


def test_merged_cells_fill_no_more_than_a_sheet_can_hold(monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(merged, "MOST_FILLED", 4)
    rows: list[list[object]] = [["a", "b"], [None, None], [None, None]]
    assert fill_merged(rows, [1, 2, 3], ["A1:A3", "B1:B3"]) == (2, 3)
    assert rows == [["a", "b"], ["a", None], ["a", None]]
    monkeypatch.setattr(merged, "MOST_FILLED", 3)
    assert fill_merged([["a"], [None], [None]], [1, 2, 3], ["A1:A3"]) == (2, 3)


@pytest.mark.parametrize(("column", "told"), [("CV", (3,)), ("CW", ())])
def test_areas_beyond_the_columns_kept_are_not_looked_at(column: str, told: tuple[int, ...]):
    # CV is the hundredth column.
    rows: list[list[object]] = [[*[None] * 100, "x"], [None]]
    rows[0][99] = "x"
    assert fill_merged(rows, [2, 3], [f"{column}2:{column}3"]) == told


def test_an_area_far_below_another_of_its_column_counts():
    rows: list[list[object]] = [["M1"], [None], ["M2"], [None]]
    assert fill_merged(rows, [1, 2, 10, 11], ["A1:A2", "A10:A11"]) == (2, 11)
