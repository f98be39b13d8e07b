"""Cells merged down a column: what stands in the first one counts for every row they cover.

A workbook stores the value once, in the cell at the top; the person sees it beside all the rows.
"""

import re
from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Iterator, Sequence

from wearcast.logbook.sources.sheet import MOST_COLUMNS, column_of

MOST_MERGED = 100_000
"""Areas of a sheet that are looked at."""
MOST_FILLED = 500_000
"""Cells that are filled; five merged columns beside 100,000 rows."""
_AREA = re.compile(r"([A-Z]{1,3})([0-9]{1,7}):[A-Z]{1,3}([0-9]{1,7})")


def fill_merged(
    rows: Sequence[list[object]], numbers: Sequence[int], areas: Iterable[str]
) -> tuple[int, ...]:
    """Write the value of each area into its further filled rows; which rows that were.

    Parameters
    ----------
    rows : sequence of list
        Filled rows in order; changed in place.
    numbers : sequence of int
        Their rows as the spreadsheet shows them.
    areas : iterable of str
        Merged areas, ``A2:A4``.
    """
    filled: set[int] = set()
    left = MOST_FILLED
    for column, first, last in _down(areas):
        top, end = bisect_left(numbers, first), bisect_right(numbers, last)
        if top == end or numbers[top] != first or column > len(rows[top]):
            continue
        left -= end - top
        if left < 0:
            break
        for row, number in zip(rows[top + 1 : end], numbers[top + 1 : end], strict=True):
            row.extend([None] * (column - len(row)))
            if row[column - 1] is None and rows[top][column - 1] is not None:
                row[column - 1] = rows[top][column - 1]
                filled.add(number)
    return tuple(sorted(filled))


def _down(areas: Iterable[str]) -> Iterator[tuple[int, int, int]]:
    """First column, first row and last row of each area of several rows, none over another."""
    places = [found.groups() for found in map(_AREA.fullmatch, areas) if found]
    down = sorted((column_of(name), int(first), int(last)) for name, first, last in places)
    before: tuple[int, ...] = ()
    for column, first, last in down:
        if first < last and column <= MOST_COLUMNS and (column, first) > before:
            yield column, first, last
            before = (column, last)
