"""Which table the name of a sheet or file means, and which words can be headings of ours."""

import re

from wearcast.logbook.schema.spelling import heading_key, tidy
from wearcast.logbook.schema.tables import TABLES, Table
from wearcast.logbook.schema.vocabulary import KIND_NOUNS

SEARCHED_ROWS = 30
"""How far down a heading row is looked for."""

HEADING_KEYS = frozenset(
    heading_key(name)
    for table in TABLES
    for column in table.columns
    for name in (column.name, *column.also)
)
"""Every heading that means a column of some table."""
_YEAR = re.compile(r"(?<=[a-z])(?:19|20)[0-9]{2}$")
"""Sheets are often named after the year, ``Readings 2026``."""
_TEXT_ENDING = re.compile(r"\.(?:csv|txt)$", re.IGNORECASE)
"""``readings.csv.txt``: an ending that the person never saw."""


def table_named(name: str) -> tuple[Table | None, bool]:
    """The table that a sheet's name means, and whether by its own name."""
    key = heading_key(name)
    for table in TABLES:
        if key == heading_key(table.name):
            return table, not tidy(name).endswith(")")
    for key in _other_keys(tidy(name)):
        for table in TABLES:
            if key in {heading_key(other) for other in (table.name, *table.also)}:
                return table, False
    return None, False


def _other_keys(name: str) -> list[str]:
    """The name without the year behind it, and what programs put before it: ``Log - readings``."""
    bare = _TEXT_ENDING.sub("", name)
    return [_YEAR.sub("", heading_key(part)) for part in (bare, bare.rpartition(" - ")[2])]


def kind_of(*texts: str) -> str:
    """The kind that the words of a part, its name or its position speak of."""
    words = f" {' '.join(texts)} ".casefold()
    found = (kind for kind, names in KIND_NOUNS if any(name in words for name in names))
    return next(found, "other")
