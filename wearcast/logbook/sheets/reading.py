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
    USED,
    Draft,
    Finding,
    Outcome,
    settle,
)
from wearcast.logbook.findings.written import Written, stacked
from wearcast.logbook.schema.tables import SOME_DAY, Column, Table
from wearcast.logbook.sheets.cells import (
    Cells,
    Fault,
    numbers_of,
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
from wearcast.logbook.sheets.rows import Passed, passed_rows
from wearcast.logbook.sources.cell_texts import is_empty, says_missing, text_of

BLOCK = 3
"""Rows from which a sheet may have blocks whose first row alone names the machine."""


def date_columns(grid: Grid) -> dict[str, DateColumn]:
    """What the cells of the grid's date columns can mean."""
    if not grid.rows:
        return {}
    skip = _mask(grid, passed_rows(grid))
    return {
        column.name: read_column(
            _days(_filled(grid.cells[column.name], skip), column), grid.date1904
        )
        for column in grid.table.columns
        if column.kind == "date" and column.name in grid.cells
    }


def _days(cells: Cells, column: Column) -> Cells:
    """The cells without those that say yes or no where a date may."""
    return without(cells, cells.where(says_yes) | cells.where(says_no)) if column.or_yes else cells


def empty_draft(table: Table) -> Draft:
    """A draft without rows."""
    frame = pd.DataFrame({column.name: _typed(column, np.array([])) for column in table.columns})
    extra = pd.DataFrame(
        {
            "source": np.array([], object),
            "row": np.array([], np.int64),
            "origin": np.array([], np.int64),
            "state": np.array([], object),
            "run": np.array([], bool),
        }
    )
    nothing = (np.zeros(0, np.int64), np.array([""], object))
    written = Written({column.name: nothing for column in table.columns})
    return Draft(table, pd.concat([frame, extra], axis=1), written)


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
    passed = passed_rows(grid)
    skip = _mask(grid, passed)
    values: dict[str, np.ndarray] = {}
    codes: dict[str, Coded] = {}
    written: dict[str, tuple[np.ndarray, np.ndarray]] = {}
    findings = [_on_passed(grid, one) for one in passed if one.wrong]
    texts_of_table = {*grid.table.texts}
    wanting: dict[str, np.ndarray] = {}
    said: dict[str, np.ndarray] = {}
    nothing = _nothing(len(grid.rows))
    for column in grid.table.columns:
        cells = grid.cells.get(column.name, nothing)
        filled = _filled(cells, skip)
        values[column.name], faults = _read_column(grid, column, filled, orders)
        texts = np.array([*map(text_of, cells.distinct), ""], object)
        written[column.name] = _places(cells), texts
        if column.name in texts_of_table:
            codes[column.name] = _codes_of(filled, values[column.name])
        findings += [_on_fault(column, fault) for fault in faults]
        if column.needed:
            wanting[column.name] = (filled.codes < 0) & ~skip
            said[column.name] = cells.said(says_missing) & ~skip
        elif column.kind != "text" and column.name in grid.cells:
            findings += _on_missing(column, cells.said(says_missing) & ~skip)
    undecided = np.array(sorted(grid.mapped.aside if grid.mapped else ()), np.int64)
    findings = _without_idle(findings + _on_wanting(wanting, said, _gone_down(grid)), undecided)
    ignored = _mask(grid, [one for one in passed if one.severity == "note"])
    states = np.array([USED, IGNORED, SET_ASIDE], object)
    state = ignored.astype(np.int8)
    state[undecided] = 2
    rows = len(grid.rows)
    frame = pd.DataFrame(
        {
            **{one.name: _typed(one, values[one.name]) for one in grid.table.columns},
            "source": pd.Series(same_text(grid.source, rows), dtype=object),
            "row": numbers_of(grid.rows),
            "origin": np.full(rows, grid.origin, np.int64),
            "state": pd.Series(states[state], dtype=object),
            "run": np.full(rows, grid.mapped is not None and grid.mapped.run),
        },
        copy=False,
    )
    columns = frozenset(grid.cells)
    draft = Draft(grid.table, frame, Written(written), columns=columns, passed=_passed(grid))
    codes["source"] = sorted_codes(np.zeros(rows, np.int32), [grid.source])
    return draft.with_codes(codes), findings


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


def _stands(finding: Finding) -> bool:
    """Whether a finding is told of rows that are set aside for another reason, too."""
    return finding.severity == "set aside" and finding.outcome != "kept"


def _passed(grid: Grid) -> frozenset[tuple[str, int, str]]:
    """Source, row and state of the rows that a mapping made nothing of."""
    if grid.mapped is None:
        return frozenset()
    skipped = {(grid.source, row, SKIPPED) for row in grid.mapped.skipped}
    return frozenset(skipped | {(grid.source, row, IGNORED) for row in grid.mapped.bare})


def _without_idle(findings: list[Finding], undecided: np.ndarray) -> list[Finding]:
    """The findings; rows that are set aside are not told as repaired or worth knowing, too.

    Nothing at all is told of rows with a word that nobody decided: that has been told.
    """
    if len(undecided):
        findings = [replace(one, rows=np.setdiff1d(one.rows, undecided)) for one in findings]
        findings = [one for one in findings if len(one.rows)]
    aside = [one.rows for one in findings if one.outcome == "row"]
    if not aside:
        return findings
    gone = np.concatenate(aside)
    left = [
        one if _stands(one) else replace(one, rows=np.setdiff1d(one.rows, gone)) for one in findings
    ]
    return [one for one in left if len(one.rows)]


def _mask(grid: Grid, passed: list[Passed]) -> np.ndarray:
    skip = np.zeros(len(grid.rows), bool)
    for one in passed:
        skip[one.places] = True
    return skip


def _nothing(rows: int) -> Cells:
    """A column that nobody wrote."""
    return Cells(np.full(rows, -1, np.int32), ())


def _filled(cells: Cells, skip: np.ndarray) -> Cells:
    """The cells without empty ones, words for nothing, and rows that are passed over."""
    if not cells.distinct:
        return cells
    return without(cells, cells.said(is_empty) | cells.said(says_missing) | skip)


def _read_column(
    grid: Grid, column: Column, cells: Cells, orders: Orders
) -> tuple[np.ndarray, list[Fault]]:
    if column.kind in ("number", "count", "share"):
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
        return read_names(cells, declares=not column.refers)
    return read_texts(cells), []


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


def _typed(column: Column, values: np.ndarray) -> pd.Series:
    """The column with the dtype that its kind has everywhere."""
    if column.kind == "date":
        return pd.Series(values.astype("datetime64[ns]", copy=False))
    if column.kind == "yes_no":
        return pd.Series(values.astype(bool, copy=False))
    if column.kind in ("number", "count", "share"):
        return pd.Series(values.astype(float, copy=False))
    return pd.Series(values.astype(object, copy=False), dtype=object)


def _on_passed(grid: Grid, passed: Passed) -> Finding:
    place = int(passed.places[0])
    texts = (_text_at(cells, place) for cells in grid.cells.values())
    value = next((text for text in texts if text), "")
    outcome: Outcome = "kept" if passed.severity == "note" else "row"
    return Finding(passed.places, "", passed.severity, outcome, passed.wrong, passed.remedy, value)


def _text_at(cells: Cells, place: int) -> str:
    code = cells.codes[place]
    return "" if code < 0 else text_of(cells.distinct[code]).strip()


def _on_fault(column: Column, fault: Fault) -> Finding:
    if fault.severity != "set aside":
        return Finding(fault.places, column.name, fault.severity, "kept", fault.wrong, fault.remedy)
    if fault.keeps:
        rows = fault.places
        return Finding(rows, column.name, "set aside", "kept", fault.wrong, fault.remedy)
    whole = column.needed or column.holds_row
    wrong = fault.wrong if whole else f"{fault.wrong}; the cell counts as blank"
    rows = fault.places
    if whole:
        return Finding(rows, column.name, "set aside", "row", wrong, fault.remedy)
    return Finding(rows, column.name, "set aside", "cell", wrong, fault.remedy)


def _on_missing(column: Column, missing: np.ndarray) -> list[Finding]:
    if not missing.any():
        return []
    rows = np.flatnonzero(missing)
    return [Finding(rows, column.name, "note", "kept", "read as blank")]


def _gone_down(grid: Grid) -> str:
    """The first column, where it seems to stand in the first row of each block alone."""
    first = grid.table.columns[0].name
    filled = grid.cells[first].codes >= 0 if first in grid.cells else np.array([], bool)
    blocks = len(filled) > BLOCK and filled[0] and filled.mean() < 1 / 2
    return first if blocks and grid.table.name in ("readings", "changes") else ""


def _on_wanting(
    wanting: dict[str, np.ndarray], said: dict[str, np.ndarray], block: str
) -> list[Finding]:
    """One finding for the rows that lack the same needed cells.

    `block` is the column that may stand in the first row of each block alone.
    """
    names = list(wanting)
    lacking = np.array([wanting[name] for name in names]).T
    words = np.array([said[name] for name in names]).any(axis=0)
    findings = []
    for pattern in np.unique(lacking[lacking.any(axis=1)], axis=0):
        lacked = [name for name, lacks in zip(names, pattern, strict=True) if lacks]
        here = (lacking == pattern).all(axis=1)
        verb = "is" if len(lacked) == 1 else "are"
        both = " and ".join(lacked)
        for rows, wrong in (
            (here & ~words, f"{both} {verb} blank"),
            (here & words, f"this stands for nothing, and {both} {verb} needed"),
        ):
            if rows.any():
                places = np.flatnonzero(rows)
                cure = f"Fill in {both}"
                if lacked == [block]:
                    cure += f"; if the one above counts, write your heading for {block} with [down]"
                    cure += " behind it in a table columns"
                findings.append(Finding(places, lacked[0], "set aside", "row", wrong, cure))
    return findings
