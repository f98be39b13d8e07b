"""The grids of one table become a draft: every cell read or found wanting.

Faults in a needed cell set the row aside; elsewhere the cell is read as blank, unless a blank
would say something of its own (``holds_row`` in the declaration).
"""

from collections.abc import Mapping, Sequence

import numpy as np
import pandas as pd

from wearcast.logbook.cells import (
    Fault,
    empty_cells,
    missing_cells,
    read_choices,
    read_texts,
    read_yes_no,
    text_of,
)
from wearcast.logbook.dates import DateColumn, Order, read_column, shown, values_of
from wearcast.logbook.drafts import IGNORED, USED, Draft, Finding, settle
from wearcast.logbook.headings import Grid
from wearcast.logbook.numbers import read_numbers
from wearcast.logbook.rows import Passed, cell_words, passed_rows
from wearcast.logbook.tables import Column, Table

Orders = Mapping[tuple[int, str], Order | None]
"""The date order of a column, by number of its sheet and name."""


def date_columns(grid: Grid) -> dict[str, DateColumn]:
    """What the cells of the grid's date columns can mean."""
    passed = _passed(grid)
    return {
        column.name: read_column(
            grid.cells[column.name], _blank(grid.cells[column.name], passed), grid.date1904
        )
        for column in grid.table.columns
        if column.kind == "date" and column.name in grid.cells
    }


def empty_draft(table: Table) -> Draft:
    """A draft without rows."""
    frame = pd.DataFrame({column.name: _typed(column, np.array([])) for column in table.columns})
    extra = pd.DataFrame(
        {
            "source": np.array([], object),
            "row": np.array([], np.int64),
            "origin": np.array([], np.int64),
            "state": np.array([], object),
        }
    )
    written = pd.DataFrame({column.name: np.array([], object) for column in table.columns})
    return Draft(table, pd.concat([frame, extra], axis=1), written)


def read_table(table: Table, grids: Sequence[Grid], orders: Orders) -> Draft:
    """All sheets of one table as one draft."""
    drafts = [_read_grid(grid, orders) for grid in grids if grid.rows]
    if not drafts:
        return empty_draft(table)
    starts = np.cumsum([0, *(len(draft.frame) for draft, _ in drafts)])
    frame = pd.concat([draft.frame for draft, _ in drafts], ignore_index=True)
    written = pd.concat([draft.written for draft, _ in drafts], ignore_index=True)
    columns = frozenset().union(*(draft.columns for draft, _ in drafts))
    joined = Draft(table, frame, written, columns=columns)
    findings = [
        _shifted(finding, start)
        for (_, found), start in zip(drafts, starts, strict=False)
        for finding in found
    ]
    return settle(joined, findings)


def _shifted(finding: Finding, start: int) -> Finding:
    return Finding(
        np.asarray(finding.rows) + start,
        finding.column,
        finding.severity,
        finding.outcome,
        finding.wrong,
        finding.remedy,
        finding.value,
    )


def _read_grid(grid: Grid, orders: Orders) -> tuple[Draft, list[Finding]]:
    """One sheet as a draft of its own, with the findings about its cells."""
    passed = passed_rows(grid)
    skip = _mask(grid, passed)
    values: dict[str, np.ndarray] = {}
    written: dict[str, np.ndarray] = {}
    findings = [_on_passed(grid, one) for one in passed if one.wrong]
    wanting: dict[str, np.ndarray] = {}
    for column in grid.table.columns:
        cells = grid.cells.get(column.name, [None] * len(grid.rows))
        blank = _blank(cells, skip)
        values[column.name], faults = _read_column(grid, column, cells, blank, orders)
        written[column.name] = np.array([text_of(cell) for cell in cells], object)
        findings += [_on_fault(column, fault) for fault in faults]
        if column.needed:
            wanting[column.name] = blank & ~skip
        elif column.kind != "text" and column.name in grid.cells:
            findings += _on_missing(column, missing_cells(cells) & ~skip)
    findings += _on_wanting(wanting)
    frame = pd.DataFrame({one.name: _typed(one, values[one.name]) for one in grid.table.columns})
    frame["source"] = pd.Series([grid.source] * len(frame), dtype=object)
    frame["row"] = np.array(grid.rows, np.int64)
    frame["origin"] = np.int64(grid.origin)
    frame["state"] = pd.Series(np.where(skip, IGNORED, USED), dtype=object)
    columns = frozenset(grid.cells)
    return Draft(grid.table, frame, pd.DataFrame(written), columns=columns), findings


def _mask(grid: Grid, passed: list[Passed]) -> np.ndarray:
    skip = np.zeros(len(grid.rows), bool)
    for one in passed:
        skip[one.places] = True
    return skip


def _passed(grid: Grid) -> np.ndarray:
    return _mask(grid, passed_rows(grid))


def _blank(cells: Sequence[object], skip: np.ndarray) -> np.ndarray:
    """Cells with nothing to read: empty, a word for nothing, or in a row that is passed over."""
    return np.asarray(empty_cells(cells) | missing_cells(cells) | skip, bool)


def _read_column(
    grid: Grid, column: Column, cells: Sequence[object], blank: np.ndarray, orders: Orders
) -> tuple[np.ndarray, list[Fault]]:
    if column.kind in ("number", "count", "share"):
        return read_numbers(cells, blank, column)
    if column.kind == "yes_no":
        return read_yes_no(cells, blank)
    if column.kind == "choice":
        return read_choices(cells, blank, column)
    if column.kind == "date":
        read = read_column(list(cells), blank, grid.date1904)
        return _read_dates(read, cells, orders.get((grid.origin, column.name)))
    return read_texts(cells, blank), []


def _read_dates(
    read: DateColumn, cells: Sequence[object], order: Order | None
) -> tuple[np.ndarray, list[Fault]]:
    """The dates, read in the order that was decided."""
    values = values_of(read, order)
    by_cause: dict[str, list[int]] = {}
    typed: list[int] = []
    two_ways: list[int] = []
    for place in np.flatnonzero(read.codes >= 0).tolist():
        meaning = read.meanings[read.codes[place]]
        if meaning.wrong:
            by_cause.setdefault(meaning.wrong, []).append(place)
        elif np.isnat(values[place]):
            by_cause.setdefault(f"no date if read {order} as the column's others are", []).append(
                place
            )
        elif meaning.serial:
            typed.append(place)
        elif meaning.day is None:
            two_ways.append(place)
    faults = [
        Fault(np.array(places), "set aside", wrong, "Write the date as year-month-day, 2026-02-03")
        for wrong, places in by_cause.items()
    ]
    if typed:
        wrong = "a spreadsheet's day number is read as its date"
        faults.append(Fault(np.array(typed), "repaired", wrong))
    if two_ways:
        faults.append(_order_fault(cells, values, two_ways, order))
    return values, faults


def _order_fault(
    cells: Sequence[object], values: np.ndarray, places: list[int], order: Order | None
) -> Fault:
    first = places[0]
    day = shown(pd.Timestamp(values[first]).date())
    return Fault(
        np.array(places), "repaired", f"dates are read {order}: {text_of(cells[first])} is {day}"
    )


def _typed(column: Column, values: np.ndarray) -> pd.Series:
    """The column with the dtype that its kind has everywhere."""
    if column.kind == "date":
        return pd.Series(values.astype("datetime64[ns]"))
    if column.kind == "yes_no":
        return pd.Series(values.astype(bool))
    if column.kind in ("number", "count", "share"):
        return pd.Series(values.astype(float))
    return pd.Series(values.astype(object), dtype=object)


def _on_passed(grid: Grid, passed: Passed) -> Finding:
    value = cell_words(grid, int(passed.places[0]))
    return Finding(passed.places, "", "note", "kept", passed.wrong, passed.remedy, value)


def _on_fault(column: Column, fault: Fault) -> Finding:
    if fault.severity != "set aside":
        return Finding(fault.places, column.name, fault.severity, "kept", fault.wrong, fault.remedy)
    whole = column.needed or column.holds_row
    wrong = fault.wrong if whole else f"{fault.wrong}; the cell counts as blank"
    outcome = "row" if whole else "cell"
    return Finding(fault.places, column.name, "set aside", outcome, wrong, fault.remedy)


def _on_missing(column: Column, missing: np.ndarray) -> list[Finding]:
    if not missing.any():
        return []
    rows = np.flatnonzero(missing)
    return [Finding(rows, column.name, "note", "kept", "read as blank")]


def _on_wanting(wanting: dict[str, np.ndarray]) -> list[Finding]:
    """One finding for the rows that lack the same needed cells."""
    if not wanting:
        return []
    names = list(wanting)
    lacking = np.array([wanting[name] for name in names])
    findings = []
    for pattern in np.unique(lacking.T, axis=0):
        rows = np.flatnonzero((pattern == lacking.T).all(axis=1))
        lacked = [name for name, lacks in zip(names, pattern, strict=True) if lacks]
        if lacked and rows.size:
            verb = "is" if len(lacked) == 1 else "are"
            wrong = f"{' and '.join(lacked)} {verb} blank"
            findings.append(
                Finding(
                    rows, lacked[0], "set aside", "row", wrong, f"Fill in {' and '.join(lacked)}"
                )
            )
    return findings
