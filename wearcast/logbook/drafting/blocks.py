"""Sheets that hold two tables: side by side each is drafted by itself, below each other is told."""

from collections.abc import Sequence
from dataclasses import replace

from wearcast.logbook.drafting.outline import HEADS, Lane, Outline, outline
from wearcast.logbook.drafting.phrases import heading_words
from wearcast.logbook.sources.sheet import Sheet

FEWEST_HEADS = 3
"""Known headings in one row that make a table."""
LONGEST_HEADINGS = 2
"""Rows that headings may stand in."""


def outlines_of(sheet: Sheet) -> list[Outline]:
    """The sheet's tables: several where an empty column stands between lists with days."""
    found = outline(_first_table(sheet))
    if found is None:
        return []
    found = replace(found, sheet=sheet)
    groups: list[list[Lane]] = []
    for lane in found.lanes:
        if groups and lane.place == groups[-1][-1].place + 1:
            groups[-1].append(lane)
        else:
            groups.append([lane])
    whole = all(len(group) > 1 and any(one.kind == "date" for one in group) for group in groups)
    if len(groups) < 2 or not whole:
        return [found]
    return [
        replace(found, lanes=tuple(group), beside=_headings(found.lanes, group)) for group in groups
    ]


def _first_table(sheet: Sheet) -> Sheet:
    """The sheet without what stands below its first table."""
    row = second_table(sheet)
    rows = sum(number < row for number in sheet.row_numbers) if row else len(sheet.rows)
    return replace(sheet, rows=sheet.rows[:rows], row_numbers=sheet.row_numbers[:rows])


def _headings(lanes: Sequence[Lane], group: Sequence[Lane]) -> tuple[str, ...]:
    return tuple(lane.heading for lane in lanes if lane not in group)


def second_table(sheet: Sheet) -> int:
    """The row where a second table begins below the first; 0 if there is none."""
    first: set[str] = set()
    begins = 0
    for row, number in zip(sheet.rows, sheet.row_numbers, strict=True):
        cells = [cell for cell in row if cell is not None]
        if len(cells) < FEWEST_HEADS or not all(map(_may_head, cells)):
            continue
        words = {heading_words(str(cell)) for cell in cells}
        if len(words & HEADS) < FEWEST_HEADS:
            continue
        if begins and number > begins + LONGEST_HEADINGS and not words <= first:
            return number
        first, begins = (first, begins) if begins else (words, number)
    return 0


def _may_head(cell: object) -> bool:
    """Whether a cell can be a heading, as far as one look tells."""
    return isinstance(cell, str) and not cell[:1].isdigit()
