"""Words that the findings of this room share: days, and rows by file."""

from collections.abc import Iterator

import pandas as pd

from wearcast.logbook.schema.vocabulary import MONTH_NAMES


def day_words(date: pd.Timestamp, beside: pd.Timestamp | None = None) -> str:
    """``2 March 2026``; without the year if it is that of the date told beside it."""
    words = f"{date.day} {MONTH_NAMES[date.month - 1]}"
    same_year = beside is not None and date.year == beside.year
    return words if same_year else f"{words} {date.year}"


def rows_by_source(lines: pd.DataFrame) -> Iterator[tuple[str, str, tuple[int, ...]]]:
    """Source, table and rows of lines, a file and table at a time."""
    found: dict[tuple[str, str], list[int]] = {}
    for source, table, row in zip(lines["source"], lines["table"], lines["row"], strict=True):
        found.setdefault((str(source), str(table)), []).append(int(row))
    for (source, table), rows in sorted(found.items()):
        yield source, table, tuple(sorted(rows))


def names_words(names: list[str], most: int = 5) -> str:
    """``M001, M002 and 3 more``."""
    if len(names) <= most:
        return ", ".join(names)
    return f"{', '.join(names[:most])} and {len(names) - most} more"
