"""Deeds that seem to be written twice, a day or two apart: by who did them and by the office.

One such row is a short life like any other; that there are many more of them than lives a little
longer is no law of wear.
"""

from collections.abc import Iterator

import numpy as np
import pandas as pd

from wearcast.history.steps import Bools, Floats, Ints
from wearcast.history.words import names_words, rows_by_source
from wearcast.told import GRAVE, Problem

DAYS = 3
"""How far apart the two rows lie at most."""
SHORT = 0.1
"""Share of a part's usual hours between changes that counts as no time."""
LEAST, OFTEN = 5, 0.03
"""So many rows, and such a share of a part's changes, are told. All four are chosen here."""
REMEDY = "Delete the copies; if all of it was done, leave it"


def tell_repeated(found: pd.DataFrame, counted: pd.DataFrame) -> Iterator[Problem]:
    """One finding a file.

    Parameters
    ----------
    found : DataFrame
        The lines that are `repeated_deeds`: name (of the machine), part (its name), code (of the
        part), source, table, row.
    counted : DataFrame
        All lines, as for `repeated_deeds`.
    """
    if found.empty:
        return
    changes = pd.Series(_gaps(counted)[1]).value_counts()
    for source, table, numbers in rows_by_source(found):
        mine = found[found["source"].eq(source)]
        shares = ", ".join(
            f"{len(of)} of {changes[of['code'].iloc[0]]} of {part}"
            for part, of in mine.groupby("part", sort=True)
        )
        names = names_words(sorted(set(mine["name"])), 3)
        wrong = (
            f"{len(mine)} changes ({shares}; {names}) say the same as the one a day or so before, "
            f"long before another is usual: they look like deeds written twice; each counts, as an "
            f"edge used too, so that the forecast may be too high by several times that share"
        )
        weight = GRAVE + len(mine)
        yield Problem(source, table, numbers, "date", "", "note", wrong, REMEDY, weight)


def repeated_deeds(counted: pd.DataFrame) -> Bools:
    """Lines that say the same as the one before after no time, of parts with many such.

    Parameters
    ----------
    counted : DataFrame
        place, part, action (codes), day, run [h], cause, ends, observed, batch (bools); sorted by
        place and time.

    Returns
    -------
    array (lines,) of bool
    """
    told = np.zeros(len(counted), dtype=bool)
    at, part, gap = _gaps(counted)
    day, batch, action, cause = (
        counted[name].to_numpy() for name in ("day", "batch", "action", "cause")
    )
    # Lines between that end nothing are rare; one that has such before it is not looked at.
    again = (day[at] - day[at - 1] <= DAYS) & (gap > 0)
    near = np.flatnonzero(again)
    line = at[near]
    again[near] = (
        (action[line] == action[line - 1]) & (cause[line] == cause[line - 1]) & ~batch[line]
    )
    for code in pd.unique(part[again]):
        of = part == code
        short = SHORT * float(np.median(gap[of]))
        found = of & again & (gap <= short)
        chance = float((of & (gap > short) & (gap <= 2 * short)).sum())
        if found.sum() >= max(LEAST, OFTEN * of.sum(), chance + 3 * np.sqrt(chance + 1)):
            told[at[found]] = True
    return told


def _gaps(counted: pd.DataFrame) -> tuple[Ints, np.ndarray, Floats]:
    """Ends that follow another end at their place: line, part and run hours [h] since; arrays."""
    done = (counted["ends"] & counted["observed"]).to_numpy(dtype=bool)
    place, run = counted["place"].to_numpy(), counted["run"].to_numpy(dtype=float)
    at = np.flatnonzero(done[1:] & done[:-1] & (place[1:] == place[:-1])) + 1
    return at, counted["part"].to_numpy()[at], run[at] - run[at - 1]
