"""Dates as people write them.

A text date with two numbers up to 12 has two readings; which one holds is decided for the whole
column, then by the workbook's other columns, then by the setting ``dates``, and never by a
single cell (`wearcast.logbook.sheets.date_orders`). Day numbers count from 1900 as spreadsheets
do, or from 1904 where the file says so.
"""

import datetime
import math
import re
from dataclasses import dataclass
from typing import Literal

from wearcast.logbook.schema.spelling import without_hidden
from wearcast.logbook.schema.vocabulary import MONTH_NAMES, MONTHS, WEEKDAYS

Order = Literal["day first", "month first"]
ORDERS: tuple[Order, Order] = ("day first", "month first")

FIRST, LAST = datetime.date(1950, 1, 1), datetime.date(2199, 12, 31)
"""Dates outside are slips of the pen: no scrubber is that old, no plan reaches that far."""
MOST_DIGITS = 40
DAY_MISSING = "the day is missing"
YEAR_DAY_MONTH = "year, day and month in an order that nobody expects"

_DASHES = re.compile("[\u2010-\u2015\u2212]")
_ASIAN = str.maketrans({"\u5e74": "-", "\u6708": "-", "\u65e5": None})
"""The signs for year, month and day behind their numbers."""
_YMD = re.compile(r"([0-9]{4})([-/. ]) ?([0-9]{1,2})\2 ?([0-9]{1,2})\.?")
_COMPACT = re.compile(r"((?:19|20)[0-9]{2})([0-9]{2})([0-9]{2})")
_WEEK = re.compile(r"([0-9]{4})-?w([0-9]{2})-?([1-7])")
_TWO_WAYS = re.compile(
    r"([0-9]{1,2})\s?([-/. ])\s?([0-9]{1,2})\s?\2\s?([0-9]{4}|[0-9]{2})\.?",
)
_SERIAL = re.compile(r"-?[0-9]{1,7}(?:\.[0-9]+)?")
_TIME = re.compile(
    r"(?:(?<=[0-9])t[0-9]{2}(?::?[0-9]{2}){0,2}(?:[.,][0-9]{1,9})?"
    r"|,? (?:at |um |kl\.? |\u00e0 )?[0-9]{1,2}"
    r"(?:[:h][0-9]{2}(?::[0-9]{2}(?:[.,][0-9]{1,9})?)?(?: ?[ap]\.? ?m\.?| ?h| ?uhr)?"
    r"| ?(?:[ap]\.? ?m\.?|h|uhr)))"
    r"(?: ?(?:z|utc|gmt))?(?: ?[+-][0-9]{2}(?::?[0-9]{2})?)?$"
    r"|(?<=[0-9]{4}) [0-9]{1,2}\.[0-9]{2}(?: ?uhr)?$"
    r"|(?<=-[0-9]{2})(?:z|[+-][0-9]{2}:[0-9]{2})$"
)
"""A time of day behind a date; whatever else stands there makes it no date."""
_DAY_NAME = rf"(?:{'|'.join(WEEKDAYS)})"
_WEEKDAY = re.compile(rf"^{_DAY_NAME}[.,]*,? +|[ ,]+\(?{_DAY_NAME}\.?\)?$")
_LETTERS = "a-z\u00e4\u00e7\u00e9\u00fb"
_NAMED = re.compile(
    rf"([0-9]{{1,2}})(?:st|nd|rd|th|er|\u00ba)?\.?[-/ ]*(?:de |of )?([{_LETTERS}]{{3,10}})\.?"
    r"[-/, ]*(?:de )?'?([0-9]{4}|[0-9]{2})"
)
_NAMED_FIRST = re.compile(
    rf"([{_LETTERS}]{{3,10}})\.?[-/ ]*([0-9]{{1,2}})(?:st|nd|rd|th)?[-/, ]+([0-9]{{4}})"
)
_NAMED_AMID = re.compile(rf"([0-9]{{4}})[-/ ]([{_LETTERS}]{{3,10}})\.?[-/ ]([0-9]{{1,2}})")
_NO_YEAR = re.compile(
    rf"[0-9]{{1,2}}(?:st|nd|rd|th)?\.?[-/ ]*([{_LETTERS}]{{3,10}})\.?"
    rf"|([{_LETTERS}]{{3,10}})\.?[-/ ]*[0-9]{{1,2}}(?:st|nd|rd|th)?"
    r"|[0-9]{1,2}[./][0-9]{1,2}\.?"
)
_NO_DAY = re.compile(
    rf"([{_LETTERS}]{{3,10}})\.?[-/, ]*[0-9]{{4}}"
    r"|[0-9]{4}-?w[0-9]{2}|[0-9]{1,2}[-/.][0-9]{4}"
)


@dataclass(frozen=True, slots=True)
class ReadDate:
    """What one text or number can mean as a date."""

    day: datetime.date | None = None
    """The date, if there is one reading only."""
    day_first: datetime.date | None = None
    month_first: datetime.date | None = None
    wrong: str = ""
    serial: bool = False
    """True for a day number that stands for a date."""

    @property
    def sole(self) -> datetime.date | None:
        """The date, if no other order gives another one."""
        days = [day for day in (self.day, self.day_first, self.month_first) if day]
        return days[0] if len(days) == 1 else None

    def in_order(self, order: Order | None) -> datetime.date | None:
        """The date, if numbers are read in that order."""
        if order is None or self.day is not None:
            return self.day
        return self.day_first if order == "day first" else self.month_first


def _date(year: int, month: int, day: int) -> datetime.date | None:
    try:
        return datetime.date(year, month, day)
    except ValueError:
        return None


def _year(digits: str) -> int:
    """Two digits are a year of this century."""
    return int(digits) if len(digits) > 2 else 2000 + int(digits)


def read_date(cell: object, date1904: bool = False) -> ReadDate:
    """What a cell can mean as a date."""
    if isinstance(cell, datetime.datetime):
        return _plausible(ReadDate(cell.date()))
    if isinstance(cell, datetime.date):
        return _plausible(ReadDate(cell))
    text = _plain(cell)
    if isinstance(cell, bool) or len(text) > MOST_DIGITS:
        return ReadDate(wrong="not a date")
    if not _COMPACT.fullmatch(text) and (isinstance(cell, (int, float)) or _SERIAL.fullmatch(text)):
        return _of_serial(float(text), date1904)
    return _plausible(_of_text(text))


def _plain(cell: object) -> str:
    """The cell as text, without what does not show and with plain hyphens; 20260203.0 is whole."""
    text = str(cell).removesuffix(".0") if isinstance(cell, float) else str(cell)
    if not text.isascii():
        text = _DASHES.sub("-", without_hidden(text)).translate(_ASIAN)
    return text.strip().removeprefix("'")


def _of_serial(number: float, date1904: bool) -> ReadDate:
    """A spreadsheet's day number; 60 is the 29 February 1900 that never was."""
    zero = datetime.date(1904, 1, 1) if date1904 else datetime.date(1899, 12, 30)
    if not (FIRST - zero).days <= number < (LAST - zero).days + 1:  # also a nan
        return ReadDate(wrong="a day number that is no date in these times")
    return ReadDate(zero + datetime.timedelta(days=math.floor(number)), serial=True)


def year_first(text: str) -> tuple[int, int, int, str] | None:
    """Year, two numbers and the mark between them, if a text is written so."""
    found = _YMD.fullmatch(text) or _YMD.fullmatch(_bare(text))
    return (int(found[1]), int(found[3]), int(found[4]), found[2]) if found else None


def short_ends(text: str) -> tuple[int, int] | None:
    """The first and the last number of a date whose year, wherever it stands, has two digits."""
    found = _TWO_WAYS.fullmatch(_bare(text))
    if found is None or len(found[4]) > 2:
        return None
    return int(found[1]), int(found[4])


def _bare(text: str) -> str:
    """The date in small letters, without weekday and time of day."""
    return _WEEKDAY.sub("", _TIME.sub("", " ".join(text.lower().split())))


def _of_text(text: str) -> ReadDate:
    numbers = year_first(text)
    if numbers:
        year, month, day, mark = numbers
        if mark != "-" and month > 12 >= day and _date(year, day, month):
            return ReadDate(wrong=YEAR_DAY_MONTH)
        return _sure(year, month, day)
    text = _bare(text)
    found = _COMPACT.fullmatch(text)
    if found:
        return _sure(int(found[1]), int(found[2]), int(found[3]))
    found = _TWO_WAYS.fullmatch(text)
    if found:
        return _two_ways(int(found[1]), int(found[3]), _year(found[4]))
    found = _WEEK.fullmatch(text)
    if found:
        return _of_week(int(found[1]), int(found[2]), int(found[3]))
    return _named(text) or ReadDate(wrong=_no_date(text))


def _named(text: str) -> ReadDate | None:
    """A date whose month is a word."""
    for shape, year, month, day in (
        (_NAMED, 3, 2, 1),
        (_NAMED_FIRST, 3, 1, 2),
        (_NAMED_AMID, 1, 2, 3),
    ):
        found = shape.fullmatch(text)
        if found and found[month] in MONTHS:
            return _sure(_year(found[year]), MONTHS[found[month]], int(found[day]))
    return None


def _of_week(year: int, week: int, day: int) -> ReadDate:
    try:
        return ReadDate(datetime.date.fromisocalendar(year, week, day))
    except ValueError:
        return ReadDate(wrong="there is no such day")


def _no_date(text: str) -> str:
    """Why a text is no date: what of it is missing, if that can be said."""
    for shape, wrong in ((_NO_YEAR, "the year is missing"), (_NO_DAY, DAY_MISSING)):
        found = shape.fullmatch(text)
        names = [name for name in found.groups() if name] if found else []
        if found and all(name in MONTHS for name in names):
            return wrong
    return "not a date"


def _sure(year: int, month: int, day: int) -> ReadDate:
    date = _date(year, month, day)
    return ReadDate(date) if date else ReadDate(wrong="there is no such day")


def _two_ways(one: int, two: int, year: int) -> ReadDate:
    """Both readings of ``one/two/year``."""
    day_first, month_first = _date(year, two, one), _date(year, one, two)
    if day_first is None and month_first is None:
        return ReadDate(wrong="there is no such day")
    if day_first == month_first:
        return ReadDate(day_first)
    return ReadDate(None, day_first, month_first)


def _plausible(dated: ReadDate) -> ReadDate:
    day = dated.day or dated.day_first or dated.month_first
    if day and not FIRST <= day <= LAST:
        return ReadDate(wrong=f"a year before {FIRST.year} or after {LAST.year}")
    return dated


def shown(day: datetime.date) -> str:
    """A date in words that have one reading only: 3 February 2026."""
    return f"{day.day} {MONTH_NAMES[day.month - 1]} {day.year}"


def order_named(text: str) -> Order | None:
    """The order that a person's words mean: ``day first`` or ``month first``."""
    plain = text.strip().lower().replace("-", " ").replace("_", " ")
    return next((order for order in ORDERS if order == plain), None)
