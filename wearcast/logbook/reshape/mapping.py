"""The person's mapping as plain data: what their headings and words mean, sheet by sheet.

It stands in two tables of the logbook. A row of ``columns`` says which heading (or sheet, file,
heading row, grid cell) fills which column of ours; a row of ``words`` what a word of theirs means.
"""

import re
from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from functools import lru_cache
from pathlib import PurePath

from wearcast.logbook.schema.names import table_named
from wearcast.logbook.schema.spelling import heading_key, phrase_key
from wearcast.logbook.schema.tables import ABOUT_OTHERS
from wearcast.logbook.sources.sheet import Sheet

SHEET, FILE, HEADING, CELL = "[sheet]", "[file]", "[heading]", "[cell]"
PLACES = (SHEET, FILE, HEADING, CELL)
"""What may stand under ``theirs`` in place of a heading."""
DOWN = "[down]"
"""Behind a heading: a blank cell takes what stands above it."""
DID, ONLY, RUN = "did", "only", "run"
"""What may stand under ``ours`` in place of a column."""
OF_WORK = (DID, "position", "action", "cause")
"""Columns of changes that the rows of a sheet of readings may name too: then it feeds both."""
SKIP = "skip"
"""The word for rows that do not count."""


@dataclass(frozen=True, slots=True)
class Rule:
    """One row of the table ``columns``."""

    table: str
    sheet: str
    """Name or pattern; empty: sheets that bear the table's name."""
    theirs: str
    ours: str
    """Empty: the heading is known and left out."""

    @property
    def place(self) -> str:
        """``[sheet]`` and the like, if it stands in place of a heading; else empty."""
        plain = self.theirs.strip().casefold()
        return plain if plain in PLACES else ""

    @property
    def down(self) -> bool:
        """Whether blank cells take what stands above them."""
        return self.theirs.strip().casefold().endswith(DOWN)

    @property
    def key(self) -> str:
        """The heading's key; empty for a place."""
        bare = self.theirs.strip()
        return "" if self.place else heading_key(bare[: -len(DOWN)] if self.down else bare)


@dataclass(frozen=True, slots=True)
class Word:
    """One row of the table ``words``: what a word means; all empty where that is undecided."""

    ours: str = ""
    position: str = ""
    action: str = ""
    cause: str = ""

    @property
    def decided(self) -> bool:
        """Whether somebody said what it means."""
        return bool(self.ours or self.position or self.action or self.cause)

    @property
    def skips(self) -> bool:
        """Whether rows with this word do not count."""
        return SKIP in (phrase_key(self.ours), phrase_key(self.action))


Words = dict[str, tuple[Word, ...]]
"""A phrase's key (`wearcast.logbook.schema.spelling.phrase_key`) -> what it means."""


@dataclass(frozen=True, slots=True)
class Mapping:
    """All rows of the two tables."""

    rules: tuple[Rule, ...] = ()
    words: dict[tuple[str, str], Words] = field(default_factory=dict)
    """By table and column."""

    def feeds(self, sheet: Sheet) -> dict[str, tuple[Rule, ...]]:
        """The tables that the rows of a sheet belong to, each with its rules.

        A sheet that no rule names feeds the table that it is called after.
        """
        found: dict[str, tuple[Rule, ...]] = {}
        for rule in self.rules:
            if rule.sheet and is_meant(rule.sheet, sheet):
                found[rule.table] = (*found.get(rule.table, ()), rule)
        table, _ = table_named(sheet.name)
        if found or table is None:
            return _with_work(found)
        own = tuple(one for one in self.rules if one.table == table.name and not one.sheet)
        return {table.name: own}

    def words_of(self, table: str) -> dict[str, Words]:
        """The words of one table, by column."""
        return {column: words for (name, column), words in self.words.items() if name == table}


def _with_work(found: dict[str, tuple[Rule, ...]]) -> dict[str, tuple[Rule, ...]]:
    """Rules of readings that say what was done feed changes too, with the same machine and day."""
    rules = found.get("readings", ())
    if "changes" in found or not any(rule.ours in OF_WORK for rule in rules):
        return found
    bare = tuple(replace(rule, ours="") if rule.ours in OF_WORK else rule for rule in rules)
    changes = tuple(replace(rule, table="changes") for rule in rules)
    return found | {"readings": bare, "changes": changes}


def is_meant(pattern: str, sheet: Sheet) -> bool:
    """Whether a name or pattern means that sheet, by its name or as ``file.xlsx[name]``."""
    table, exact = table_named(sheet.name)
    if table is not None and table.name in ABOUT_OTHERS:
        return False
    if exact and ("*" in pattern or "?" in pattern):
        return False  # a table of ours is no record that a pattern was meant for
    file = PurePath(sheet.source).name
    names = [sheet.name, f"{file}[{sheet.name}]", *([file] if sheet.every_cell else [])]
    shape = _shape(pattern)
    return any(shape.fullmatch(phrase_key(name)) for name in names)


@lru_cache
def _shape(pattern: str) -> re.Pattern[str]:
    parts = re.split(r"([*?])", phrase_key(pattern))
    marks = {"*": ".*", "?": "."}
    return re.compile("".join(marks.get(part) or re.escape(part) for part in parts), re.DOTALL)


def words_from(
    rows: Iterable[tuple[str, str, str, str, str, str, str]],
) -> dict[tuple[str, str], Words]:
    """Words by table and column, from rows of table, column, theirs, ours, position, action, cause.

    Of several rows for one word all count if the column is ``did``; else the first decided one.
    """
    found: dict[tuple[str, str], Words] = {}
    for table, column, theirs, *meant in rows:
        words = found.setdefault((table, column), {})
        key = phrase_key(theirs)
        words[key] = (*words.get(key, ()), Word(*meant))
    return {
        place: {key: _decided(several) for key, several in words.items()}
        for place, words in found.items()
    }


def _decided(several: tuple[Word, ...]) -> tuple[Word, ...]:
    return tuple(one for one in several if one.decided) or several[:1]
