"""Machines whose meters are read and do not move any more; some will run again.

The forecast has them stand on, and nothing in a log says when a hall opens again.
"""

import numpy as np

from wearcast.history.words import names_words
from wearcast.outlook.weeks.past import Past
from wearcast.told import GRAVE, Problem

STILL = 0.05
"""Share of its usual hours below which a machine stands."""
FEWEST_WEEKS, YEAR = 4, 52
"""Weeks it has stood by now, and how far back the same weeks of a season lie."""
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
    weeks = past.rate.shape[1]
    ran = np.nan_to_num(past.rate) * past.span  # of all weeks up to each reading
    moves = ran > STILL * np.nan_to_num(past.usual)[:, None] * past.span
    newest = np.where(moves.any(axis=1), weeks - 1 - np.argmax(moves[:, ::-1], axis=1), weeks)
    week = np.arange(weeks)
    still = np.where(week > newest[:, None], past.span, 0).sum(axis=1)
    run = (week <= newest[:, None]) & (week > newest[:, None] - BEFORE)
    hours = np.where(run, ran, 0.0).sum(axis=1)
    before = hours / np.maximum(np.where(run, past.span, 0).sum(axis=1), 1)
    stand = at_work & (still >= FEWEST_WEEKS) & (before > 0)
    stand &= ~_stood_a_year_ago(ran, past.span, still, before)
    share = before[stand].sum() / max(before[at_work].sum(), 1e-9)
    if share < MATTERS:
        return []
    names = [past.machines[place] for place in np.flatnonzero(stand)]
    return [
        Problem(
            "",
            "readings",
            (),
            "hours",
            ", ".join(names),
            "note",
            f"{names_words(names)} {'has' if len(names) == 1 else 'have'} not run for "
            f"{still[stand].min()} weeks or more, though read, and ran {share:.0%} of all hours "
            "before: the forecast takes it that they stand on, so if they run again, the parts "
            "they need then are missing from every figure and range",
            "Write under plans how much they run and from when, or under machines the day they "
            "retired",
            GRAVE,
        )
    ]


def _stood_a_year_ago(
    ran: np.ndarray, span: np.ndarray, still: np.ndarray, before: np.ndarray
) -> np.ndarray:
    """Whether each machine hardly ran in the same weeks of the year before: bool (machines,)."""
    back = ran.shape[1] - 1 - np.arange(ran.shape[1])
    same = (back >= YEAR) & (back < YEAR + still[:, None])
    seen = np.where(same, span, 0).sum(axis=1)
    hours = np.where(same, ran, 0.0).sum(axis=1)
    return np.asarray((seen > 0) & (hours < before / 2 * seen))
