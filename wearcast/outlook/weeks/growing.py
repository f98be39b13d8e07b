"""Run hours that grow from year to year, or changed at once: the forecast follows in part.

It takes the level of hours as a slow walk, so that a second shift of the last weeks is half seen.
"""

from typing import NamedTuple

import numpy as np

from wearcast.outlook.weeks.past import Past
from wearcast.told import GRAVE, Problem

WINDOW, YEAR = 13, 52
"""Weeks that are compared, and how far apart: a year, so that no season is taken for growth."""
STEPS = ((4, 13), (8, 26))
"""Newest weeks, and the weeks before that they are laid against."""
FEWEST = 5
"""Machines that were read in both windows."""
TOLD, ERRORS = 1.25, 2.5
"""Growth from which it is told, if it is so many standard errors."""
STEP, BEYOND = 1.07, 1.5
"""A smaller step is told, too, if it is so many times the largest of the log before."""
COMPARABLE = 0.1
"""Share of the usual hours that both windows must hold. All are chosen here."""


class _Growth(NamedTuple):
    log: float
    error: float
    """by leaving out a machine in turn"""

    @property
    def sure(self) -> bool:
        return self.at_least(TOLD)

    def at_least(self, growth: float) -> bool:
        """Whether it is so much, and no chance."""
        return bool(abs(self.log) >= max(np.log(growth), ERRORS * self.error))

    @property
    def words(self) -> str:
        ratio = float(np.exp(self.log))
        return f"{ratio - 1:.0%} more" if ratio > 1 else f"{1 - ratio:.0%} fewer"


def tell_growing(past: Past) -> list[Problem]:
    """One finding where the same machines run much more, or less, than weeks or a year before."""
    weeks = past.rate.shape[1]
    # Where a step can be laid against the year before, one that cannot would tell seasons.
    tried = [one for one in STEPS if weeks >= YEAR + sum(one)] or STEPS
    steps = [(_step(past, newest, before), newest, before) for newest, before in tried]
    step, newest, before = max(steps, key=lambda one: abs(one[0].log))
    if step.sure or (step.at_least(STEP) and _is_new(past, step, newest, before)):
        way = "low" if step.log > 0 else "high"
        return [
            _told(
                f"the same machines ran {step.words} hours in the last {newest} weeks than in the "
                f"{before} before; the forecast goes part of that way: if hours stay so, parts and "
                f"cost are too {way}, if they go back (a season, a holiday), they are not"
            )
        ]
    year = _growth(_mean(past, 0, WINDOW), _mean(past, YEAR, WINDOW))
    if not year.sure:
        return []
    way = "low" if year.log > 0 else "high"
    return [
        _told(
            f"the same machines ran {year.words} hours in the last {WINDOW} weeks than a year "
            "before; the forecast takes hours to stay as they are now: if they go on changing so, "
            f"parts and cost of the year are too {way} by about {abs(np.exp(year.log / 2) - 1):.0%}"
        )
    ]


def _told(wrong: str) -> Problem:
    remedy = "Write the hours that are meant as plans, if you know them"
    return Problem("", "readings", (), "hours", "", "note", wrong, remedy, GRAVE)


def _is_new(past: Past, step: _Growth, newest: int, before: int) -> bool:
    """Whether no step like it was in the log before."""
    last = past.rate.shape[1] - newest - before
    older = [
        _growth(_mean(past, back, newest), _mean(past, back + newest, before)).log
        for back in range(newest, last)
    ]
    return len(older) >= before and abs(step.log) >= BEYOND * np.abs(older).max()


def _step(past: Past, newest: int, before: int) -> _Growth:
    """Hours of the newest weeks over those before, less what the same weeks did a year ago."""
    now = _growth(_mean(past, 0, newest), _mean(past, newest, before))
    if past.rate.shape[1] < YEAR + newest + before:
        return now
    then = _growth(_mean(past, YEAR, newest), _mean(past, YEAR + newest, before))
    return _Growth(now.log - then.log, float(np.hypot(now.error, then.error)))


def _growth(now: np.ndarray, before: np.ndarray) -> _Growth:
    """Of machines that were read in both windows."""
    both = (now > 0) & (before > 0)
    if both.sum() < FEWEST:
        return _Growth(0.0, 0.0)
    usual = np.maximum(now, before).sum()
    now, before = now[both], before[both]
    if min(now.sum(), before.sum()) < COMPARABLE * usual:
        return _Growth(0.0, 0.0)
    log = np.log(now.sum() / before.sum())
    without = np.log((now.sum() - now) / (before.sum() - before))
    return _Growth(float(log), float(np.sqrt((len(now) - 1) * np.mean((without - log) ** 2))))


def _mean(past: Past, back: int, weeks: int) -> np.ndarray:
    """Mean hours a week of each machine in a window: array (machines,); 0 if it was not read."""
    end = past.rate.shape[1] - back
    if end < weeks:
        return np.zeros(len(past.machines))
    rate, span = (one[:, end - weeks : end] for one in (past.rate, past.span))
    weight = np.where(np.isnan(rate), 0, np.minimum(span, weeks))
    total = weight.sum(axis=1)
    run = (np.nan_to_num(rate) * weight).sum(axis=1)
    return np.asarray(np.divide(run, total, out=np.zeros(len(total)), where=total > 0))
