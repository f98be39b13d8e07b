"""What the person chose: settings of the logbook, overruled by the command line.

One frozen record travels through every room, so that no function takes ten options.
"""

import re
from collections.abc import Iterable
from dataclasses import dataclass

import pandas as pd

from wearcast.errors import UnknownChoice
from wearcast.logbook.book import Logbook
from wearcast.logbook.rules.options import setting_value
from wearcast.logbook.schema.spelling import did_you_mean, fold, listed
from wearcast.logbook.schema.tables import SETTINGS, Setting
from wearcast.logbook.sheets.dates import read_date


@dataclass(frozen=True, slots=True)
class Choices:
    """Everything that steers a run. Dates are midnight timestamps; windows are inclusive."""

    as_of: pd.Timestamp
    order_from: pd.Timestamp
    """First day of the window ordered for."""
    order_to: pd.Timestamp
    """Last day of the window ordered for."""
    currency: str = ""
    service_level: float = 0.95
    review_weeks: float = 13.0
    price_growth: float = 0.0
    """A year; 0.03 = 3 %."""
    lead_days: float = 14.0
    fit: str = "blended"
    """``blended`` or ``data only``."""
    pace: str = "machine"
    """``machine`` or ``off``."""
    seed: int = 1
    draws: int = 1000
    due_weeks: float = 6.0
    gather_days: float = 14.0
    closed_days: tuple[pd.Timestamp, ...] = ()
    speed_km_h: float | None = None
    work_share: float | None = None
    labour_rate: float | None = None
    site: str | None = None
    """Only this site is shown (``--site``); everything is computed all the same."""


_QUARTER = re.compile(r"((?:19|20|21)[0-9]{2})[-/ ]?[Qq]([1-4])")
_RUN = (
    Setting("draws", "how many futures are drawn", "1000", "count", 20, 100_000),
    Setting("due_weeks", "how far the due list looks", "6", "number", 1, 52),
    Setting("weeks", "how long the window ordered for is", "", "number", 1, 104),
)
_SETTINGS = {one.name: one for one in (*SETTINGS, *_RUN) if one.name != "dates"}
"""What may be asked for; the order of dates is settled once the logbook is read."""
_NUMBERS = {name: one for name, one in _SETTINGS.items() if one.kind in ("number", "count")}
_FARTHEST = 1100
"""Days."""
_WINDOW = ("quarter", "order_from", "weeks")


def choose(book: Logbook, **asked: object) -> Choices:
    """What was asked for, else the logbook's settings, else the usual.

    Parameters
    ----------
    book : Logbook
        Its settings and as-of date hold unless `asked` says otherwise.
    **asked
        A setting's name, ``draws``, ``due_weeks``, ``site``, or the window ordered for:
        ``quarter`` ("2027Q1"), or ``order_from`` and ``weeks``. None means not asked.

    Raises
    ------
    UnknownChoice
        If a name or a value means nothing here.
    """
    wanted = {name: value for name, value in asked.items() if value is not None}
    strange = wanted.keys() - _SETTINGS.keys() - {*_WINDOW, "site"}
    if strange:
        name = min(strange)
        cure = f"Options are {', '.join(sorted(_SETTINGS))}."
        raise UnknownChoice(f"{name}: no such option. {did_you_mean(name, _SETTINGS, cure)}")
    numbers = {name: _number(name, book, wanted) for name in _NUMBERS}
    given = {name: value for name, value in numbers.items() if value is not None}
    order_from, order_to = _window(book.as_of, wanted, given.get("weeks", given["review_weeks"]))
    return Choices(
        as_of=book.as_of,
        order_from=order_from,
        order_to=order_to,
        currency=_word("currency", book, wanted),
        service_level=given["service_level"],
        review_weeks=given["review_weeks"],
        price_growth=given["price_growth"],
        lead_days=given["lead_days"],
        fit=_word("fit", book, wanted),
        pace=_word("pace", book, wanted),
        seed=int(given["seed"]),
        draws=int(given["draws"]),
        due_weeks=given["due_weeks"],
        gather_days=given["gather_days"],
        closed_days=_closed_days(book, wanted),
        speed_km_h=numbers["speed_km_h"],
        work_share=numbers["work_share"],
        labour_rate=numbers["labour_rate"],
        site=_site(book, wanted),
    )


def _number(name: str, book: Logbook, wanted: dict[str, object]) -> float | None:
    """A number as asked, as set or as usual; None if there is no usual one."""
    setting = _NUMBERS[name]
    if name in wanted:
        text = _checked(setting, wanted[name])
    else:
        text = book.settings.get(name, setting.default)
    return float(text) if text else None


def _word(name: str, book: Logbook, wanted: dict[str, object]) -> str:
    setting = _SETTINGS[name]
    if name in wanted:
        return _checked(setting, wanted[name])
    return book.settings.get(name, setting.default)


def _checked(setting: Setting, value: object) -> str:
    plain, wrong = setting_value(setting, str(value))
    if wrong:
        raise UnknownChoice(f'"{value}": {wrong}.')
    return plain


def _closed_days(book: Logbook, wanted: dict[str, object]) -> tuple[pd.Timestamp, ...]:
    asked = wanted.get("closed_days")
    if asked is None:
        text = book.settings.get("closed_days", "")
    elif isinstance(asked, str):
        text = _checked(_SETTINGS["closed_days"], asked) if asked.strip() else ""
    else:
        days = asked if isinstance(asked, Iterable) else [asked]
        text = " ".join(f"{pd.Timestamp(day):%Y-%m-%d}" for day in days)  # type: ignore[arg-type]
    return tuple(sorted({pd.Timestamp(day) for day in text.split()}))


def _site(book: Logbook, wanted: dict[str, object]) -> str | None:
    """The site as the logbook spells it."""
    asked = wanted.get("site")
    if asked is None:
        return None
    sites = sorted(set(book.machines["site"]) - {""})
    exact = [site for site in sites if site == str(asked)]
    found = exact or [site for site in sites if fold(site) == fold(str(asked))]
    if len(found) != 1:
        cure = did_you_mean(str(asked), sites, f"Sites are {listed(sites)}.")
        raise UnknownChoice(f'site "{asked}": no such site. {cure}')
    return str(found[0])


def _window(
    as_of: pd.Timestamp, wanted: dict[str, object], weeks: float
) -> tuple[pd.Timestamp, pd.Timestamp]:
    """First and last day of the window ordered for."""
    if "quarter" in wanted and ("order_from" in wanted or "weeks" in wanted):
        raise UnknownChoice("Ask for a quarter or for a first day and weeks, not for both.")
    if "quarter" in wanted:
        first, last = _quarter(str(wanted["quarter"]))
    elif "order_from" in wanted or "weeks" in wanted:
        first = _first_day(wanted.get("order_from"), as_of)
        last = first + pd.Timedelta(days=round(weeks * 7) - 1)
    else:
        first, last = next_quarter(as_of)
    if last <= as_of or (last - as_of).days > _FARTHEST:
        raise UnknownChoice(
            f"{first:%Y-%m-%d} to {last:%Y-%m-%d}: the window ordered for must end within three"
            f" years after the as-of date {as_of:%Y-%m-%d}; ask for another."
        )
    return first, last


def _first_day(asked: object, as_of: pd.Timestamp) -> pd.Timestamp:
    if asked is None:
        return as_of + pd.Timedelta(days=1)
    dated = read_date(asked)
    if dated.day is None:
        raise UnknownChoice(f'"{asked}": write the first day as year-month-day, 2027-01-04.')
    return pd.Timestamp(dated.day)


def _quarter(text: str) -> tuple[pd.Timestamp, pd.Timestamp]:
    found = _QUARTER.fullmatch(text.strip())
    if found is None:
        raise UnknownChoice(f'quarter "{text}": write the year and the quarter, as in 2027Q1.')
    first = pd.Timestamp(year=int(found[1]), month=3 * int(found[2]) - 2, day=1)
    return first, first + pd.DateOffset(months=3) - pd.Timedelta(days=1)


def next_quarter(as_of: pd.Timestamp) -> tuple[pd.Timestamp, pd.Timestamp]:
    """The next whole calendar quarter that starts on or after as-of: first and last day."""
    start = pd.Timestamp(year=as_of.year, month=3 * as_of.quarter - 2, day=1)
    first = start if start == as_of else start + pd.DateOffset(months=3)
    return first, first + pd.DateOffset(months=3) - pd.Timedelta(days=1)
