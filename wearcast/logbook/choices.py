"""What the person chose: options of the run, else settings of the logbook, else the usual.

One frozen record travels through every room, so that no function takes ten options. What may be
set is declared in ``SETTINGS`` (and `_RUN` for what only a run is asked); `Asked` and `Choices`
give each of these its type, and a test holds them against the declaration.
"""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from typing import Any, TypedDict, Unpack

import pandas as pd

from wearcast.errors import UnknownChoice
from wearcast.logbook.book import Logbook
from wearcast.logbook.rules.options import setting_value
from wearcast.logbook.schema.spelling import did_you_mean, fold, listed
from wearcast.logbook.schema.tables import SETTINGS, Setting
from wearcast.logbook.sheets.dates import read_date


class Asked(TypedDict, total=False):
    """Options by keyword, as on the command line; None is as good as not given."""

    quarter: str | None
    order_from: date | str | None
    weeks: float | None
    site: str | None
    only_supplier: str | None
    only_depot: str | None
    budget: float | None
    hours_factor: float | None
    seed: int | None
    draws: int | None
    due_weeks: float | None
    service_level: float | str | None
    review_weeks: float | None
    ordering: str | None
    shortage_cost: float | None
    holding_rate: float | str | None
    price_growth: float | str | None
    lead_days: float | None
    gather_days: float | None
    closed_days: str | date | Iterable[date] | None
    currency: str | None
    buyer: str | None
    fit: str | None
    pace: str | None
    speed_km_h: float | None
    work_share: float | str | None
    labour_rate: float | None
    margin: float | str | None
    adjust_beyond: float | str | None
    client: str | None
    offered_by: str | None
    valid_until: date | str | None


@dataclass(frozen=True, slots=True)
class Choices:
    """Everything that steers a run. Dates are midnight timestamps; windows are inclusive."""

    as_of: pd.Timestamp
    order_from: pd.Timestamp
    """First day of the window ordered for."""
    order_to: pd.Timestamp
    """Last day of the window ordered for, before the delivery of the next order is added."""
    window_asked: bool = False
    """Whether the person asked for that window; else it is the time to the next order."""
    currency: str = ""
    buyer: str = ""
    """Name and address of who orders."""
    service_level: float = 0.95
    review_weeks: float = 13.0
    ordering: str = "at once"
    """``at once`` or ``by date``."""
    shortage_cost: float | None = None
    holding_rate: float = 0.2
    """A year; 0.2 = 20 % of the price."""
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
    margin: float = 0.0
    """Share of an offer's price that is not cost; 0.15 = 15 %."""
    adjust_beyond: float = 0.1
    """Share by which the scope may differ before an offer's price is adjusted."""
    client: str = ""
    offered_by: str = ""
    valid_until: str = ""
    """Year-month-day; blank: not said."""
    site: str | None = None
    """Only this site is shown (``--site``); everything is computed all the same."""
    only_supplier: str | None = None
    only_depot: str | None = None
    budget: float | None = None
    """Most that the order may cost."""
    hours_factor: float = 1.0
    """What if: so many times the hours ahead; one more shift beside two is 1.5."""


_QUARTER = re.compile(r"((?:19|20|21)[0-9]{2})[-/ ]?[Qq]([1-4])")
_RUN = (
    Setting(
        "draws",
        "how many futures are drawn; fewer for 1,600 positions and more",
        "1000",
        "count",
        20,
        100_000,
    ),
    Setting("due_weeks", "how far the due list looks", "6", "number", 1, 52),
    Setting("weeks", "how long the window ordered for is", "", "number", 1, 104),
    Setting("budget", "most that the order may cost", "", "number", 0, 1e9),
    Setting("hours_factor", "what if: so many times the hours ahead", "1", "number", 0.1, 5),
)
MOST_FUTURES, FEWEST_DRAWS = 1_600_000, 200
"""Positions times draws that are drawn unless more draws are asked for, and the fewest draws.

The chance behind a 95 % figure is then known to 1.5 points or better (binomial): at 200 draws.
"""
_READING = ("as_of", "dates")
"""Settled when the logbook is read."""
_SETTINGS = {one.name: one for one in (*SETTINGS, *_RUN) if one.name not in _READING}
_FARTHEST = 1100
"""Days."""
_WINDOW = ("quarter", "order_from", "weeks")
_PLACES = {
    "site": "show this site only; everything is computed all the same",
    "only_supplier": "order from this supplier only; moves are reckoned all the same",
    "only_depot": "order for this depot only",
}


def _option(name: str) -> str:
    """What an option means, and what holds unless it is given."""
    about = {
        "quarter": "order to last to the end of this calendar quarter: 2027Q1",
        "order_from": "or for the weeks from this day on",
        **_PLACES,
    }
    if name in about:
        return f"{name}: {about[name]}"
    one = _SETTINGS[name]
    choices = f" ({' / '.join(one.choices)})" if one.choices else ""
    return f"{name}: {one.meaning}{choices}" + (f"; else {one.default}" if one.default else "")


Asked.__doc__ = "\n".join((f"{Asked.__doc__}\n", *map(_option, Asked.__annotations__)))


def choose(book: Logbook, **asked: Unpack[Asked]) -> Choices:
    """What was asked for, else the logbook's settings, else the usual.

    Parameters
    ----------
    book : Logbook
        Its settings and as-of date hold unless `asked` says otherwise.
    **asked
        See `Asked`. The window ordered for is a ``quarter`` ("2027Q1"), or ``order_from`` and
        ``weeks``.

    Raises
    ------
    UnknownChoice
        If a name or a value means nothing here.
    """
    wanted = {name: value for name, value in asked.items() if value is not None}
    _refuse_unknown(wanted)
    values = {name: _value(one, book, wanted.get(name)) for name, one in _SETTINGS.items()}
    if not (asked.get("draws") or book.settings.get("draws")):
        values["draws"] = _usual_draws(book, values["draws"])
    order_from, order_to = _window(book.as_of, wanted, values.pop("weeks"), values["review_weeks"])
    if "service_level" in wanted:
        values["shortage_cost"] = None  # a level that the run is asked for is meant for all parts
    return Choices(
        book.as_of,
        order_from=order_from,
        order_to=order_to,
        window_asked=any(name in wanted for name in _WINDOW),
        site=_one_of("site", book.machines["site"], wanted.get("site")),
        only_supplier=_one_of("supplier", book.parts["supplier"], wanted.get("only_supplier")),
        only_depot=_one_of("depot", _depots(book), wanted.get("only_depot")),
        **values,
    )


def _usual_draws(book: Logbook, usual: int) -> int:
    """Fewer draws where there are so many positions that memory and hours would not do."""
    places = [frame[["machine", "position"]] for frame in (book.positions, book.changes)]
    positions = len(pd.concat(places).drop_duplicates()) if sum(map(len, places)) > usual else 1
    return max(min(usual, MOST_FUTURES // max(positions, 1)), FEWEST_DRAWS)


def _refuse_unknown(wanted: dict[str, object]) -> None:
    """An option that does not exist is never passed over."""
    known = {*_SETTINGS, *_WINDOW, *_PLACES}
    strange = sorted(wanted.keys() - known)
    if not strange:
        return
    name = strange[0]
    if name in _READING:
        raise UnknownChoice(
            f"{name} is settled when the logbook is read; give it to read_logbook, or write it "
            "into the table settings"
        )
    cure = f"Options are {', '.join(sorted(known))}."
    raise UnknownChoice(f"{name}: no such option. {did_you_mean(name, known, cure)}")


def _value(setting: Setting, book: Logbook, asked: object) -> Any:
    """A choice as asked, as set or as usual, in its type; None where there is no usual one."""
    if setting.kind == "dates":
        text = book.settings.get(setting.name, "") if asked is None else _day_words(setting, asked)
        return tuple(sorted({pd.Timestamp(day) for day in text.split()}))
    if asked is None:
        text = book.settings.get(setting.name, setting.default)
    else:
        text = _checked(setting, asked)
    if setting.kind in ("text", "choice", "date"):
        return text
    return (int if setting.kind == "count" else float)(float(text)) if text else None


def _checked(setting: Setting, value: object) -> str:
    plain, wrong = setting_value(setting, str(value))
    if wrong:
        raise UnknownChoice(f'"{value}": {wrong}.')
    return plain


def _day_words(setting: Setting, asked: object) -> str:
    """Days as they would stand in the settings sheet."""
    if isinstance(asked, str):
        return _checked(setting, asked) if asked.strip() else ""
    days: Iterable[Any] = asked if isinstance(asked, Iterable) else [asked]
    return " ".join(f"{pd.Timestamp(day):%Y-%m-%d}" for day in days)


def _one_of(what: str, known: Iterable[str], asked: object) -> str | None:
    """A site, supplier or depot that was asked for, as the logbook spells it."""
    if asked is None:
        return None
    names = sorted({*known} - {""})
    exact = [name for name in names if name == str(asked)]
    found = exact or [name for name in names if fold(name) == fold(str(asked))]
    if len(found) != 1:
        cure = did_you_mean(str(asked), names, f"{what.capitalize()}s are {listed(names)}.")
        raise UnknownChoice(f'{what} "{asked}": no such {what}. {cure}')
    return str(found[0])


def _depots(book: Logbook) -> set[str]:
    return {name for rows in (book.machines, book.stock, book.on_order) for name in rows["depot"]}


def _window(
    as_of: pd.Timestamp, wanted: dict[str, object], weeks: float | None, review_weeks: float
) -> tuple[pd.Timestamp, pd.Timestamp]:
    """First and last day of the window ordered for."""
    if "quarter" in wanted and ("order_from" in wanted or "weeks" in wanted):
        raise UnknownChoice("Ask for a quarter or for a first day and weeks, not for both.")
    if "quarter" in wanted:
        first, last = _quarter(str(wanted["quarter"]))
    elif "order_from" in wanted or "weeks" in wanted:
        first = _first_day(wanted.get("order_from"), as_of)
        last = first + pd.Timedelta(days=round((weeks or review_weeks) * 7) - 1)
    else:
        first = as_of + pd.Timedelta(days=1)
        last = as_of + pd.Timedelta(days=round(review_weeks * 7))
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
