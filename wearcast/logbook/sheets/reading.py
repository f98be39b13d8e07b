"""The grids of one table become a draft: every cell read or found wanting.

Faults in a needed cell set the row aside; elsewhere the cell is read as blank, unless a blank
would say something of its own (``holds_row`` in the declaration).
"""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pandas as pd

from wearcast.logbook.findings.coded import Coded, same_text, sorted_codes
from wearcast.logbook.findings.drafts import (
    IGNORED,
    SET_ASIDE,
    SKIPPED,
    STATES,
    Draft,
    Finding,
    settle,
)
from wearcast.logbook.findings.written import Written, stacked
from wearcast.logbook.schema.tables import Table
from wearcast.logbook.sheets.cells import Cells, numbers_of
from wearcast.logbook.sheets.columns import blank_values, filled, read_values
from wearcast.logbook.sheets.date_orders import Orders
from wearcast.logbook.sheets.headings import Grid
from wearcast.logbook.sheets.row_findings import (
    gone_down,
    on_fault,
    on_missing,
    on_passed,
    on_wanting,
    without_idle,
)
from wearcast.logbook.sheets.rows import mask_of, passed_rows
from wearcast.logbook.sources.cell_texts import says_missing, text_of


def empty_draft(table: Table) -> Draft:
    """A draft without rows."""
    nothing = (np.zeros(0, np.int32), np.array([""], object))
    values = {column.name: blank_values(column.kind, 0) for column in table.columns}
    written = Written({column.name: nothing for column in table.columns})
    return Draft(table, _framed(values, "", range(0), 0, np.zeros(0, np.int8), False), written)


def read_table(table: Table, grids: Sequence[Grid], orders: Orders) -> Draft:
    """All sheets of one table as one draft."""
    drafts = [_read_grid(grid, orders) for grid in grids if grid.rows or _passed(grid)]
    if not drafts:
        return empty_draft(table)
    if len(drafts) == 1:
        return settle(*drafts[0])
    starts = np.cumsum([0, *(len(draft.frame) for draft, _ in drafts)])
    frame = pd.concat([draft.frame for draft, _ in drafts], ignore_index=True)
    written = stacked([draft.written for draft, _ in drafts if isinstance(draft.written, Written)])
    columns = frozenset().union(*(draft.columns for draft, _ in drafts))
    passed = frozenset().union(*(draft.passed for draft, _ in drafts))
    joined = Draft(table, frame, written, columns=columns, passed=passed)
    findings = [
        _shifted(finding, start)
        for (_, found), start in zip(drafts, starts, strict=False)
        for finding in found
    ]
    return settle(joined, findings)


def _shifted(finding: Finding, start: int) -> Finding:
    return replace(finding, rows=np.asarray(finding.rows) + start)


def _read_grid(grid: Grid, orders: Orders) -> tuple[Draft, list[Finding]]:
    """One sheet as a draft of its own, with the findings about its cells."""
    rows, passed = len(grid.rows), passed_rows(grid)
    skip = mask_of(grid, passed)
    values, written, codes = _unwritten(grid)
    findings = [on_passed(grid, one) for one in passed if one.wrong]
    texts = frozenset(grid.table.texts)
    wanting: dict[str, np.ndarray] = {}
    said: dict[str, np.ndarray] = {}
    for column in grid.table.columns:
        name = column.name
        if name in grid.cells:
            cells = grid.cells[name]
            own = filled(cells, skip)
            values[name], faults = read_values(grid, column, own, orders)
            written[name] = _places(cells), np.array([*map(text_of, cells.distinct), ""], object)
            findings += [on_fault(column, fault) for fault in faults]
            if name in texts:
                codes[name] = _codes_of(own, values[name])
            missing = cells.said(says_missing) & ~skip
            if column.needed:
                wanting[name], said[name] = (own.codes < 0) & ~skip, missing
            elif column.kind != "text":
                findings += on_missing(column, missing)
        elif column.needed:
            wanting[name], said[name] = ~skip, np.zeros(rows, bool)
    undecided = np.array(sorted(grid.mapped.aside if grid.mapped else ()), np.int64)
    findings = without_idle(findings + on_wanting(wanting, said, gone_down(grid)), undecided)
    state = np.zeros(rows, np.int8)
    state[mask_of(grid, [one for one in passed if one.severity == "note"])] = STATES.index(IGNORED)
    state[undecided] = STATES.index(SET_ASIDE)
    run = grid.mapped is not None and grid.mapped.run
    values = {column.name: values[column.name] for column in grid.table.columns}
    frame = _framed(values, grid.source, grid.rows, grid.origin, state, run)
    columns = frozenset(grid.cells)
    draft = Draft(
        grid.table,
        frame,
        Written({name: written[name] for name in values}),
        columns=columns,
        passed=_passed(grid),
    )
    return draft.with_codes(codes), findings


def _unwritten(
    grid: Grid,
) -> tuple[dict[str, np.ndarray], dict[str, tuple[np.ndarray, np.ndarray]], dict[str, Coded]]:
    """Values, cells and codes of the columns that nobody wrote: alike ones share an array."""
    rows = len(grid.rows)
    kinds = {one.name: one.kind for one in grid.table.columns if one.name not in grid.cells}
    dtypes = {kind: blank_values(kind, 0).dtype for kind in kinds.values()}
    blank = {dtype: blank_values(kind, rows) for kind, dtype in dtypes.items()}
    nothing = np.zeros(rows, np.int32)
    cells = nothing, np.array([""], object)
    texts = {name: Coded(*cells) for name in grid.table.texts if name in kinds}
    return (
        {name: blank[dtypes[kind]] for name, kind in kinds.items()},
        dict.fromkeys(kinds, cells),
        {**texts, "source": Coded(nothing, np.array([grid.source], object))},
    )


def _framed(
    values: dict[str, np.ndarray],
    source: str,
    numbers: Sequence[int],
    origin: int,
    state: np.ndarray,
    run: bool,
) -> pd.DataFrame:
    """The columns of a table and those of a draft; `state` is an array (rows,) of `STATES`."""
    rows = len(state)
    own = {
        "source": same_text(source, rows),
        "row": numbers_of(numbers),
        "origin": np.full(rows, origin, np.int16),  # there are `MOST_TABLES` at most
        "state": np.array(STATES, object)[state],
        "run": np.full(rows, run),
    }
    columns = {**values, **own}
    series = {name: pd.Series(column, dtype=column.dtype) for name, column in columns.items()}
    return pd.DataFrame(series, copy=False)


def _places(cells: Cells) -> np.ndarray:
    """Place of each row's cell among the distinct ones; behind them all where there is none."""
    if not cells.distinct:
        return np.zeros(len(cells.codes), np.int32)
    blank = cells.codes < 0
    nothing = np.int32(len(cells.distinct))
    return np.where(blank, nothing, cells.codes) if blank.any() else cells.codes


def _codes_of(cells: Cells, texts: np.ndarray) -> Coded:
    """The column of texts, of which alike cells have the same one: each is looked at once."""
    nothing = len(cells.distinct)
    if not nothing:
        return sorted_codes(np.zeros(len(texts), np.int32), [""])
    places = _places(cells)
    row = np.full(nothing + 1, -1)
    row[places] = np.arange(len(texts))
    names = np.where(row < 0, "", texts[row]) if len(texts) else np.array([""], object)
    return sorted_codes(places, names)


def _passed(grid: Grid) -> frozenset[tuple[str, int, str]]:
    """Source, row and state of the rows that a mapping made nothing of."""
    if grid.mapped is None:
        return frozenset()
    skipped = {(grid.source, row, SKIPPED) for row in grid.mapped.skipped}
    return frozenset(skipped | {(grid.source, row, IGNORED) for row in grid.mapped.bare})
