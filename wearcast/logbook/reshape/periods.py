"""Days, weeks and months that stand for a date: headings of a grid, a year beside a week.

A week or a month is its last day, as a date means the end of that day. Weeks are those of
ISO 8601: they begin on Monday, and week 1 holds the year's first Thursday.
"""

import datetime
import re
from functools import lru_cache
from typing import NamedTuple

from wearcast.logbook.schema.vocabulary import MONTHS, WEEK_WORDS
from wearcast.logbook.sources.cell_texts import text_of

LONGEST = 60
"""Letters of a text that is looked at."""
_WEEKS = "|".join(sorted(WEEK_WORDS, key=len, reverse=True))
_MONTH_NAMES = "|".join(sorted(map(re.escape, MONTHS), key=len, reverse=True))
_YEAR = re.compile(r"[ /,'-]*(?<![0-9])((?:19|20)[0-9]{2})(?![0-9])[ /,'-]*")
_WHOLE_DAY = re.compile(
    r"(?<![0-9])(?:[0-9]{4}-[0-9]{1,2}-[0-9]{1,2}"
    r"|[0-9]{1,2}([-/.])[0-9]{1,2}\1(?:[0-9]{4}|[0-9]{2})"
    rf"|[0-9]{{1,2}}[-/. ]+(?:{_MONTH_NAMES})\.?[-/, ]+(?:[0-9]{{4}}|'?[0-9]{{2}}))(?![0-9])"
)
_NUMBERED = re.compile(r"([0-9]{4})[-/.]([0-9]{1,2})|([0-9]{1,2})[-/.]([0-9]{4})")
_SHAPES = {
    "week": re.compile(
        rf"(?<![a-z])(?:{_WEEKS})[ .:-]*(?:n[ro][ .:]*)?(?P<number>[0-9]{{1,2}})(?![0-9])"
        r"(?:[ /'-]+(?P<year>[0-9]{2}))?(?![0-9])"
    ),
    "week behind": re.compile(rf"(?<![0-9])(?P<number>[0-9]{{1,2}})\.? ?(?:{_WEEKS})(?![a-z])"),
    "day": re.compile(r"(?<![0-9])[0-9]{1,2}(?P<mark>[-/.]) ?[0-9]{1,2}(?![0-9])\.?"),
    "named day": re.compile(
        rf"(?<![0-9])[0-9]{{1,2}}\.? ?(?:{_MONTH_NAMES})\b\.?|\b(?:{_MONTH_NAMES})\.? ?[0-9]{{1,2}}"
        r"(?![0-9])"
    ),
    "month": re.compile(rf"\b(?P<month>{_MONTH_NAMES})\b\.?(?:[ /]?['-] ?(?P<year>[0-9]{{2}})\b)?"),
}
"""Tried in this order; a year of four digits has been taken out before."""


class _Period(NamedTuple):
    """What a text names."""

    kind: str
    year: int | None
    found: re.Match[str]


def is_period(cell: object) -> bool:
    """Whether a heading names a day, a week or a month, with its year or without."""
    if isinstance(cell, datetime.date):
        return True
    text = _plain(cell)
    return bool(text) and (
        _WHOLE_DAY.fullmatch(text) is not None
        or _NUMBERED.fullmatch(text) is not None
        or _named(text, whole=True) is not None
    )


def as_day(cell: object) -> object:
    """The cell, or the last day of the period that it names together with its year.

    A day and a year apart from each other (``2026`` and ``06.01.``) are put together.
    """
    text = _plain(cell)
    return _as_day(str(cell), text) if text else cell


def with_week_word(heading: str, cell: object) -> object:
    """The cell; a bare number under a heading such as ``KW`` with that word in front."""
    word = heading.casefold().strip(" .:#")
    text = text_of(cell).strip()
    return f"{word} {text}" if word in WEEK_WORDS and re.fullmatch("[0-9]{1,2}", text) else cell


def _plain(cell: object) -> str:
    short = isinstance(cell, str) and len(cell) <= LONGEST
    return " ".join(str(cell).casefold().split()) if short else ""


@lru_cache(10_000)
def _as_day(cell: str, text: str) -> object:
    found = _NUMBERED.fullmatch(text)
    if found:
        year, month = (found[1], found[2]) if found[1] else (found[4], found[3])
        return _month_end(int(year), int(month)) or cell
    whole = _WHOLE_DAY.search(text)
    if whole:
        return whole[0] if _YEAR.match(text) and not _WHOLE_DAY.match(text) else cell
    named = _named(text, whole=False)
    if named is None or named.year is None:
        return cell
    if named.kind == "month":
        return _month_end(named.year, MONTHS[named.found["month"]]) or cell
    if named.kind == "day":
        mark = named.found["mark"]
        return f"{named.found[0].rstrip('.').replace(' ', '')}{mark}{named.year}"
    if named.kind == "named day":
        return f"{named.found[0]} {named.year}"
    return _week_end(named.year, int(named.found["number"])) or cell


def _named(text: str, whole: bool) -> _Period | None:
    """The period that a text names, alone or (not whole) with other words around."""
    years = set(_YEAR.findall(text))
    rest = " ".join(_YEAR.sub(" ", text).split())
    if len(years) > 1:
        return None
    for kind, shape in _SHAPES.items():
        found = shape.fullmatch(rest) if whole else shape.search(rest)
        if found:
            short = found.groupdict().get("year")
            year = int(years.pop()) if years else 2000 + int(short) if short else None
            return _Period(kind, year, found)
    return None


def _week_end(year: int, week: int) -> datetime.date | None:
    try:
        return datetime.date.fromisocalendar(year, week, 7)
    except ValueError:
        return None


def _month_end(year: int, month: int) -> datetime.date | None:
    if not 1 <= month <= 12:
        return None
    first = datetime.date(year + month // 12, month % 12 + 1, 1)
    return first - datetime.timedelta(days=1)
