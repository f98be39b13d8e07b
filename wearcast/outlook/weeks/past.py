"""Weekly hours of the past, as they were really read: one rate from reading to reading.

Weeks end on as-of and every seven days before. A meter that is read once a month says nothing
about single weeks, so a rate is kept together with the number of weeks it covers: taking the
straight line between two readings for weeks would make the weeks look calmer than they are.
"""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import pandas as pd

from wearcast.history.story import History
from wearcast.outlook.pieces import whole_machines

MOST_WEEKS = 208
KNOTS_AT_ONCE = 1_000_000
LEAST_DAYS = 3.5
"""Two readings closer than this say more about weekdays than about a rate."""


@dataclass(frozen=True, slots=True)
class Past:
    """Hours a week, reading by reading; the last column is the week that ends on as-of."""

    machines: tuple[str, ...]
    rate: np.ndarray
    """array (machines, weeks) hours a week since the reading before [h]; nan: no reading then"""
    span: np.ndarray
    """int array (machines, weeks) weeks since the reading before; 0: none"""
    first: np.ndarray
    """bool array (machines, weeks) True where a machine's first reading stands"""
    usual: np.ndarray
    """array (machines,) mean hours a week, the last year; nan without two readings [h]"""


def read_past(history: History) -> Past:
    """Rates from reading to reading, for every machine of the history (those without: nan)."""
    names = tuple(str(name) for name in history.machines.index)
    machines = pd.Index(names)
    found = [_at_week_ends(_days_of(some, machines, history.as_of)) for some in _pieces(history)]
    knots = pd.concat(found, ignore_index=True)
    weeks = int(np.clip(knots["back"].max() + 1 if len(knots) else 1, 1, MOST_WEEKS))
    knots = knots[knots["back"] < weeks]
    place, back = knots["place"].to_numpy(), knots["back"].to_numpy()
    days = np.diff(knots["day"].to_numpy(dtype=float), prepend=0.0)
    run = np.diff(knots["at_end"].to_numpy(dtype=float), prepend=0.0)
    gap = -np.diff(back, prepend=0)
    first = np.diff(place, prepend=-1) != 0
    rate, span = np.full((len(names), weeks), np.nan), np.zeros((len(names), weeks), dtype=int)
    firsts = np.zeros((len(names), weeks), dtype=bool)
    column = weeks - 1 - back
    firsts[place[first], column[first]] = True
    later = ~first
    rate[place[later], column[later]] = run[later] / days[later] * 7.0
    span[place[later], column[later]] = gap[later]
    return Past(names, rate, span, firsts, _usual(rate, span))


def _pieces(history: History) -> Iterator[pd.DataFrame]:
    """Knots of the meter curves that were read, of some whole machines at a time.

    Guessed ends of a curve are left out. All at once would be several copies of all readings.
    """
    knots = history.meters[history.meters["read"].astype(bool)]
    for some in whole_machines(knots["machine"].to_numpy(), KNOTS_AT_ONCE):
        yield knots.iloc[some]


def _days_of(knots: pd.DataFrame, machines: pd.Index, as_of: pd.Timestamp) -> pd.DataFrame:
    """Knots by machine and day: place, day (0: as-of), back (the week end nearest), hours."""
    day = -(as_of - knots["date"]).dt.days.to_numpy(dtype=np.int64)
    frame = pd.DataFrame(
        {
            "place": machines.get_indexer(pd.Index(knots["machine"].astype(str))),
            "day": day,
            "back": np.rint(-day / 7.0).astype(np.int64),
            "hours": knots["hours"].to_numpy(dtype=float),
        }
    )
    frame = frame[frame["place"] >= 0]
    return frame.sort_values(["place", "day", "hours"], kind="stable", ignore_index=True)


def _at_week_ends(knots: pd.DataFrame) -> pd.DataFrame:
    """Week ends near which a meter value was read: place, back, day, at_end (hours there).

    Hours at the very week end lie on the curve between the values around it. The nearest value as
    it stands would make weeks of five days and of nine, of which the short ones leave out Sundays:
    taken alike, they would show more hours than were run.
    """
    if knots.empty:
        return knots.assign(at_end=knots["hours"])
    far = (knots["day"] + 7 * knots["back"]).abs()
    ends = knots.assign(far=far).sort_values(["place", "back", "far", "day"], kind="stable")
    ends = ends.drop_duplicates(["place", "back"]).sort_values(["place", "day"], kind="stable")
    known = knots.groupby("place")["day"].agg(["min", "max"]).loc[ends["place"]]
    day = np.clip(-7 * ends["back"].to_numpy(), known["min"].to_numpy(), known["max"].to_numpy())
    reach = float(np.ptp(knots["day"].to_numpy())) + 1.0
    # One interpolation for all machines: each machine's days are lifted above those before it.
    at_end = np.interp(
        ends["place"].to_numpy() * reach + day,
        knots["place"].to_numpy() * reach + knots["day"].to_numpy(),
        knots["hours"].to_numpy(),
    )
    ends = ends.assign(day=day, at_end=at_end)
    close = ends.groupby("place")["day"].diff() < LEAST_DAYS
    return ends[~close]


def _usual(rate: np.ndarray, span: np.ndarray) -> np.ndarray:
    """Mean hours a week over the last year that was read."""
    weight = np.where(np.isnan(rate), 0.0, span)
    after = np.cumsum(weight[:, ::-1], axis=1)[:, ::-1] - weight
    weight = np.where(after < 52, weight, 0.0)
    total = weight.sum(axis=1)
    run = np.where(weight > 0, np.nan_to_num(rate) * weight, 0.0).sum(axis=1)
    result: np.ndarray = np.divide(run, total, out=np.full(len(rate), np.nan), where=total > 0)
    return result
