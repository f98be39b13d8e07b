"""Run hours ahead, week by week: level, season, trend, noise, and what is planned.

Week 1 is the seven days after as-of. Everything that is not known is drawn: the level (read off
the past with weights that fall off exponentially), the season of a year (fleet, site, machine; see
`wearcast.outlook.weeks.season`), the slow walk of the level and the autocorrelated noise of the
weeks.
A history under a year cannot show a whole season: what it has not shown stays open, and how large
seasons are is drawn too, and that is the allowance for it. A season that has been seen is shrunk as
far as the past leaves it in doubt (`season_kept`); a slope is fitted from 104 weeks on and fades
ahead. Plans replace the level; in_service and retired begin and end the hours.
"""

from dataclasses import dataclass

import numpy as np
import pandas as pd

from wearcast.history.story import History
from wearcast.logbook.choices import Choices
from wearcast.outlook.records import HoursDraws
from wearcast.outlook.weeks.growing import tell_growing
from wearcast.outlook.weeks.known import KnownHours, learn_hours, terms_ahead
from wearcast.outlook.weeks.past import Past, read_past
from wearcast.outlook.weeks.plans import WeeksAhead, weeks_ahead
from wearcast.outlook.weeks.season import (
    WAVES,
    Tree,
    draw_child,
    draw_fleet,
    draw_sites,
    season_kept,
)
from wearcast.outlook.weeks.standing import tell_standing, tell_stood
from wearcast.told import Problem
from wearcast.wear.streams import machine_stream

SEASON_WEEKS = 52
MOST_HOURS = 168.0
VALUES_AT_ONCE = 1_000_000
WHAT_IF = 200.0
"""Weight of a finding that no figure may be read without."""

Sized = list[tuple[Tree, np.ndarray]]
"""Trees, each with the numbers of the draws that take it."""


@dataclass(frozen=True, slots=True, eq=False)
class HoursAhead:
    """What is known of the hours ahead, drawn machine by machine when they are walked."""

    machines: tuple[str, ...]
    """Sorted."""
    told: tuple[Problem, ...]
    """Machines for which nothing says how much they will run."""
    known: KnownHours
    sized: Sized
    site: np.ndarray
    """array (machines,) number of each one's site"""
    shared: np.ndarray
    """array (sites, draws, terms), see `_draw_sites`"""
    work: WeeksAhead
    choices: Choices

    @property
    def weeks(self) -> int:
        """How many weeks ahead."""
        return int(self.work.free.shape[1])

    def of(self, some: np.ndarray) -> HoursDraws:
        """The hours of some machines, by their numbers; the same whichever are drawn with them.

        Parameters
        ----------
        some : int array (some,)
        """
        drawn = np.empty((len(some), self.choices.draws, self.weeks), dtype=np.float32)
        size = max(VALUES_AT_ONCE // (self.choices.draws * self.weeks), 1)
        for at in range(0, len(some), size):
            drawn[at : at + size] = _draw_machines(some[at : at + size], self)
        parts = {
            "usual": self.known.usual[some],
            "noise": self.known.noise[some],
            "season_kept": season_kept(self.known.tree, self.known.precision[some]),
        }
        return HoursDraws(tuple(self.machines[at] for at in some), drawn, parts, self.told)


def learn_hours_ahead(
    history: History, plans: pd.DataFrame, choices: Choices, days: int
) -> HoursAhead:
    """What is known of the run hours of every machine in each week ahead.

    Parameters
    ----------
    history : History
    plans : DataFrame
        The logbook's plans: machine, start, end, hours_per_week.
    choices : Choices
        ``seed`` and ``draws``.
    days : int
        How far; whole weeks come out, at least one.
    """
    past = read_past(history)
    sites, site = _number_sites(history.machines)
    known = learn_hours(past, site, history.as_of)
    work = weeks_ahead(history.machines, plans, history.as_of, max(-(-days // 7), 1))
    at_work = ~work.planned & (work.free.sum(axis=1) > 0)
    sized = _draw_sizes(known, choices)
    return HoursAhead(
        machines=past.machines,
        told=(
            *tell_growing(past),
            *tell_standing(past, at_work),
            *tell_stood(past, at_work),
            *_tell_unknown(past, work),
            *_tell_factor(choices.hours_factor),
        ),
        known=known,
        sized=sized,
        site=site,
        shared=_draw_sites(known, sized, site, sites, choices),
        work=work,
        choices=choices,
    )


def hours_ahead(history: History, plans: pd.DataFrame, choices: Choices, days: int) -> HoursDraws:
    """Run hours of every machine in each week ahead, for each draw; see `learn_hours_ahead`."""
    ahead = learn_hours_ahead(history, plans, choices, days)
    return ahead.of(np.arange(len(ahead.machines)))


def _number_sites(machines: pd.DataFrame) -> tuple[tuple[str, ...], np.ndarray]:
    """Names of the sites, sorted, and each machine's number among them."""
    names, number = np.unique(machines["site"].astype(str).to_numpy(dtype=str), return_inverse=True)
    return tuple(names), number


def _draw_sizes(known: KnownHours, choices: Choices) -> Sized:
    """How large seasons are in each draw: trees, and the draws that take each of them."""
    upto = np.rint(np.cumsum(known.weights) * choices.draws).astype(int)
    order = machine_stream(choices.seed, "", "size of the season").permutation(choices.draws)
    parts = np.split(order, upto[:-1])
    return [(tree, np.sort(part)) for tree, part in zip(known.trees, parts, strict=True)]


def _draw_sites(
    known: KnownHours,
    sized: Sized,
    site: np.ndarray,
    sites: tuple[str, ...],
    choices: Choices,
) -> np.ndarray:
    """Season and slope of every site, for each draw: array (sites, draws, terms)."""
    shape = (choices.draws, known.pull.shape[1])
    dice = machine_stream(choices.seed, "", "season").standard_normal(shape)
    streams = (machine_stream(choices.seed, "", f"season of {name}") for name in sites)
    own = np.array([stream.standard_normal(shape) for stream in streams]).reshape(-1, *shape)
    terms = np.empty(own.shape)
    for tree, some in sized:
        fleet = draw_fleet(tree, known.precision, known.pull, site, dice[some])
        terms[:, some] = draw_sites(tree, known.precision, known.pull, site, fleet, own[:, some])
    return terms


def _draw_machines(some: np.ndarray, ahead: HoursAhead) -> np.ndarray:
    """Hours of some machines: array (some, draws, weeks), float32."""
    known, shared, choices, site = ahead.known, ahead.shared, ahead.choices, ahead.site
    work, weeks, terms = ahead.work, ahead.weeks, shared.shape[2]
    dice, wobble = _roll(some, known, terms, weeks, choices)
    own = np.empty((len(some), choices.draws, terms))
    for tree, these in ahead.sized:
        own[:, these] = draw_child(
            tree.machine,
            known.precision[some],
            known.pull[some],
            shared[site[some]][:, these],
            dice[:, these, :terms],
        )
    level, state = _draw_state(some, known, own, dice[:, :, terms:])
    later = terms_ahead(weeks, known.as_of, known.trend)
    hours = own @ later.T  # worked on in place: these are the largest arrays there are
    hours += state[:, :, :1] + _walk(wobble[:, :, 0], known, some)
    hours += level[:, :, None]
    np.maximum(hours, 0.0, out=hours)
    hours *= np.nan_to_num(known.usual[some])[:, None, None] * work.free[some][:, None, :]
    if work.short[some].any() or work.long[some].any():
        season = _season_of_plans(own, later, known)
        hours += work.short[some][:, None, :] + work.long[some][:, None, :] * season
    hours *= _noise(state[:, :, 1], wobble[:, :, 1], known, some)
    hours *= choices.hours_factor
    np.clip(hours, 0.0, MOST_HOURS, out=hours)
    return np.asarray(hours, dtype=np.float32)


def _roll(
    some: np.ndarray, known: KnownHours, terms: int, weeks: int, choices: Choices
) -> tuple[np.ndarray, np.ndarray]:
    """Standard normal numbers: (some, draws, terms + 3), and (some, weeks, 2, draws)."""
    names = [known.machines[place] for place in some]
    first = [machine_stream(choices.seed, name, "hours level") for name in names]
    later = [machine_stream(choices.seed, name, "hours week by week") for name in names]
    dice = np.array([stream.standard_normal((choices.draws, terms + 3)) for stream in first])
    # Weeks come first, so that a longer look ahead leaves the earlier weeks as they were.
    shape = (weeks, 2, choices.draws)
    wobble = np.array([stream.standard_normal(shape, dtype=np.float32) for stream in later])
    return dice, wobble


def _draw_state(
    some: np.ndarray, known: KnownHours, own: np.ndarray, dice: np.ndarray
) -> tuple[np.ndarray, np.ndarray]:
    """Level, and where the walk and the noise stand at as-of: (some, draws), (some, draws, 2)."""
    filtered, noise = known.filtered, known.noise[some]
    weight = filtered.precision[some, 0, 0]
    pull = filtered.pull[some, 0][:, None] - np.einsum(
        "mt,mdt->md", filtered.precision[some, 0, 1:], own
    )
    best = np.divide(pull, weight[:, None], out=np.zeros_like(pull), where=weight[:, None] > 0)
    error = np.divide(noise, np.sqrt(weight), out=np.zeros_like(noise), where=weight > 0)
    level = best + error[:, None] * dice[:, :, 0]
    terms = np.concatenate([level[:, :, None], own], axis=2)
    state = filtered.state[some]
    centre = state[:, None, :, 0] - terms @ np.swapaxes(state[:, :, 1:], 1, 2)
    root = np.linalg.cholesky(filtered.state_cov[some] + 1e-12 * np.eye(2))
    spread = dice[:, :, 1:] @ np.swapaxes(root, 1, 2)
    return level, centre + noise[:, None, None] * spread


def _walk(wobble: np.ndarray, known: KnownHours, some: np.ndarray) -> np.ndarray:
    """The level's further walk: array (some, draws, weeks), in usual hours."""
    step = known.unrest.walk * known.noise[some]
    return np.swapaxes(np.cumsum(wobble, axis=1) * step[:, None, None], 1, 2)


def _noise(
    start: np.ndarray, wobble: np.ndarray, known: KnownHours, some: np.ndarray
) -> np.ndarray:
    """Factors of the week noise, mean 1, never negative: array (some, draws, weeks)."""
    noise, memory = known.noise[some], known.unrest.memory
    log_sd = np.sqrt(np.log1p(noise**2))
    now, fresh = start / noise[:, None], np.sqrt(1.0 - memory**2)
    known_share = known.filtered.state_cov[some, 1, 1]
    factor = np.empty((len(some), start.shape[1], wobble.shape[1]), dtype=np.float32)
    for week in range(wobble.shape[1]):
        now = memory * now + fresh * wobble[:, week]
        fades = memory ** (2 * (week + 1))
        variance = 1.0 - fades * (1.0 - known_share)
        factor[:, :, week] = np.exp(log_sd[:, None] * now - (log_sd**2 * variance / 2.0)[:, None])
    return factor


def _season_of_plans(own: np.ndarray, ahead: np.ndarray, known: KnownHours) -> np.ndarray | float:
    """Factors of the season around a planned level; 1 until a whole year has been seen."""
    if known.weeks < SEASON_WEEKS:
        return 1.0
    waves = 2 * WAVES
    result: np.ndarray = np.maximum(1.0 + own[:, :, :waves] @ ahead[:, :waves].T, 0.05)
    return result


def _tell_unknown(past: Past, work: WeeksAhead) -> tuple[Problem, ...]:
    """One finding with the machines for which nothing says how much they will run."""
    unknown = np.isnan(past.usual) & ~work.planned & (work.free.sum(axis=1) > 0)
    names = [past.machines[place] for place in np.flatnonzero(unknown)]
    if not names:
        return ()
    return (
        Problem(
            source="",
            table="readings",
            rows=(),
            column="machine",
            value=", ".join(names),
            severity="note",
            wrong="fewer than two readings and no plan, so no hours are forecast",
            remedy="Enter hour meter readings, or hours_per_week under plans",
        ),
    )


def _tell_factor(factor: float) -> tuple[Problem, ...]:
    """What is asked "what if" is said before any figure."""
    if factor == 1:
        return ()
    words = f"what if: all hours ahead are taken {factor:g} times"
    remedy = "Leave --hours out for the forecast itself"
    return (Problem("", "plans", (), "", "", "note", words, remedy, WHAT_IF),)
