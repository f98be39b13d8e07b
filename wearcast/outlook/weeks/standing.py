"""Machines whose meters are read and do not move, or did not for long.

The forecast has those that stand go on so: nothing in a log says when a hall opens again.
"""

import numpy as np

from wearcast.history.words import names_words
from wearcast.outlook.weeks.past import Past
from wearcast.told import GRAVE, Problem

STILL = 0.05
"""Share of its usual hours below which a machine stands."""
FEWEST_WEEKS, YEAR = 4, 52
"""Weeks it has stood by now, and how far back the same weeks of a season lie."""
LONG = 17
"""Weeks of rest that are longer than a usual season's."""
BEFORE = 26
"""Weeks before it stood of which the mean is what it ran."""
MATTERS = 0.05
"""Share of the fleet's hours that they ran. All are chosen here."""


def tell_standing(past: Past, at_work: np.ndarray) -> list[Problem]:
    """One finding with the machines that stand, if they used to run much of the fleet's hours.

    Parameters
    ----------
    past : Past
    at_work : bool array (machines,)
        Those that are neither retired nor planned ahead.
    """
    weeks, usual = past.rate.shape[1], np.nan_to_num(past.usual)
    newest = past.rate[:, -FEWEST_WEEKS:]
    rows = np.flatnonzero(at_work & ~(newest > STILL * usual[:, None]).any(axis=1))
    span = past.span[rows]
    ran = np.nan_to_num(past.rate[rows]) * span  # of all weeks up to each reading
    moves = ran > STILL * usual[rows, None] * span
    last = np.where(moves.any(axis=1), weeks - 1 - np.argmax(moves[:, ::-1], axis=1), weeks)
    week = np.arange(weeks)
    still = np.where(week > last[:, None], span, 0).sum(axis=1)
    run = (week <= last[:, None]) & (week > last[:, None] - BEFORE)
    before = np.where(run, ran, 0.0).sum(axis=1) / np.maximum(np.where(run, span, 0).sum(axis=1), 1)
    there = (still >= FEWEST_WEEKS) & (before > 0)
    there &= ~_hardly_ran(ran, span, weeks - YEAR, still, before)
    stand, still, before = rows[there], still[there], before[there]
    others = at_work.copy()
    others[stand] = False
    share = before.sum() / max(before.sum() + usual[others].sum(), 1e-9)
    if share < MATTERS:
        return []
    named = _names(past, stand)
    return [
        _told(
            named,
            f"{named} {'has' if len(stand) == 1 else 'have'} not run for {still.min()} "
            f"weeks or more, though read, and ran {share:.0%} of all hours before: the forecast "
            "takes it that they stand on, so if they run again, the parts they need then are "
            "missing from every figure and range",
        )
    ]


def tell_stood(past: Past, at_work: np.ndarray) -> list[Problem]:
    """One finding with the machines that stood long in the last year and run again.

    One such rest can be a season as well as a thing that happened once. `at_work`: bool array
    (machines,).
    """
    weeks, usual = past.rate.shape[1], np.nan_to_num(past.usual)
    resting, ended, rested = (np.zeros(len(usual), dtype=int) for _ in range(3))
    for week in range(weeks):
        moves = past.rate[:, week] > STILL * usual
        over = moves & (resting >= LONG)
        ended, rested = np.where(over, week, ended), np.where(over, resting, rested)
        resting = np.where(moves, 0, resting + past.span[:, week])
    stood = np.flatnonzero(at_work & (rested > 0) & (ended >= weeks - YEAR))
    span = past.span[stood]
    ran = np.nan_to_num(past.rate[stood]) * span
    stood = stood[~_hardly_ran(ran, span, ended[stood] - YEAR, rested[stood], usual[stood])]
    share = usual[stood].sum() / max(usual[at_work].sum(), 1e-9)
    if share < MATTERS:
        return []
    named = _names(past, stood)
    return [
        _told(
            named,
            f"{named} stood still for {rested[stood].min()} weeks or more within the last year and "
            "run again: the forecast takes that in part for a season that comes again; if they "
            "run on, more is used than it says",
        )
    ]


def _names(past: Past, these: np.ndarray) -> str:
    return names_words([past.machines[place] for place in these])


def _told(named: str, wrong: str) -> Problem:
    remedy = (
        "Write under plans how much they run and from when, or under machines the day they retired"
    )
    return Problem("", "readings", (), "hours", named, "note", wrong, remedy, GRAVE)


def _hardly_ran(
    ran: np.ndarray, span: np.ndarray, end: np.ndarray | int, weeks: np.ndarray, usual: np.ndarray
) -> np.ndarray:
    """Whether each machine was seen to run less than half as usual in so many weeks up to one.

    `ran`, `span`: arrays (machines, weeks); `end`, `weeks`, `usual` and the result: (machines,).
    """
    back = np.reshape(end, (-1, 1)) - np.arange(ran.shape[1])
    same = (back > 0) & (back <= weeks[:, None])
    seen = np.where(same, span, 0).sum(axis=1)
    return np.asarray((seen > 0) & (np.where(same, ran, 0.0).sum(axis=1) < usual / 2 * seen))
