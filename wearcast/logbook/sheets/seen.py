"""What is said where a needed table is not there: which sheets are, and what they could be."""

from collections.abc import Sequence

from wearcast.logbook.reshape.heading_rows import find_headings
from wearcast.logbook.schema.examples import NOTES
from wearcast.logbook.schema.names import table_named
from wearcast.logbook.schema.spelling import heading_key, listed, nearest
from wearcast.logbook.schema.tables import BY_NAME
from wearcast.logbook.sheets.sideways import sideways
from wearcast.logbook.sources.sheet import Sheet, workbook_of

MOST_SHEETS = 12
MOST_HEADINGS = 6
FEWEST = 2
"""Columns of a table that a sheet must head to look like it."""
CURE = (
    "If one of them is it, give it that name, or say in a table columns how it is to be read"
    " (wearcast import drafts one)."
)


def missing_words(names: Sequence[str], sheets: Sequence[Sheet]) -> str:
    """That these tables are not there, and what the person has in their place."""
    where = listed(sorted({workbook_of(sheet) for sheet in sheets}), 3) or "the logbook"
    needed = [f"{name} with the columns {', '.join(_needed(name))}" for name in names]
    what = "; add a sheet or a file of that name with the columns " + ", ".join(_needed(names[0]))
    if len(names) > 1:
        what = f"; add sheets or files of these names, {' and '.join(needed)}"
    strange = [
        sheet
        for sheet in sheets
        if table_named(sheet.name)[0] is None and sheet.rows and sheet.name != NOTES
    ]
    said = f"{where}: there is no table {' and no table '.join(names)}{what}."
    if not strange:
        return said
    seen = [_seen(sheet, names) for sheet in strange[:MOST_SHEETS]]
    more = len(strange) - len(seen)
    rest = f" and {more} more" if more else ""
    return f"{said} Seen: {'; '.join(seen)}{rest}. {CURE}"


def _needed(name: str) -> list[str]:
    return [column.name for column in BY_NAME[name].columns if column.needed]


def _seen(sheet: Sheet, names: Sequence[str]) -> str:
    """A sheet with its headings and what it could be."""
    could = [name for name in names if _could_be(sheet, name)]
    hint = f": could be {' or '.join(could)}" if could else ""
    heads = max(
        (find_headings(BY_NAME[name], sheet.rows, {}) for name in names),
        key=lambda found: len(found.meant),
    )
    texts = [text for text in heads.texts if text]
    shown = f" ({listed(texts, MOST_HEADINGS)}){hint}" if texts else hint
    return f'"{sheet.name}"{shown}'


def _could_be(sheet: Sheet, name: str) -> bool:
    """Whether a sheet's name or headings look like those of a table."""
    meant = find_headings(BY_NAME[name], sheet.rows, {}).meant.values()
    found = {column for column, _ in meant} & set(_needed(name))
    called = name in heading_key(sheet.name) or bool(nearest(sheet.name, [name]))
    return called or len(found) >= FEWEST or sideways(name, sheet.rows) is not None
