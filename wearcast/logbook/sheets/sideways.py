"""Tables laid out sideways: a column a machine, a day or a position.

Such a table is not turned unasked: what its headings and marks mean only the person knows. It is
recognised, so that the refusal says how to have it turned.
"""

from collections.abc import Sequence

from wearcast.logbook.reshape.periods import is_period
from wearcast.logbook.reshape.unfolded import blank
from wearcast.logbook.schema.names import kind_of
from wearcast.logbook.sheets.dates import read_date
from wearcast.logbook.sheets.numbers import looks_like_number
from wearcast.logbook.sources.cell_texts import text_of

TITLES = 5
"""Rows that are looked at for the headings."""
FEWEST = 2
"""Columns of one sort under headings that are none of ours."""
LONGEST_MARK = 12
"""Letters of a mark such as X, new or turned."""


def sideways(table: str, rows: Sequence[Sequence[object]]) -> tuple[str, str] | None:
    """What is wrong and what to do, if a table is laid out sideways below any titles."""
    look = {"readings": _readings, "changes": _changes}.get(table)
    if look is None:
        return None
    tries = (look(rows[at], rows[at + 1 : at + 20]) for at in range(min(len(rows), TITLES)))
    return next((found for found in tries if found), None)


def _cure(heading: str, cell: str) -> str:
    return (
        f"Have it turned by a table columns: name your sheet there, [heading] for {heading} and"
        f" [cell] for {cell}"
    )


def _readings(
    headings: Sequence[object], body: Sequence[Sequence[object]]
) -> tuple[str, str] | None:
    """The same, of the readings under these headings."""
    numbers = [
        place
        for place, heading in enumerate(headings)
        if place and heading is not None and _mostly_numbers(body, place)
    ]
    days = [place for place in numbers if is_period(headings[place])]
    if len(days) >= FEWEST:
        return "each day has a column of its own", _cure("date", "hours")
    if len(numbers) >= FEWEST and body and _is_day(body[0][0]):
        return "each machine has a column of its own", _cure("machine", "hours")
    return None


def _changes(
    headings: Sequence[object], body: Sequence[Sequence[object]]
) -> tuple[str, str] | None:
    """The same, of the changes under these headings."""
    places = [
        place
        for place, heading in enumerate(headings)
        if isinstance(heading, str) and kind_of(heading) != "other" and _marked(body, place)
    ]
    if len(places) < FEWEST:
        return None
    cure = f"{_cure('position', 'action')}; a table words says what your marks mean"
    return "each position has a column of its own", cure


def _marked(body: Sequence[Sequence[object]], place: int) -> bool:
    """Whether a column holds short marks or nothing."""
    cells = [row[place] for row in body if place < len(row) and not blank(row[place])]
    return all(len(text_of(cell)) <= LONGEST_MARK for cell in cells)


def _mostly_numbers(body: Sequence[Sequence[object]], place: int) -> bool:
    cells = [row[place] for row in body if place < len(row) and row[place] not in (None, "")]
    return bool(cells) and sum(map(looks_like_number, cells)) * 2 > len(cells)


def _is_day(cell: object) -> bool:
    if cell is None or isinstance(cell, (int, float)):
        return False
    meaning = read_date(cell)
    return not meaning.wrong and not meaning.serial
