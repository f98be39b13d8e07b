"""Did a machine begin to wear faster or slower: before a day and after it.

In the time of its own cumulative hazard a machine's worn ends come at an even rate: so many before
a day and after it as the hazards there are to each other, given how many there are in all [1]_.
Classes of wear are told together. Where no day is given the one that splits best is looked for
among the months, and what chance alone finds in as many tries is drawn.

References
----------
.. [1] D. R. Cox and P. A. W. Lewis, The Statistical Analysis of Series of Events, Methuen, London
       (1966), ch. 3 and 9 (comparison of rates; time change; remembered).
"""

from collections.abc import Iterator
from typing import Literal, NamedTuple

import numpy as np
import pandas as pd
from scipy.special import chdtrc

from wearcast.history.story import History
from wearcast.logbook.findings.coded import coded
from wearcast.wear.life import NO_WEAR, load, steepness
from wearcast.wear.priors import Z90
from wearcast.wear.records import Wear
from wearcast.wear.streams import machine_stream

ALARM = 0.05
"""Chance that any machine of a fleet without changes is told."""
FEWEST_ENDS = 4
"""Worn ends on each side."""
TRIES, TRIES_AT_ONCE, PLAIN = 4000, 500, 50
"""Fleets of chance alone that are drawn: the smallest chance told is 1 in so many."""
COLUMNS = [
    "machine",
    "since",
    "ends_before",
    "ends_after",
    "times",
    "low",
    "high",
    "chance",
    "sure",
]
_SPELL = ("machine", "site", "wears_as", "start", "end", "cause")
SPELLS_AT_ONCE = 300_000
_SLACK = 0.3
"""The law of the score is one of many ends."""


class Ends(NamedTuple):
    """A machine's worn ends and hazards before the days that may split them."""

    shapes: np.ndarray
    """array (classes,)"""
    share: np.ndarray
    """array (days, classes): hazard before each day, as a share of the whole"""
    before: np.ndarray
    """int array (days, classes): worn ends before each day"""
    worn: np.ndarray
    """int array (classes,)"""


class _Split(NamedTuple):
    """A machine's ends, the days that may split them and how well each does."""

    name: str
    ends: Ends
    days: pd.DatetimeIndex
    enough: np.ndarray
    """bool array (days,): worn ends enough on both sides"""
    scores: np.ndarray
    """array (days,); -1 where there are too few"""


def speed_changes(
    history: History,
    wear: Wear,
    since: pd.Timestamp | None = None,
    seed: int = 1,
    *,
    every: bool = True,
    of: Literal["machine", "site"] = "machine",
) -> pd.DataFrame:
    """Each machine's, or each site's, wear speed before and after a day.

    Parameters
    ----------
    history : History
    wear : Wear
        Its rates by floor say how much hazard each spell took; what a machine does itself cancels.
    since : date, optional
        The day; without it the day of each machine that splits its ends best.
    seed : int
        Of what chance alone finds, where the day is looked for.
    every : bool
        False: only the sure ones are told, the same ones, known many times sooner.
    of : str
        Whose: of a site each machine is compared with itself, so that machines that come and go
        make no change.

    Returns
    -------
    DataFrame
        machine (or site), since, ends_before, ends_after (worn), times (speed after over before),
        low, high (90 %), chance (of so large a change by chance alone), sure (bool: not one in 20
        such fleets would be told by chance); a row a machine with ends enough on both sides.
    """
    found = []
    used = np.flatnonzero(used_spells(history, wear))
    months = _months(*(history.spells[side].to_numpy()[used] for side in ("start", "end")))
    names = coded(history.spells[of].to_numpy()[used])
    for name, own in (
        each
        for some in _pieces(names.codes)
        for each in _by(of, _stratified(with_load(history, wear, used[some]), of))
    ):
        days = _days(own, months) if since is None else pd.DatetimeIndex([since])
        ends = ends_of(own, days)
        enough = (ends.before.sum(axis=1) >= FEWEST_ENDS) & (
            ends.worn.sum() - ends.before.sum(axis=1) >= FEWEST_ENDS
        )
        if enough.any():
            scores = np.where(enough, _score(ends.before, ends.share, ends), -1.0)
            found.append(_Split(str(name), ends, days, enough, scores))
    # A day that was looked for is no surer than the same day given, whose chance needs no drawing.
    given = chdtrc(1, np.array([one.scores.max() for one in found]))
    chance = given
    if since is None:
        drawn = every | sure_ones(given * _SLACK)
        chance = np.array(
            [
                _chance_of_best(one, seed) if it else 1.0
                for one, it in zip(found, drawn, strict=True)
            ]
        )
    sure = sure_ones(chance)
    kept = np.flatnonzero(sure | every)
    rows = [_told(found[at]) for at in kept]
    frame = pd.DataFrame(rows, index=kept, columns=[of, *COLUMNS[1:-2]])
    return frame.assign(chance=chance[kept], sure=sure[kept])


def _stratified(spells: pd.DataFrame, of: str) -> pd.DataFrame:
    """The spells; of a site each class of each machine is told by itself."""
    if of == "machine":
        return spells
    return spells.assign(wears_as=spells["wears_as"] + " of " + spells["machine"])


def used_spells(history: History, wear: Wear) -> pd.Series:
    """Which spells can be used."""
    spells = history.spells
    used = spells["in_fit"].astype(bool) & spells["start"].notna() & spells["end"].notna()
    return used & spells["wears_as"].isin(wear.spells)


def _pieces(names: np.ndarray) -> Iterator[np.ndarray]:
    """The places of some whole names at a time, name after name; codes of names: array (rows,).

    All at once would be a second copy of all spells of a large fleet.
    """
    order = np.argsort(names, kind="stable")
    ends = np.cumsum(np.bincount(names))
    wanted = np.searchsorted(ends, np.arange(SPELLS_AT_ONCE, len(names), SPELLS_AT_ONCE))
    yield from np.split(order, np.unique(ends[wanted]))


def with_load(history: History, wear: Wear, places: np.ndarray) -> pd.DataFrame:
    """Some of the spells that can be used, with the hazard that each took at pace 1.

    `places`: int array (some,) of their row numbers.
    """
    spells = history.spells[list(_SPELL)].iloc[places]
    kind, names = pd.factorize(spells["wears_as"])
    where = dict(zip(wear.worn.terms, wear.worn.mean.tolist(), strict=True))
    rate = np.exp(
        [[where.get(f"log rate[{name}, {floor}]", 0.0) for floor in wear.floors] for name in names]
    ).reshape(len(names), len(wear.floors))[kind]
    shape = np.array([where.get(f"log shape[{name}]", 0.0) for name in names], dtype=float)[kind]
    hours = history.exposure.loc[spells.index, list(wear.floors)].to_numpy(float)
    log_wear = np.log(np.maximum((hours * rate).sum(axis=1), NO_WEAR))
    return spells.assign(load=load(log_wear, shape), shape=steepness(shape))


class _Lives(NamedTuple):
    """Spells as arrays: of a large fleet thousands of frames would take longer than the sums."""

    kind: np.ndarray
    """int array (spells,) numbers of classes, in the order of their names"""
    start: np.ndarray
    """array (spells,) days since 1970, like the next one [d]"""
    end: np.ndarray
    shape: np.ndarray
    load: np.ndarray
    worn: np.ndarray
    """bool array (spells,)"""


def _lives(spells: pd.DataFrame) -> _Lives:
    return _Lives(
        pd.factorize(spells["wears_as"], sort=True)[0],
        _in_days(spells["start"].to_numpy()),
        _in_days(spells["end"].to_numpy()),
        spells["shape"].to_numpy(float),
        spells["load"].to_numpy(float),
        spells["cause"].eq("worn").to_numpy(),
    )


def _in_days(times: np.ndarray) -> np.ndarray:
    return np.asarray((times - np.datetime64("1970-01-01")) / np.timedelta64(1, "D"))


def _by(of: str, spells: pd.DataFrame) -> Iterator[tuple[str, _Lives]]:
    """The spells of each machine, or site, in the order of their names."""
    names, number = np.unique(spells[of].to_numpy(str), return_inverse=True)
    order = np.argsort(number, kind="stable")
    lives = _lives(spells.iloc[order])
    bounds = np.searchsorted(number[order], np.arange(len(names) + 1))
    for name, first, end in zip(names.tolist(), bounds[:-1], bounds[1:], strict=True):
        yield name, _Lives(*(each[first:end] for each in lives))


def _months(start: np.ndarray, end: np.ndarray) -> pd.DatetimeIndex:
    """First days of all months from the first spell on; arrays (spells,) of dates."""
    if not len(start):
        return pd.DatetimeIndex([])
    return pd.date_range(pd.Timestamp(start.min()).normalize(), end.max(), freq="MS")


def _days(own: _Lives, months: pd.DatetimeIndex) -> pd.DatetimeIndex:
    """First days of the months between a machine's first and last spell."""
    times = _in_days(months.to_numpy())
    first = np.searchsorted(times, own.start.min(), side="left")
    return months[first : np.searchsorted(times, own.end.max(), side="right")]


def ends_before(own: pd.DataFrame, days: pd.DatetimeIndex) -> Ends:
    """Hazards and ends of a machine before each of the days."""
    return ends_of(_lives(own), days)


def ends_of(own: _Lives, days: pd.DatetimeIndex) -> Ends:
    """The same of spells as arrays."""
    kinds, kind = np.unique(own.kind, return_inverse=True)
    times = _in_days(days.to_numpy())[:, None]
    gone = np.clip((times - own.start) / np.maximum(own.end - own.start, 1e-9), 0.0, 1.0)
    load = own.load * gone**own.shape
    ended = own.worn & (own.end < times)
    flags = (kind[:, None] == np.arange(len(kinds))).astype(float)  # of integers no fast product
    whole = np.maximum(own.load @ flags, 1e-300)
    shapes = np.array([own.shape[kind == number][0] for number in range(len(kinds))])
    before, worn = (counted.astype(float) @ flags for counted in (ended, own.worn))
    return Ends(shapes, load @ flags / whole, before.astype(int), worn.astype(int))


def _score(before: np.ndarray, share: np.ndarray, ends: Ends) -> np.ndarray:
    """Score statistic of each split for a change of speed: chi-square of 1 where there is none.

    Arrays (..., days, classes) give (..., days).
    """
    k, n = ends.shapes, ends.worn
    slope = ((n * share - before) * k).sum(axis=-1)
    spread = (k**2 * n * share * (1 - share)).sum(axis=-1)
    return np.asarray(np.divide(slope**2, spread, out=np.zeros_like(slope), where=spread > 1e-9))


def _told(split: _Split) -> tuple[object, ...]:
    """The day that splits best and what changed there: `COLUMNS` without the chances."""
    at, ends = int(np.argmax(split.scores)), split.ends
    log, spread = _log_times(ends.before[at], ends.share[at], ends)
    times, low, high = np.exp([log, log - Z90 * spread, log + Z90 * spread])
    before = int(ends.before[at].sum())
    return (split.name, split.days[at], before, int(ends.worn.sum()) - before, times, low, high)


def _chance_of_best(split: _Split, seed: int) -> float:
    """How often chance alone finds a split so good: ends laid evenly over the hazard.

    Drawn until it is plain that it is no rare thing (Besag and Clifford, Biometrika 78 (1991)
    301-304, sequential Monte Carlo p-values; remembered).
    """
    ends = split.ends
    stream = machine_stream(seed, split.name, "change of wear speed")
    steps = np.diff(ends.share[split.enough], axis=0, prepend=0.0, append=1.0).clip(min=0.0)
    steps /= steps.sum(axis=0)
    reached, tries = 0, 0
    while tries < TRIES and reached < PLAIN:
        drawn = np.stack(
            [
                stream.multinomial(count, steps[:, number], TRIES_AT_ONCE)
                for number, count in enumerate(ends.worn)
            ],
            axis=-1,
        )
        best = _score(drawn.cumsum(axis=1)[:, :-1], ends.share[split.enough], ends).max(axis=1)
        reached += int((best >= split.scores.max()).sum())
        tries += TRIES_AT_ONCE
    return (1 + reached) / (1 + tries)


def _log_times(before: np.ndarray, share: np.ndarray, ends: Ends) -> tuple[float, float]:
    """Log of speed after over before by conditional likelihood, and its standard error."""
    k, n, log = ends.shapes, ends.worn, 0.0
    odds = np.maximum(1 - share, 1e-12) / np.maximum(share, 1e-12)
    spread = 1.0
    for _ in range(50):
        after = odds * np.exp(k * log) / (1 + odds * np.exp(k * log))
        # A prior of sd 1 on the log keeps it finite where one side has no end.
        slope = (k * (n - before - n * after)).sum() - log
        spread = (k**2 * n * after * (1 - after)).sum() + 1.0
        step = np.clip(slope / spread, -1.0, 1.0)
        log += step
        if abs(step) < 1e-9:
            break
    return float(log), float(spread**-0.5)


def sure_ones(chances: np.ndarray) -> np.ndarray:
    """Which of some chances stand though so many were looked at (Holm 1979; remembered).

    Array (chances,); True where it stands.
    """
    order = np.argsort(chances, kind="stable")
    still = chances[order] * (len(chances) - np.arange(len(chances))) <= ALARM
    sure = np.zeros(len(chances), bool)
    sure[order] = np.logical_and.accumulate(still) if len(chances) else still
    return sure
