"""Stretches of a log in which no change is written though the machines ran: a file is missing.

A life that goes on through one is not that long: it is cut where the hole begins, still at work.
What went on within the hole, and which edge it was until the next new part, nobody knows.
"""

from collections.abc import Iterator
from dataclasses import replace
from typing import NamedTuple

import numpy as np
import pandas as pd

from wearcast.history.quarters import QUARTER_DAYS
from wearcast.history.spells import HANDLED
from wearcast.history.story import History

SURE = 14.0
"""Changes that the hours of the hole would have brought: none of so many is one in a million."""
BEYOND = 3.0
"""So many times as many hours as the next longest stretch: who works, or writes, on a few days of
the year has many alike."""
AS_EVER = 1.2
"""Silence up to so many times the longest before it is the site's way. All are chosen here."""


class Hole(NamedTuple):
    """A stretch without changes."""

    sites: tuple[str, ...]
    begin: pd.Timestamp
    """the last change before"""
    end: pd.Timestamp
    """the first one after"""


def find_holes(history: History) -> list[Hole]:
    """The hole that all sites share, else each site's own."""
    if history.meters.empty:
        return []
    ends, ran = _ends(history), _ran(history)
    every = tuple(map(str, sorted(ends["site"].unique())))
    if hole := _hole(every, ends["end"], ran):
        return [hole]
    runs = dict(list(ran.groupby("site")))
    by_site = ((str(site), own["end"], runs.get(site)) for site, own in ends.groupby("site"))
    found = (_hole((site,), own, run) for site, own, run in by_site if run is not None)
    return [hole for hole in found if hole]


def silent_as_ever(history: History, sites: list[str]) -> list[str]:
    """Those of some sites that went as long without a change before, by run hours.

    Who comes once a quarter, or writes so, is silent in between.
    """
    ends, ran = _ends(history), _ran(history)
    found = []
    for site in sites:
        days, hours = _hours_at(ends.loc[ends["site"].eq(site), "end"], ran[ran["site"].eq(site)])
        since = ran.loc[ran["site"].eq(site) & ran["date"].gt(days.max()), "ran"].sum()
        if len(days) > 1 and np.diff(hours).max() * AS_EVER >= since:
            found.append(site)
    return found


def _ends(history: History) -> pd.DataFrame:
    """Days of all changes by site: site, end."""
    return history.spells.loc[history.spells["ended"].isin(HANDLED), ["site", "end"]]


def _ran(history: History) -> pd.DataFrame:
    """What each machine ran from reading to reading: site, since, date, ran [h]."""
    meters = history.meters[history.meters["read"].astype(bool)]
    before = meters.groupby("machine")[["date", "hours"]].shift()
    return pd.DataFrame(
        {
            "site": meters["machine"].map(history.machines["site"]),
            "since": before["date"],
            "date": meters["date"],
            "ran": meters["hours"] - before["hours"],
        }
    ).dropna(subset="ran")


def _hours_at(ends: pd.Series, ran: pd.DataFrame) -> tuple[np.ndarray, np.ndarray]:
    """The days with changes, and run hours of all machines up to each."""
    days = np.unique(ends.to_numpy())
    if ran.empty:
        return days, np.zeros(len(days))
    # Evenly from knot to knot: a meter that is read twice a year did not run it all on that day.
    since, date = ran["since"].to_numpy(), ran["date"].to_numpy()
    first = since.min()
    start, stop = ((one - first) // np.timedelta64(1, "D") for one in (since, date))
    rate = ran["ran"].to_numpy() / np.maximum(stop - start, 1)
    steps = np.bincount(start, rate, stop.max() + 2) - np.bincount(
        np.maximum(stop, start + 1), rate, stop.max() + 2
    )
    total = np.append(0.0, np.cumsum(np.cumsum(steps)))
    return days, np.interp((days - first) / np.timedelta64(1, "D"), np.arange(len(total)), total)


def _hole(sites: tuple[str, ...], ends: pd.Series, ran: pd.DataFrame) -> Hole | None:
    """The longest stretch of run hours without an end, if it is no luck and no habit."""
    days, hours = _hours_at(ends, ran)
    if len(days) < SURE:
        return None
    gaps = np.diff(hours)
    longest, next_longest = np.argmax(gaps), np.partition(gaps, -2)[-2]
    usual = ends.gt(days[0]).sum() / max(gaps.sum() - gaps[longest], 1e-9)
    if gaps[longest] * usual < SURE or gaps[longest] < BEYOND * next_longest:
        return None
    return Hole(sites, pd.Timestamp(days[longest]), pd.Timestamp(days[longest + 1]))


def cut_at_holes(history: History, holes: list[Hole]) -> History:
    """The history with lives that go on through a hole cut where it begins."""
    for hole in holes:
        history = _cut(history, hole)
    return history


def _cut(history: History, hole: Hole) -> History:
    spells, running, until = history.spells, history.running, history.until_silence
    at = spells["site"].isin(hole.sites)
    # Lives that one end of the hole bounds are not in it.
    through = at & spells["start"].le(hole.begin) & spells["end"].ge(hole.end)
    before = _run_before(history, spells[through], hole.begin)
    share = before / spells.loc[through, "hours"].clip(lower=1e-9)
    share = share.reindex(spells.index).fillna(1.0)
    cut = spells.assign(
        cause=spells["cause"].mask(through, "running"),
        ended=spells["ended"].mask(through, "running"),
        replaced=spells["replaced"] & ~through,
        hours=spells["hours"] * share,
        edge=spells["edge"].mask(at & _no_new_part_since(spells, hole) & spells["edges"].gt(1)),
    )
    newest = (history.as_of - hole.begin).days // QUARTER_DAYS
    quarters = history.spell_quarters
    later = quarters["spell"].isin(spells.index[through]) & quarters["quarter"].lt(newest)
    old = running["site"].isin(hole.sites) & running["last_position_date"].le(hole.begin)
    return replace(
        history,
        spells=cut,
        exposure=history.exposure.mul(share, axis=0),
        until_silence=until.mul(share[until.index], axis=0),
        spell_quarters=quarters[~later],
        running=running.assign(
            age=running["age"].mask(old, "unknown"),
            edge=running["edge"].mask(old & running["edges"].gt(1)),
        ),
        running_exposure=history.running_exposure.mask(old, 0.0),
    )


def _run_before(history: History, spells: pd.DataFrame, day: pd.Timestamp) -> pd.Series:
    """Run hours of each spell up to a day."""
    meters = history.meters[history.meters["machine"].isin(spells["machine"])]
    curves = dict(list(meters.groupby("machine", sort=False)))

    def hours() -> Iterator[float]:
        for name, start, most in zip(
            spells["machine"], spells["start"], spells["hours"], strict=True
        ):
            knots = curves[name]
            at = np.interp([start.value, day.value], knots["date"].astype("int64"), knots["hours"])
            yield min(float(at[1] - at[0]), most)

    return pd.Series(list(hours()), spells.index, dtype=float)


def _no_new_part_since(spells: pd.DataFrame, hole: Hole) -> pd.Series:
    """Spells that began in or after a hole at places where no new part was fitted since."""
    place = [spells["machine"], spells["position"]]
    later = spells["end"].ge(hole.end)
    new = (spells["replaced"] & later).astype(int)
    return later & new.groupby(place).cumsum().sub(new).eq(0)
