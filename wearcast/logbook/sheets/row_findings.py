"""What is told of the rows of a grid and their cells, and what is done about it."""

from dataclasses import replace

import numpy as np

from wearcast.logbook.findings.drafts import Finding, Outcome
from wearcast.logbook.schema.tables import Column
from wearcast.logbook.sheets.cells import Cells, Fault
from wearcast.logbook.sheets.headings import Grid
from wearcast.logbook.sheets.rows import Passed
from wearcast.logbook.sources.cell_texts import text_of

BLOCK = 3
"""Rows from which a sheet may have blocks whose first row alone names the machine."""


def on_passed(grid: Grid, passed: Passed) -> Finding:
    """The finding on rows that are passed over."""
    place = int(passed.places[0])
    texts = (_text_at(cells, place) for cells in grid.cells.values())
    value = next((text for text in texts if text), "")
    outcome: Outcome = "kept" if passed.severity == "note" else "row"
    return Finding(passed.places, "", passed.severity, outcome, passed.wrong, passed.remedy, value)


def _text_at(cells: Cells, place: int) -> str:
    code = cells.codes[place]
    return "" if code < 0 else text_of(cells.distinct[code]).strip()


def on_fault(column: Column, fault: Fault) -> Finding:
    """What a fault of a column does: a needed cell sets its row aside, another counts as blank."""
    wrong, outcome = fault.wrong, _outcome(column, fault)
    if outcome == "cell":
        wrong += "; the cell counts as blank"
    return Finding(fault.places, column.name, fault.severity, outcome, wrong, fault.remedy)


def _outcome(column: Column, fault: Fault) -> Outcome:
    if fault.severity != "set aside" or fault.keeps:
        return "kept"
    return "row" if column.needed or column.holds_row else "cell"


def on_missing(column: Column, missing: np.ndarray) -> list[Finding]:
    """The note on cells that say that they hold nothing, array (rows,) of bool."""
    if not missing.any():
        return []
    rows = np.flatnonzero(missing)
    return [Finding(rows, column.name, "note", "kept", "read as blank")]


def gone_down(grid: Grid) -> str:
    """The first column, where it seems to stand in the first row of each block alone."""
    first = grid.table.columns[0].name
    filled = grid.cells[first].codes >= 0 if first in grid.cells else np.array([], bool)
    blocks = len(filled) > BLOCK and filled[0] and filled.mean() < 1 / 2
    return first if blocks and grid.table.name in ("readings", "changes") else ""


def on_wanting(
    wanting: dict[str, np.ndarray], said: dict[str, np.ndarray], block: str
) -> list[Finding]:
    """One finding for the rows that lack the same needed cells.

    By column arrays (rows,) of bool: True where a cell is wanting, where it says that it is.
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


def without_idle(findings: list[Finding], undecided: np.ndarray) -> list[Finding]:
    """The findings; rows that are set aside are not told as repaired or worth knowing, too.

    `undecided` is an array (rows,): place of each row with a word that nobody decided.
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


def _stands(finding: Finding) -> bool:
    """Whether a finding is told of rows that are set aside for another reason, too."""
    return finding.severity == "set aside" and finding.outcome != "kept"
