"""A table of readings laid out sideways: a column a machine, or a column a day.

Such a table is not turned by the program: which of its cells are blank and which were never read
only the person knows. It is recognised, so that the refusal says what to do.
"""

from collections.abc import Sequence

from wearcast.logbook.sheets.dates import read_date
from wearcast.logbook.sheets.numbers import looks_like_number

TITLES = 5
"""Rows that are looked at for the headings."""
FEWEST = 2
"""Columns of numbers under headings that are none of ours."""


def sideways(table: str, rows: Sequence[Sequence[object]]) -> tuple[str, str] | None:
    """What is wrong and what to do, if the rows are readings laid out sideways below any titles."""
    if table != "readings":
        return None
    tries = (_laid_out(rows[at], rows[at + 1 : at + 20]) for at in range(min(len(rows), TITLES)))
    return next((found for found in tries if found), None)


def _laid_out(
    headings: Sequence[object], body: Sequence[Sequence[object]]
) -> tuple[str, str] | None:
    """The same, of the rows under these headings."""
    numbers = [
        place
        for place, heading in enumerate(headings)
        if place and heading is not None and _mostly_numbers(body, place)
    ]
    days = [place for place in numbers if _is_day(headings[place])]
    cure = "Write a row a reading: machine, date and hours beside each other"
    if len(days) >= FEWEST:
        return "each day has a column of its own", cure
    if len(numbers) >= FEWEST and body and _is_day(body[0][0]):
        return "each machine has a column of its own", cure
    return None


def _mostly_numbers(body: Sequence[Sequence[object]], place: int) -> bool:
    cells = [row[place] for row in body if place < len(row) and row[place] not in (None, "")]
    return bool(cells) and sum(map(looks_like_number, cells)) * 2 > len(cells)


def _is_day(cell: object) -> bool:
    if cell is None or isinstance(cell, (int, float)):
        return False
    meaning = read_date(cell)
    return not meaning.wrong and not meaning.serial
