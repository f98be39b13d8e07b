"""Where the headings of a mapped sheet stand: the row that holds most of what the mapping names.

Headings in two rows below each other are joined by a blank, the upper one going on to the right
over what it was merged across; a heading that stands twice is called ``Date #2`` the second time.
"""

from collections import Counter
from collections.abc import Collection, Sequence
from dataclasses import dataclass

from wearcast.logbook.reshape.heading_rows import meaning
from wearcast.logbook.reshape.periods import is_period
from wearcast.logbook.schema.names import SEARCHED_ROWS
from wearcast.logbook.schema.spelling import heading_key
from wearcast.logbook.schema.tables import Table
from wearcast.logbook.sources.cell_texts import text_of


@dataclass(frozen=True, slots=True)
class Headed:
    """The headings of a sheet."""

    last: int
    """Place of the last heading row among the sheet's rows."""
    texts: list[str]
    """The heading at each place; empty where none is."""
    labels: list[object]
    """The cells they were made of: a day keeps its type."""
    found: int
    """How many headings that were named stand here."""

    @property
    def keys(self) -> list[str]:
        """The key of each heading; empty where none is."""
        return [heading_key(text) if text else "" for text in self.texts]


def find_headed(
    rows: Sequence[Sequence[object]], named: Collection[str], tables: Sequence[Table], days: bool
) -> Headed:
    """The headings of a sheet.

    Parameters
    ----------
    rows : sequence of sequence
        The filled rows of the sheet.
    named : collection of str
        Keys of the headings that the mapping names.
    tables : sequence of Table
        Tables whose own columns may be headed here too.
    days : bool
        True if days, weeks or months are looked for among the headings.
    """

    def worth(one: Headed) -> tuple[int, int, int]:
        periods = sum(map(is_period, one.labels)) if days else 0
        own = sum(any(meaning(table, text, {}) for table in tables) for text in one.texts)
        return one.found, periods, own

    searched = rows[: min(SEARCHED_ROWS, len(rows))]
    single = [_headed(at, [*row], named) for at, row in enumerate(searched)]
    best = max(single, key=worth)
    pairs = zip(range(1, len(searched)), searched, searched[1:], strict=False)
    double = [_headed(at, _joined(upper, lower), named) for at, upper, lower in pairs]
    other = max(double, key=worth, default=best)
    below = next((one for one in double if one.last == best.last + 1), None)
    if other.found == best.found and below and _goes_on(best, rows[below.last], named):
        return below
    return other if other.found > best.found else best


def _goes_on(upper: Headed, lower: Sequence[object], named: Collection[str]) -> bool:
    """Whether the row below headings is their second half: it names more where they say nothing."""
    filled = [place for place, cell in enumerate(lower) if text_of(cell).strip()]
    taken = any(place < len(upper.keys) and upper.keys[place] in named for place in filled)
    return bool(upper.found) and len(filled) > 1 and not taken


def _headed(at: int, cells: list[object], named: Collection[str]) -> Headed:
    seen: Counter[str] = Counter()
    texts = []
    for cell in cells:
        text = " ".join(text_of(cell).split())
        seen[heading_key(text)] += 1
        again = seen[heading_key(text)]
        texts.append(f"{text} #{again}" if text and again > 1 else text)
    found = sum(1 for text in texts if text and heading_key(text) in named)
    return Headed(at, texts, cells, found)


def _joined(upper: Sequence[object], lower: Sequence[object]) -> list[object]:
    """Two rows of headings as one."""
    cells: list[object] = []
    group = ""
    for place in range(max(len(upper), len(lower))):
        above = text_of(upper[place]).strip() if place < len(upper) else ""
        below = lower[place] if place < len(lower) else None
        said = text_of(below).strip()
        group = above or (group if said else "")
        alone = below is not None and (not group or group == said)
        cells.append(below if alone else f"{group} {said}".strip() or None)
    return cells
