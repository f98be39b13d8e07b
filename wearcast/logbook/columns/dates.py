"""Dates as people write them.

A text date with two numbers up to 12 has two readings; which one holds is decided for the whole
column, then by the workbook's other columns, then by the setting ``dates``, and never by a
single cell (`wearcast.logbook.columns.date_orders`). Day numbers count from 1900 as spreadsheets
do, or from 1904 where the file says so.
"""

import datetime
import re
from dataclasses import dataclass
from typing import Literal

import numpy as np

from wearcast.logbook.spelling import without_hidden

Order = Literal["day first", "month first"]
ORDERS: tuple[Order, Order] = ("day first", "month first")

FIRST, LAST = datetime.date(1950, 1, 1), datetime.date(2199, 12, 31)
"""Dates outside are slips of the pen: no scrubber is that old, no plan reaches that far."""
LAST_SERIAL = 2_950_000
"""Day numbers end with the year 9999."""
MOST_DIGITS = 40
YEAR_DAY_MONTH = "year, day and month in an order that nobody expects"

_DASHES = re.compile("[\u2010-\u2015\u2212]")
ISO = re.compile(r"([0-9]{4})([-/. ])([0-9]{1,2})\2([0-9]{1,2})\.?(?:[T ].*)?")
_COMPACT = re.compile(r"((?:19|20)[0-9]{2})([0-9]{2})([0-9]{2})")
_TWO_WAYS = re.compile(
    r"([0-9]{1,2})\s?([-/. ])\s?([0-9]{1,2})\s?\2\s?([0-9]{4}|[0-9]{2})\.?(?:[T ][0-9]{1,2}:.*)?"
)
_SERIAL = re.compile(r"-?[0-9]{1,7}(?:\.[0-9]+)?")
_WEEKDAY = re.compile(
    r"^(?:(?:mon|tue|wed|thu|fri|sat|sun)[a-z]*|mo|di|mi|do|fr|sa|so"
    r"|(?:diens|donners|frei|sonn)tag|mittwoch|(?:lun|mar|mercre|jeu|vendre|same)di|dimanche)"
    r"[.,]? +",
    re.IGNORECASE,
)
_MONTH_NAMES = (
    *("January", "February", "March", "April", "May", "June"),
    *("July", "August", "September", "October", "November", "December"),
)
_ABROAD = (
    "januar janvier enero gennaio januari ene gen janv janeiro",
    "februar f\u00e9vrier fevrier febrero febbraio februari f\u00e9vr fevr f\u00e9v fevereiro fev",
    "m\u00e4rz maerz mars marzo maart m\u00e4r mrt mar\u00e7o marco",
    "avril abril aprile avr abr",
    "mai mayo maggio mei maj mag maio",
    "juni juin junio giugno giu junho",
    "juli juillet julio luglio juil lug julho",
    "august ao\u00fbt aout agosto augusti augustus ago",
    "septembre septiembre settembre setiembre set sett setembro",
    "oktober octobre octubre ottobre okt ott outubro out",
    "novembre noviembre novembro",
    "dezember d\u00e9cembre decembre diciembre dicembre december dez d\u00e9c dic dezembro",
)
"""Months in German, French, Spanish, Italian, Dutch, Swedish, Portuguese; no word means two."""
_MONTHS = {
    short: number
    for number, (name, abroad) in enumerate(zip(_MONTH_NAMES, _ABROAD, strict=True), start=1)
    for short in (name.lower(), name.lower()[:3], name.lower()[:4], *abroad.split())
}
_LETTERS = "a-z\u00e4\u00e7\u00e9\u00fb"
_NAMED = re.compile(
    rf"([0-9]{{1,2}})(?:st|nd|rd|th|er|\u00ba)?\.?[-/ ]*(?:de |of )?([{_LETTERS}]{{3,10}})\.?"
    r"[-/, ]*(?:de )?"
    r"([0-9]{4}|[0-9]{2})(?:[T ][0-9]{1,2}:.*)?"
)
_NAMED_FIRST = re.compile(
    rf"([{_LETTERS}]{{3,10}})\.?[-/ ]*([0-9]{{1,2}})(?:st|nd|rd|th)?[-/, ]+([0-9]{{4}})"
    r"(?:[T ][0-9]{1,2}:.*)?"
)
_NO_YEAR = re.compile(
    rf"[0-9]{{1,2}}(?:st|nd|rd|th)?\.?[-/ ]*([{_LETTERS}]{{3,10}})\.?"
    rf"|([{_LETTERS}]{{3,10}})\.?[-/ ]*[0-9]{{1,2}}(?:st|nd|rd|th)?"
    r"|[0-9]{1,2}[./][0-9]{1,2}\.?"
)
_NO_DAY = re.compile(
    rf"([{_LETTERS}]{{3,10}})\.?[-/, ]*[0-9]{{4}}|[0-9]{{4}}-?W[0-9]{{2}}"
    r"|[0-9]{1,2}[-/.][0-9]{4}",
    re.IGNORECASE,
)


@dataclass(frozen=True, slots=True)
class Dated:
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


def read_date(cell: object, date1904: bool = False) -> Dated:
    """What a cell can mean as a date."""
    if isinstance(cell, datetime.datetime):
        return _plausible(Dated(cell.date()))
    if isinstance(cell, datetime.date):
        return _plausible(Dated(cell))
    text = _plain(cell)
    if isinstance(cell, bool) or len(text) > MOST_DIGITS:
        return Dated(wrong="not a date")
    if not _COMPACT.fullmatch(text) and (isinstance(cell, (int, float)) or _SERIAL.fullmatch(text)):
        return _of_serial(float(text), date1904)
    return _plausible(_of_text(_WEEKDAY.sub("", text)))


def _plain(cell: object) -> str:
    """The cell as text, without what does not show and with plain hyphens; 20260203.0 is whole."""
    text = str(cell).removesuffix(".0") if isinstance(cell, float) else str(cell)
    if not text.isascii():
        text = _DASHES.sub("-", without_hidden(text))
    return text.strip().removeprefix("'")


def _of_serial(number: float, date1904: bool) -> Dated:
    """A spreadsheet's day number; 60 is the 29 February 1900 that never was."""
    if not abs(number) <= LAST_SERIAL:  # also a nan
        return Dated(wrong="a day number that is no date in these times")
    zero = datetime.date(1904, 1, 1) if date1904 else datetime.date(1899, 12, 30)
    day = zero + datetime.timedelta(days=int(np.floor(number))) if number > 0 else zero
    if not FIRST <= day <= LAST:
        return Dated(wrong="a day number that is no date in these times")
    return Dated(day, serial=True)


def _of_text(text: str) -> Dated:
    found = ISO.fullmatch(text)
    if found:
        year, month, day = int(found[1]), int(found[3]), int(found[4])
        if found[2] != "-" and month > 12 >= day and _date(year, day, month):
            return Dated(wrong=YEAR_DAY_MONTH)
        return _sure(year, month, day)
    found = _COMPACT.fullmatch(text)
    if found:
        return _sure(int(found[1]), int(found[2]), int(found[3]))
    found = _TWO_WAYS.fullmatch(text)
    if found:
        return _two_ways(int(found[1]), int(found[3]), _year(found[4]))
    found = _NAMED.fullmatch(text.lower())
    if found and found[2] in _MONTHS:
        return _sure(_year(found[3]), _MONTHS[found[2]], int(found[1]))
    found = _NAMED_FIRST.fullmatch(text.lower())
    if found and found[1] in _MONTHS:
        return _sure(_year(found[3]), _MONTHS[found[1]], int(found[2]))
    return Dated(wrong=_no_date(text.lower()))


def _no_date(text: str) -> str:
    """Why a text is no date: what of it is missing, if that can be said."""
    for shape, wrong in ((_NO_YEAR, "the year is missing"), (_NO_DAY, "the day is missing")):
        found = shape.fullmatch(text)
        names = [name for name in found.groups() if name] if found else []
        if found and all(name in _MONTHS for name in names):
            return wrong
    return "not a date"


def _sure(year: int, month: int, day: int) -> Dated:
    date = _date(year, month, day)
    return Dated(date) if date else Dated(wrong="there is no such day")


def _two_ways(one: int, two: int, year: int) -> Dated:
    """Both readings of ``one/two/year``."""
    day_first, month_first = _date(year, two, one), _date(year, one, two)
    if day_first is None and month_first is None:
        return Dated(wrong="there is no such day")
    if day_first == month_first:
        return Dated(day_first)
    return Dated(None, day_first, month_first)


def _plausible(dated: Dated) -> Dated:
    days = [day for day in (dated.day, dated.day_first, dated.month_first) if day]
    if days and not all(FIRST <= day <= LAST for day in days):
        return Dated(wrong=f"a year before {FIRST.year} or after {LAST.year}")
    return dated


def shown(day: datetime.date) -> str:
    """A date in words that have one reading only: 3 February 2026."""
    return f"{day.day} {_MONTH_NAMES[day.month - 1]} {day.year}"


def order_named(text: str) -> Order | None:
    """The order that a person's words mean: ``day first`` or ``month first``."""
    plain = text.strip().lower().replace("-", " ").replace("_", " ")
    return next((order for order in ORDERS if order == plain), None)
