"""Run hours and days ahead, turned into each other; floor mixes by stretches between dates.

A machine's hours ahead are a path a draw: so many hours in each week, run evenly over the week.
Time is in days after the end of as-of; hours count from 0 there. Between two dates on which the
floor shares of a machine change, its mix stands still: a stretch.
"""

from dataclasses import dataclass

import numpy as np
import pandas as pd

DAYS_A_WEEK = 7.0
FAR = 1e12
"""Run hours that are never reached; finite, so that differences stay numbers [h]."""


@dataclass(frozen=True, slots=True)
class Stretches:
    """Floor mixes ahead of each machine, in order of time."""

    until: np.ndarray
    """array (machines, stretches) days after as-of when the stretch ends; the last one: inf"""
    mix: np.ndarray
    """array (machines, stretches, floors) shares of the hours; sum to 1"""


def floor_stretches(
    mixes: pd.DataFrame, machines: tuple[str, ...], floors: tuple[str, ...], as_of: pd.Timestamp
) -> Stretches:
    """Stretches of one floor mix ahead of as-of, for every machine.

    Parameters
    ----------
    mixes : DataFrame
        machine, since, one column a floor; shares hold from the day ``since`` on.
    machines, floors : tuples of names
        The order of the axes that come out.
    as_of : Timestamp
        Time 0 is the end of this day.
    """
    ordered = mixes.sort_values(["machine", "since"], kind="stable")
    place = pd.Index(machines).get_indexer(pd.Index(ordered["machine"]))
    since = ordered["since"].to_numpy().astype("datetime64[D]")
    start = np.maximum((since - np.datetime64(as_of, "D")).astype(np.int64) - 1, 0)
    follows = np.append(place[1:] == place[:-1], [False]) if len(place) else np.zeros(0, bool)
    in_force = (place >= 0) & ~(follows & (np.append(start[1:], 1) == 0))
    place, start = place[in_force], start[in_force]
    rank = pd.Series(place).groupby(place).cumcount().to_numpy(dtype=np.int64)
    most = int(rank.max(initial=0)) + 1
    until = np.full((len(machines), most), np.inf)
    mix = np.zeros((len(machines), most, len(floors)))
    mix[place, rank] = ordered[list(floors)].to_numpy(dtype=float)[in_force]
    later = rank > 0
    until[place[later], rank[later] - 1] = start[later]
    return Stretches(until, _last_mix_goes_on(mix, place, rank))


def _last_mix_goes_on(mix: np.ndarray, place: np.ndarray, rank: np.ndarray) -> np.ndarray:
    """Fill the stretches a machine does not have with its last mix."""
    known = np.zeros(mix.shape[:2], dtype=bool)
    known[place, rank] = True
    last = np.maximum(known.sum(axis=1) - 1, 0)
    filler = np.take_along_axis(mix, last[:, None, None], axis=1)
    return np.where(known[:, :, None], mix, filler)


def cumulate(weekly_hours: np.ndarray) -> np.ndarray:
    """Run hours by the end of each week, 0 first: array (rows, weeks) -> (rows, weeks + 1)."""
    total = np.zeros((*weekly_hours.shape[:-1], weekly_hours.shape[-1] + 1))
    np.cumsum(weekly_hours, axis=-1, out=total[..., 1:])
    return total


def hours_by(cumulative: np.ndarray, days: np.ndarray) -> np.ndarray:
    """Run hours by so many days after as-of; beyond the path: `FAR`.

    Parameters
    ----------
    cumulative : array (machines, draws, weeks + 1), h
    days : array (machines, times), d

    Returns
    -------
    array (machines, draws, times), h
    """
    weeks = cumulative.shape[-1] - 1
    at = np.minimum(days / DAYS_A_WEEK, weeks)
    whole = np.minimum(at.astype(np.int64), max(weeks - 1, 0))
    low = np.take_along_axis(cumulative, whole[:, None, :], axis=2)
    high = np.take_along_axis(cumulative, whole[:, None, :] + min(weeks, 1), axis=2)
    hours = low + (at - whole)[:, None, :] * (high - low)
    return np.where((days / DAYS_A_WEEK > weeks)[:, None, :], FAR, hours)


def days_at(cumulative: np.ndarray, row: np.ndarray, hours: np.ndarray) -> np.ndarray:
    """Time at which a path has run so many hours.

    Parameters
    ----------
    cumulative : array (rows, weeks + 1), h
        Never falling along a row, 0 first.
    row : int array (times,)
    hours : array (times,), h
        Where it is more than the whole row, inf comes out.

    Returns
    -------
    array (times,), days after the end of as-of
    """
    # One search for all: rows are laid end to end, each lifted above the one before.
    columns = cumulative.shape[1]
    lift = float(cumulative[:, -1].max(initial=0.0)) + 1.0
    line = (cumulative + lift * np.arange(len(cumulative))[:, None]).ravel()
    reached = np.isfinite(hours) & (hours <= cumulative[row, -1])
    wanted = np.where(reached, hours, 0.0) + lift * row
    after = np.searchsorted(line, wanted, side="left")
    after = np.clip(after, row * columns + 1, row * columns + columns - 1)
    low, high = line[after - 1], line[after]
    part = np.divide(wanted - low, high - low, out=np.ones_like(wanted), where=high > low)
    days = DAYS_A_WEEK * (after - 1 - row * columns + np.clip(part, 0.0, 1.0))
    return np.where(reached, days, np.inf)


def hours_to_use_up(
    budget: np.ndarray, start: np.ndarray, speed: np.ndarray, bounds: np.ndarray
) -> np.ndarray:
    """Run hours at which a budget is used up, at a speed that changes from stretch to stretch.

    Parameters
    ----------
    budget : array (rows,)
        What may still be used: wear, or a hazard.
    start : array (rows,), h
        Run hours at which the using begins; inf where it never does.
    speed : array (rows, stretches), budget an hour
    bounds : array (rows, stretches), h
        Run hours at which each stretch ends; the last one `FAR`.
    """
    if speed.shape[1] == 1:
        result: np.ndarray = start + _divide(budget, speed[:, 0])
        return result
    opens = np.concatenate([np.zeros_like(bounds[:, :1]), bounds[:, :-1]], axis=1)
    begun = np.where(np.isinf(start), 0.0, start)
    before = np.clip(begun[:, None] - opens, 0.0, bounds - opens)
    wanted = budget + (before * speed).sum(axis=1)
    used, end = np.zeros(budget.shape), np.full(budget.shape, np.inf)
    for stretch in range(speed.shape[1]):
        reached = opens[:, stretch] + _divide(wanted - used, speed[:, stretch])
        end = np.where(np.isinf(end) & (reached <= bounds[:, stretch]), reached, end)
        if stretch < speed.shape[1] - 1:
            used = used + speed[:, stretch] * (bounds[:, stretch] - opens[:, stretch])
    return np.where(np.isinf(start), np.inf, np.maximum(end, start)).astype(budget.dtype)


def _divide(budget: np.ndarray, speed: np.ndarray) -> np.ndarray:
    result: np.ndarray = np.divide(budget, speed, out=np.full_like(budget, np.inf), where=speed > 0)
    return result
