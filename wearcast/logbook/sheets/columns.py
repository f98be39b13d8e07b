"""One column of a grid becomes values with the dtype that its kind has everywhere."""

import numpy as np

from wearcast.logbook.findings.coded import same_text
from wearcast.logbook.schema.tables import SOME_DAY, Column
from wearcast.logbook.sheets.cells import (
    Cells,
    Fault,
    read_choices,
    read_names,
    read_texts,
    read_yes_no,
    says_no,
    says_yes,
    without,
)
from wearcast.logbook.sheets.date_orders import (
    DateColumn,
    Orders,
    Settled,
    read_column,
    values_of,
    without_reading,
)
from wearcast.logbook.sheets.dates import DAY_MISSING, shown
from wearcast.logbook.sheets.heading_units import OtherUnit, other_unit
from wearcast.logbook.sheets.headings import Grid
from wearcast.logbook.sheets.numbers import read_numbers
from wearcast.logbook.sheets.rows import mask_of, passed_rows
from wearcast.logbook.sources.cell_texts import is_empty, says_missing, text_of

NUMBERS = ("number", "count", "share")
"""Kinds of columns that hold numbers."""


def date_columns(grid: Grid) -> dict[str, DateColumn]:
    """What the cells of the grid's date columns can mean."""
    if not grid.rows:
        return {}
    skip = mask_of(grid, passed_rows(grid))
    return {
        column.name: read_column(
            _days(filled(grid.cells[column.name], skip), column), grid.date1904
        )
        for column in grid.table.columns
        if column.kind == "date" and column.name in grid.cells
    }


def _days(cells: Cells, column: Column) -> Cells:
    """The cells without those that say yes or no where a date may."""
    return without(cells, cells.where(says_yes) | cells.where(says_no)) if column.or_yes else cells


def filled(cells: Cells, skip: np.ndarray) -> Cells:
    """The cells without empty ones, words for nothing, and rows that are passed over.

    `skip` is an array (rows,) of bool, True in a row that is.
    """
    if not cells.distinct:
        return cells
    return without(cells, cells.said(is_empty) | cells.said(says_missing) | skip)


def blank_values(kind: str, rows: int) -> np.ndarray:
    """A column of that kind in which nothing is written: array (rows,), blank in each row."""
    if kind == "date":
        return np.full(rows, np.datetime64("NaT"), "datetime64[ns]")
    if kind == "yes_no":
        return np.zeros(rows, bool)
    return np.full(rows, np.nan) if kind in NUMBERS else same_text("", rows)


def read_values(
    grid: Grid, column: Column, cells: Cells, orders: Orders
) -> tuple[np.ndarray, list[Fault]]:
    """The column's cells as values, one a row, array (rows,), and what is wrong with some."""
    values, faults = _read_values(grid, column, cells, orders)
    return _typed(column.kind, values), faults


def _read_values(
    grid: Grid, column: Column, cells: Cells, orders: Orders
) -> tuple[np.ndarray, list[Fault]]:
    if column.kind in NUMBERS:
        return _read_numbers(cells, column, other_unit(column, grid.texts.get(column.name, "")))
    if column.kind == "yes_no":
        return read_yes_no(cells)
    if column.kind == "choice":
        return read_choices(cells, column)
    if column.kind == "date":
        settled = orders.get((grid.origin, column.name), Settled(None))
        values, faults = _read_dates(read_column(_days(cells, column), grid.date1904), settled)
        if column.or_yes:
            values = np.where(cells.where(says_yes), SOME_DAY.to_datetime64(), values)
        return values, faults
    if column.kind == "name":
        return read_names(cells)
    return read_texts(cells), []


def _typed(kind: str, values: np.ndarray) -> np.ndarray:
    """The values with the dtype of their kind."""
    if kind == "date":
        return values.astype("datetime64[ns]", copy=False)
    if kind == "yes_no":
        return values.astype(bool, copy=False)
    return values.astype(float if kind in NUMBERS else object, copy=False)


def _read_numbers(
    cells: Cells, column: Column, other: OtherUnit | None
) -> tuple[np.ndarray, list[Fault]]:
    """The numbers in the column's unit, whatever unit the heading gives."""
    if other is None:
        return read_numbers(cells, column)
    filled = np.flatnonzero(cells.codes >= 0)
    if not other.factor:
        wrong = f"the heading says {other.name}, and {column.name} goes by {other.own}"
        cure = f"Reckon it over into {other.own}, and say so in the heading"
        faults = [Fault(filled, "set aside", wrong, cure)] if filled.size else []
        return np.full(len(cells.codes), np.nan), faults
    values, faults = read_numbers(cells, column, other.factor)
    wrong = f"the heading says {other.name}: reckoned over into {other.own}"
    read = filled[np.isfinite(values[filled])]
    return values, [*faults, Fault(read, "repaired", wrong)] if read.size else faults


def _read_dates(read: DateColumn, settled: Settled) -> tuple[np.ndarray, list[Fault]]:
    """The dates, read in the order that was decided."""
    order = settled.order
    refused: dict[str, list[int]] = {}
    serials: list[int] = []
    two_ways: list[int] = []
    for place, meaning in enumerate(read.meanings):
        wrong = without_reading(meaning, order)
        if wrong:
            refused.setdefault(wrong, []).append(place)
        elif meaning.serial:
            serials.append(place)
        elif meaning.day is None:
            two_ways.append(place)
    remedy = "Write the date as year-month-day, 2026-02-03"
    weeks = "Write the day; or name your sheet and this heading in a table columns for its last day"
    faults = [
        Fault(
            read.cells.rows_of(places),
            "set aside",
            wrong,
            weeks if wrong == DAY_MISSING else remedy,
        )
        for wrong, places in refused.items()
    ]
    if serials:
        wrong = "a spreadsheet's day number is read as its date"
        faults.append(Fault(read.cells.rows_of(serials), "repaired", wrong))
    if two_ways and settled.told:
        faults.append(_order_fault(read, two_ways, settled))
    return values_of(read, order), faults


def _order_fault(read: DateColumn, places: list[int], settled: Settled) -> Fault:
    """The order is told once, with a date that people can check."""
    tellings = sorted((text_of(read.cells.distinct[place]).strip(), place) for place in places)
    text, place = tellings[0]
    day = read.meanings[place].in_order(settled.order)
    shows = f"{text} is {shown(day)}" if day else ""
    also = f"; those of {', '.join(settled.also)} too" if settled.also else ""
    wrong = f"dates are read {settled.order}: {shows}{also}"
    return Fault(read.cells.rows_of(places), "repaired", wrong)
