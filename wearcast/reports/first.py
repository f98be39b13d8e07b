"""What stands first on page and terminal: what to order, what is due, what is dear for its like.

Three sentences, each with the place where it is explained, then the figures. What is not known is
said to be so: no figure stands where a price, a count or a reading is missing.
"""

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any, NamedTuple

import pandas as pd

from wearcast.decisions.costing.likes import against_like
from wearcast.decisions.costing.unit_costs import unpriced
from wearcast.history.readings.curve import REACH_DAYS
from wearcast.reports.frames import day_words, shown_number
from wearcast.reports.listing import by_week, due_soon, of_site, silent_days
from wearcast.reports.order.lines import lines_to_order

if TYPE_CHECKING:
    from wearcast.forecast import Forecast

WORST = 2
"""Parts and positions that a sentence names."""
LATE = ("overdue", "order now")
THIN_MONTHS = 6
THIN_WORN = 30
"""Worn edges; below it, and in a shorter log, most of a figure is what is usual in the trade."""
DAYS_OF_MONTH = 30.4
_LIKE = {
    "floor": "more than the other floors",
    "site": "more than the same parts elsewhere",
    "machine": "more than others with its parts",
}
_NONE = "No floor, site or machine"


class First(NamedTuple):
    """A sentence at the top of the page."""

    about: str
    words: str
    place: str
    """Section in which it is explained."""


def first_words(forecast: "Forecast") -> list[First]:
    """What to order, what is due and what costs more than its like, a sentence each."""
    return [
        First("Order", order_words(forecast), "order"),
        First("Due", due_words(forecast), "due"),
        First("Cost", like_words(forecast), "cost"),
    ]


def order_words(forecast: "Forecast") -> str:
    """What to order, for how much, by when, and what is late."""
    lines, choices = lines_to_order(forecast.order), forecast.choices
    whole = " for the whole fleet" if choices.site else ""
    if lines.empty:
        return f"Nothing needs ordering now{whole}: what is there and on order covers the need."
    words = f"{_count(len(lines), 'line')} to order{whole}, {_total(lines, choices.currency)}"
    first = lines["order_by"].min()
    late = lines[lines["status"].isin(LATE)].sort_values("order_by", kind="stable")
    if len(late):
        words += f". Late or for today: {_some([_line(row) for row in late.to_dict('records')])}"
    elif pd.notna(first):
        words += f", the first by {day_words(first)}"
    bare = int(lines["counted"].isna().sum()) if "counted" in lines else 0
    if bare:
        words += f". Of {_count(bare, 'line')} nobody counted the shelf: not known what lies there"
    return f"{words}."


def _line(row: Mapping[Any, Any]) -> str:
    return f"{row['part']} ({row['depot']})"


def _total(lines: pd.DataFrame, currency: str) -> str:
    """The money of the lines, as far as it is known."""
    bare = int(lines["line_total"].isna().sum())
    if bare == len(lines):
        return "total not known: no prices"
    money = shown_number(float(lines["line_total"].sum()), 2)
    said = f"{money} {currency}".strip()
    return f"{said} without the {_count(bare, 'line')} that lack a price" if bare else said


def due_words(forecast: "Forecast") -> str:
    """What is due this week and next, the most worn first, and what is assumed."""
    choices = forecast.choices
    rows = of_site(forecast.due, choices)
    weeks = by_week(rows, choices)
    now, then = rows[weeks.now], int(weeks.then.sum())
    where = f" at {choices.site}" if choices.site else ""
    if now.empty and not then:
        return f"Nothing is due{where} this week or next."
    words = f"{f'{len(now):,}' if len(now) else 'Nothing'} due{where} by {day_words(weeks.first)}"
    if len(now):
        worst = now.sort_values(["wear", "machine"], ascending=[False, True], kind="stable")
        named = ", ".join(_worn(row) for row in worst.head(WORST).to_dict("records"))
        words += f", the most worn {named}"
    words += f"; another {then:,} by {day_words(weeks.second)}" if then else ""
    return f"{words}{_assumed(forecast, now)}."


def _worn(row: Mapping[Any, Any]) -> str:
    wear = float(str(row["wear"]))
    used = f" ({shown_number(100 * wear, 0)} % of its usual life)" if wear > 1 else ""
    return f"{row['machine']} {row['position']} at {row['site']}{used}"


def _assumed(forecast: "Forecast", now: pd.DataFrame) -> str:
    """How many of the machines have not been read for so long that their hours are assumed."""
    silent = silent_days(now, forecast.machines) > REACH_DAYS
    number = now.loc[silent, "machine"].nunique()
    if not number:
        return ""
    return f". Hours of {_count(number, 'machine')} are assumed: not read for {REACH_DAYS} days"


def like_words(forecast: "Forecast") -> str:
    """Which floor, site and machine surely cost more in 100 h than their like."""
    bare = unpriced(forecast.draws.slots, forecast.book)
    if len(bare) == forecast.draws.slots["part"].nunique():
        return "What costs more than its like is not known: no prices."
    found = against_like(forecast.cost, forecast.draws.slots)
    found = _of_site(found[found["above"]], forecast)
    told = []
    for level, than in _LIKE.items():
        here = found[found["level"].eq(level)].sort_values(
            ["times", "where"], ascending=[False, True]
        )
        for row in here.head(1).to_dict("records"):
            more = f"{shown_number(100 * (row['times'] - 1), 0)} % {than}"
            told.append(f"{level} {row['where']} {shown_number(row['per_100h'], 2)} ({more})")
    without = f"; {_count(len(bare), 'part')} without a price left out" if bare else ""
    if not told:
        what = "Neither the site nor a machine" if forecast.choices.site else _NONE
        return f"{what} surely costs more in 100 hours than its like{without}."
    money = f", {forecast.choices.currency}" if forecast.choices.currency else ""
    return f"Above their like in 100 hours{money}: {'; '.join(told)}{without}."


def _of_site(found: pd.DataFrame, forecast: "Forecast") -> pd.DataFrame:
    """The site asked for and its machines; all places if none was."""
    site, slots = forecast.choices.site, forecast.draws.slots
    if not site:
        return found
    own = found["where"].isin(slots.loc[slots["site"].eq(site), "machine"])
    itself = found["level"].eq("site") & found["where"].eq(site)
    return found[itself | (found["level"].eq("machine") & own)]


def thin_words(forecast: "Forecast") -> str:
    """What a thin log cannot tell; empty where the log is not thin."""
    history = forecast.history
    begun = min(forecast.book.readings["date"].min(), forecast.book.changes["date"].min())
    days = (forecast.choices.as_of - begun).days
    worn = float(forecast.floors["worn"].sum())
    if worn >= THIN_WORN and days >= THIN_MONTHS * DAYS_OF_MONTH:
        return ""
    months = max(1, round(days / DAYS_OF_MONTH))
    return (
        f"Thin log: {_count(len(history.machines), 'machine')}, {_count(months, 'month')},"
        f" {_count(round(worn), 'worn edge')}. Most figures rest on what is usual in the trade."
    )


def brief(forecast: "Forecast") -> list[tuple[str, str, str]]:
    """The figures that come next: words, figure, where it is explained."""
    choices, order = forecast.choices, lines_to_order(forecast.order)
    level = "site" if choices.site else "fleet"
    year = forecast.cost[forecast.cost["level"].eq(level) & forecast.cost["kind"].eq("all")]
    year = year[year["where"].eq(choices.site)] if choices.site else year
    machines = of_site(forecast.machines, choices)
    looks = machines.loc[machines["look"].ne(""), "machine"].nunique()
    aside = sum(each.severity == "set aside" for each in forecast.told)
    late = int(order["status"].isin(LATE).sum())
    money = f", {choices.currency}" if choices.currency else ""
    whole = ", whole fleet" if choices.site else ""
    here = f" at {choices.site}" if choices.site else ""
    bare = order["line_total"].isna().all() and len(order)
    amount = float(order["line_total"].sum())
    # Of millions the cents would not fit, and they stand below the order.
    total = "not known" if bare else shown_number(amount, 0 if amount >= 1e6 else 2)
    return [
        (f"order lines{whole}, {late} of them overdue or for now", f"{len(order):,}", "order"),
        (f"total of the order{whole}{': no prices' if bare else money}", total, "order"),
        *(_year(each, money, here) for each in year.to_dict("records")),
        (f"turns and changes due within {choices.due_weeks:g} weeks{here}",
         f"{len(due_soon(forecast.due, choices)):,}", "due"),
        (f"machines worth a look{here}", f"{looks:,}", "machines"),
        ("findings that set rows aside", f"{aside:,}", "problems"),
    ]  # fmt: skip


def _year(line: Mapping[Any, Any], money: str, here: str) -> tuple[str, str, str]:
    """The coming year's cost as a figure."""
    if not line["mean"] > 0:
        return f"cost of the coming year{here}: no prices", "not known", "cost"
    low, high = shown_number(line["p10"], 0), shown_number(line["p90"], 0)
    words = f"expected cost of the coming year{here}{money} (8 in 10 futures: {low} to {high})"
    return words, shown_number(line["mean"], 0), "cost"


def _some(names: list[str]) -> str:
    """The first names, and how many more there are."""
    more = len(names) - WORST
    return f"{', '.join(names[:WORST])} and {more} more" if more > 0 else ", ".join(names)


def _count(number: int, noun: str) -> str:
    return f"{number:,} {noun}{'' if number == 1 else 's'}"
