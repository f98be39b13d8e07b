"""What was used in the same weeks last year, and what makes the coming need differ from it.

The year before has the same weekdays: 364 days back. A difference is explained only where last
year's use lies outside the forecast's 90 % range; below that it may be chance.
"""

from collections.abc import Hashable
from typing import Any

import numpy as np
import pandas as pd

from wearcast.history.story import History
from wearcast.logbook.book import Logbook
from wearcast.outlook.records import Draws

Row = dict[Hashable, Any]
YEAR = pd.Timedelta(days=364)
_CLEAR = 0.15
"""A change of hours or of wear an hour smaller than this is not worth a word; chosen here."""


def with_last_year(
    lines: pd.DataFrame, draws: Draws, history: History, book: Logbook
) -> pd.DataFrame:
    """The lines with used_last_year and last_year_why.

    Parameters
    ----------
    lines : DataFrame
        depot, part, from, to, expected_use, use_p05, use_p95.
    draws, history, book
    """
    used = [
        _used(history, line["depot"], line["part"], line["from"] - YEAR, line["to"] - YEAR)
        for line in lines.to_dict("records")
    ]
    lines = lines.assign(used_last_year=used)
    differs = (lines["used_last_year"] < lines["use_p05"]) | (
        lines["used_last_year"] > lines["use_p95"]
    )
    words = [
        _reasons(line, draws, history, book) if far else ""
        for line, far in zip(lines.to_dict("records"), differs, strict=True)
    ]
    return lines.assign(last_year_why=words)


def _used(
    history: History, depot: str, part: str, first: pd.Timestamp, last: pd.Timestamp
) -> float:
    """Pieces fitted there in those days; nan where the log does not cover them."""
    began = history.meters["date"].min() if len(history.meters) else pd.NaT
    if pd.isna(began) or first < began or last > history.as_of:
        return float("nan")
    uses = history.uses
    here = (uses["depot"] == depot) & (uses["part"] == part)
    return float(uses.loc[here & uses["date"].between(first, last), "pieces"].sum())


def _reasons(line: Row, draws: Draws, history: History, book: Logbook) -> str:
    """What changed since, the machines first."""
    slots = draws.slots
    here = slots[(slots["depot"] == line["depot"]) & (slots["part"] == line["part"])]
    now = sorted(set(here["machine"]))
    then = _worked(history, line, now)
    ahead = _ahead(draws, now, (line["to"] - draws.as_of).days)
    new = [name for name in now if then[name] <= 0 < ahead[name]]
    words = [f"{len(new)} new {'machine' if len(new) == 1 else 'machines'}"] if new else []
    old = [name for name in now if then[name] > 0]
    hours_then, hours_now = (sum(hours[name] for name in old) for hours in (then, ahead))
    if old and abs(hours_now / hours_then - 1) > _CLEAR:
        planned = _planned(book, line, old)
        words.append(f"hours {hours_now / hours_then - 1:+.0%}{' (plans)' if planned else ''}")
    moved = _floors_changed(history, line, now)
    if moved:
        words.append(f"floors changed on {moved} of {len(now)} machines")
    return ", ".join([*words, *_wear_words(line, sum(then.values()), sum(ahead.values()))])


def _wear_words(line: Row, hours_then: float, hours_now: float) -> list[str]:
    """Whether more or fewer pieces an hour are needed than last year."""
    if min(hours_then, hours_now, line["used_last_year"], line["expected_use"]) <= 0:
        return []
    ratio = (line["expected_use"] / hours_now) / (line["used_last_year"] / hours_then)
    if abs(ratio - 1) <= _CLEAR:
        return []
    return [f"{'more' if ratio > 1 else 'fewer'} pieces an hour ({ratio - 1:+.0%}: pace, wear)"]


def _worked(history: History, line: Row, machines: list[str]) -> dict[str, float]:
    """Run hours of each machine in the same weeks last year."""
    days = np.array([line["from"] - pd.Timedelta(days=1) - YEAR, line["to"] - YEAR], "M8[ns]")
    hours = dict.fromkeys(machines, 0.0)
    curves = history.meters[history.meters["machine"].isin(machines)]
    for machine, curve in curves.groupby("machine"):
        at = np.interp(
            days.astype(np.int64),
            curve["date"].to_numpy("M8[ns]").astype(np.int64),
            curve["hours"].to_numpy(float),
        )
        hours[str(machine)] = float(at[1] - at[0])
    return hours


def _ahead(draws: Draws, machines: list[str], days: int) -> dict[str, float]:
    """Mean run hours of each machine from as-of to a day."""
    place = pd.Index(draws.machines).get_indexer(pd.Index(machines, dtype=object))
    weeks = draws.weekly_hours.shape[1]
    share = np.clip(days / 7 - np.arange(weeks), 0.0, 1.0)
    mean = draws.weekly_hours[place] @ share
    return dict(zip(machines, mean.tolist(), strict=True))


def _planned(book: Logbook, line: Row, machines: list[str]) -> bool:
    """Whether a plan holds for any of the machines in the window."""
    plans = book.plans[book.plans["machine"].isin(machines)]
    lasts = plans["end"].isna() | plans["end"].ge(line["from"])
    return bool((plans["start"].le(line["to"]) & lasts).any())


def _floors_changed(history: History, line: Row, machines: list[str]) -> int:
    """Machines whose floors changed since the same weeks last year."""
    mixes = history.mixes[history.mixes["machine"].isin(machines)]
    since = mixes["since"].between(line["from"] - YEAR, line["to"])
    return int(mixes.loc[since, "machine"].nunique())
