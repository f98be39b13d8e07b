"""Where the headings of a sheet stand, and which column each one means.

The first row that names every needed column holds them; where no row does, two rows below each
other may, each heading being what stands in both, in the lower or in the upper one.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from wearcast.logbook.schema.names import SEARCHED_ROWS
from wearcast.logbook.schema.spelling import heading_key
from wearcast.logbook.schema.tables import Table

Headings = Mapping[tuple[str, str], str]
"""The person's own headings: (table, heading key) -> column."""
Meant = dict[int, tuple[str, int]]
"""Place in the row -> the column meant and how surely.

3: by the columns table, 2: its own name, 1: an everyday word.
"""


@dataclass(frozen=True, slots=True)
class HeadingRow:
    """The headings of a sheet."""

    first: int
    last: int
    """Places among the sheet's rows; they differ where the headings stand in two rows."""
    texts: list[str]
    """The heading at each place, without blanks around; empty where none is."""
    meant: Meant


def find_headings(table: Table, rows: Sequence[Sequence[object]], own: Headings) -> HeadingRow:
    """The headings under which the most columns of the table are found."""
    needed = {column.name for column in table.columns if column.needed}
    best = HeadingRow(0, 0, _texts(rows[0]), {})
    for heading in _candidates(table, rows[:SEARCHED_ROWS], own):
        found = {name for name, _ in heading.meant.values()}
        if needed <= found:
            return heading
        if heading.first == heading.last and len(found) > len(
            {name for name, _ in best.meant.values()}
        ):
            best = heading
    return best


def _candidates(
    table: Table, rows: Sequence[Sequence[object]], own: Headings
) -> Iterator[HeadingRow]:
    """Every row as headings, then every two rows below each other."""
    for at, row in enumerate(rows):
        meant = {
            place: found for place, cell in enumerate(row) if (found := meaning(table, cell, own))
        }
        yield HeadingRow(at, at, _texts(row), _surest(meant))
    for at in range(len(rows) - 1):
        if not any(letter.isdigit() for cell in rows[at + 1] for letter in str(cell or "")):
            yield _two_rows(table, at, _texts(rows[at]), _texts(rows[at + 1]), own)


def _two_rows(
    table: Table, at: int, upper: list[str], lower: list[str], own: Headings
) -> HeadingRow:
    width = max(len(upper), len(lower))
    above = upper + [""] * (width - len(upper))
    below = lower + [""] * (width - len(lower))
    texts = [f"{one} {other}".strip() for one, other in zip(above, below, strict=True)]
    meant: Meant = {}
    for place, words in enumerate(zip(texts, below, above, strict=True)):
        readings = (meaning(table, text, own) for text in words)
        found = next((reading for reading in readings if reading), None)
        if found:
            meant[place] = found
    return HeadingRow(at, at + 1, texts, _surest(meant))


def _texts(row: Sequence[object]) -> list[str]:
    return ["" if cell is None else str(cell).strip() for cell in row]


def _surest(meant: Meant) -> Meant:
    """Without the places whose column another heading claims more surely."""
    surest: dict[str, int] = {}
    for name, surely in meant.values():
        surest[name] = max(surely, surest.get(name, 0))
    return {place: found for place, found in meant.items() if found[1] == surest[found[0]]}


def meaning(table: Table, cell: object, own: Headings) -> tuple[str, int] | None:
    """The column that one heading means, and how surely."""
    if not isinstance(cell, str) or not cell.strip():
        return None
    key = heading_key(cell)
    if (table.name, key) in own:
        return own[table.name, key], 3
    for column in table.columns:
        if key == heading_key(column.name):
            return column.name, 2
    for column in table.columns:
        if key in {heading_key(other) for other in column.also}:
            return column.name, 1
    return None
