"""What is new since an earlier order, in sentences: totals, use, hours, machines, prices, delivery.

Then the lines that moved, from `wearcast.reports.order.changed`.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import pandas as pd

from wearcast.decisions.ordering.compare import use_since
from wearcast.decisions.ordering.reasons import day_words
from wearcast.reports.frames import shown_number
from wearcast.reports.order.calendar import Ended, earlier_days
from wearcast.reports.order.changed import (
    came_since,
    earlier_order,
    ordered_from,
    side_by_side,
    what_changed,
)

if TYPE_CHECKING:
    from wearcast.forecast import Forecast

USED = "Used since, against what was forecast then"
_MOST = 6  # parts named in one sentence


@dataclass(frozen=True, slots=True)
class Changes:
    """What is new since an earlier order."""

    news: tuple[str, ...]
    """Sentences, totals first."""
    lines: pd.DataFrame
    """From `what_changed`."""
    used: pd.DataFrame
    """Shelves by what was used since: depot, part, name and the columns of `use_since`."""
    ended: tuple[Ended, ...] = ()
    """Days to order on that the earlier calendar has and this one has not."""


_UNREAD = (
    "What was ordered of them could not be read from that report's order.xlsx: wearcast order "
    "--from-workbook says why."
)


def changes_since(forecast: "Forecast", folder: str | Path) -> Changes:
    """The news and the lines that moved since the order in a folder that we wrote earlier."""
    both = side_by_side(forecast.order, earlier_order(Path(folder)))
    ordered = ordered_from(Path(folder))
    unread = ordered is None and (Path(folder) / "order.xlsx").is_file()
    came = came_since(both, forecast.book.on_order)
    news = (
        *_totals(both, forecast.choices.currency),
        *_fates(both, ordered, came),
        *([_UNREAD] if unread else []),
        *_use(_used(both)),
        *_work(both),
        *_terms(both, "unit_price", "Prices", 2, ""),
        *_terms(both, "lead_days", "Delivery times", 0, " days"),
    )
    lines = what_changed(forecast.order, folder, forecast.book.on_order)
    return Changes(news, lines, _used(both), earlier_days(Path(folder)))


def _totals(both: pd.DataFrame, currency: str) -> Iterator[str]:
    """What the order came to, and comes to."""
    then, now = (both[name].sum() for name in ("line_total_before", "line_total"))
    since = both["from_before"].min()
    day = f" on {day_words(since - pd.Timedelta(days=1))}" if pd.notna(since) else ""
    unit = f" {currency}".rstrip()
    yield f"The order came to {shown_number(then, 2)}{unit}{day}; now {shown_number(now, 2)}{unit}."


def _fates(
    both: pd.DataFrame, ordered: pd.DataFrame | None, came: pd.DataFrame | None
) -> Iterator[str]:
    """What was proposed, what was ordered of it, what came."""
    words = [f"{shown_number(both['order_pieces_before'].sum(), 0)} pieces were proposed"]
    if ordered is not None:
        marked = ordered["ordered"].notna().any()
        told = (
            "ordered by the edited workbook"
            if marked
            else "in its workbook, none marked as ordered"
        )
        words.append(f"{shown_number(ordered['pieces'].sum(), 0)} {told}")
    if came is not None and len(came):
        words.append(f"{shown_number(came['pieces'].sum(), 0)} received since")
    yield f"{', '.join(words)}."


def _used(both: pd.DataFrame) -> pd.DataFrame:
    """Shelf by shelf, what was used since beside what was forecast for that time."""
    known = both[both["stands"] == "both"]
    names = [name for name in known.columns.astype(str) if name.endswith("_before")]
    before = known[names].rename(columns=lambda name: name.removesuffix("_before"))
    found = use_since(known, before)
    return known[["depot", "part", "name"]].join(found, how="right").reset_index(drop=True)


def _use(used: pd.DataFrame) -> Iterator[str]:
    """What was used since, and at how many shelves that was outside the forecast's range."""
    if used.empty:
        return
    words = (
        f"Used since: {shown_number(used['used_since'].sum(), 0)} pieces; forecast for that time: "
        f"{shown_number(used['forecast_then'].sum(), 0)}"
    )
    odd = used[used["held"].ne("as forecast")]
    if len(used) > 1:
        words += f"; outside its 90 % range at {len(odd)} of {len(used)} shelves"
    yield f"{words}."


def _work(both: pd.DataFrame) -> Iterator[str]:
    """Machines and their hours, each depot's by the part that most of them carry."""
    for name, words in (("machines", "Machines"), ("hours_per_week", "Run hours a week")):
        then, now = (
            both.groupby("depot")[column].max().sum() for column in (f"{name}_before", name)
        )
        if abs(now - then) >= 0.5:
            yield f"{words}: {shown_number(then, 0)} then, {shown_number(now, 0)} now."


def _terms(both: pd.DataFrame, name: str, words: str, decimals: int, unit: str) -> Iterator[str]:
    """Parts whose price or delivery time is another one."""
    terms = both[["part", f"{name}_before", name]].dropna().drop_duplicates()
    moved = terms[(terms[name] - terms[f"{name}_before"]).abs() > 1e-6]
    told = [
        f"{part} {shown_number(then, decimals)} to {shown_number(now, decimals)}{unit}"
        for part, then, now in moved.head(_MOST).itertuples(index=False)
    ]
    if told:
        more = f" and {len(moved) - _MOST} more" if len(moved) > _MOST else ""
        yield f"{words}: {'; '.join(told)}{more}."
