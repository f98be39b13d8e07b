"""Changes written down together, later: spread over the hours since the change before.

So many ends in so many hours is what the log tells of such a position. On their written day all
but the first would have come after no time at all, and lives would look as long as months.
"""

from collections.abc import Iterator

import numpy as np
import pandas as pd

from wearcast.history.steps import Bools, starts_of
from wearcast.history.words import names_words, rows_by_source
from wearcast.logbook.findings.orders import with_columns
from wearcast.told import Problem

WRONG = (
    "several changes of one position stand on one day again and again ({days} days; {names}), as "
    "if written down together later; each counts, equal rows too, and they are spread evenly over "
    "the hours since the change before"
)
REMEDY = "Write each change on its own day or with its hours, and delete rows that are copies"


def written_together(counted: pd.DataFrame) -> Bools:
    """Which lines stand with others of their place, day and run hours, written together.

    Array (lines,) of bool; `counted` as for `spread_together`.
    """
    batch = counted["batch"].to_numpy(dtype=bool)
    if not batch.any():
        return batch
    columns = [counted[name].to_numpy() for name in ("place", "day", "run")]
    same = np.logical_and.reduce([column[1:] == column[:-1] for column in columns])
    return np.asarray(batch & (np.append(same, False) | np.append(False, same)), dtype=bool)


def spread_together(counted: pd.DataFrame) -> pd.DataFrame:
    """The lines with the run hours of changes written together spread evenly.

    Parameters
    ----------
    counted : DataFrame
        As from `wearcast.history.places.lines.count_lines`: place, run [h], batch (bool: written
        several at a time, without hours), ends, on; sorted by place and time.
    """
    together = written_together(counted)
    if not together.any():
        return counted
    place, run = counted["place"].to_numpy(), counted["run"].to_numpy(dtype=float)
    first = starts_of(place)
    begin = first | counted["day"].diff().ne(0).to_numpy()
    start, group = np.flatnonzero(begin), np.cumsum(begin) - 1
    # The end of something that was there: a fit after a removal ends nothing.
    end = (counted["ends"].to_numpy() & (first | np.roll(counted["on"].to_numpy(), 1))).astype(int)
    so_far = np.cumsum(end) - (np.cumsum(end) - end)[start][group]
    ends = np.bincount(group, end)[group]
    before = np.where(first[start], 0.0, run[start - 1])[group]
    spread = before + (run - before) * so_far / np.maximum(ends, 1)
    return with_columns(counted, {"run": np.where(together & (ends > 1), spread, run)})


def tell_together(lines: pd.DataFrame) -> Iterator[Problem]:
    """One finding a file, of the lines that are `written_together`.

    They have name (of the machine), place, day, source, table and row.
    """
    for source, table, rows in rows_by_source(lines):
        mine = lines[lines["source"].eq(source) & lines["table"].eq(table)]
        names = names_words(sorted(set(mine["name"])), 3)
        days = len(mine.drop_duplicates(["place", "day"]))
        wrong = WRONG.format(days=days, names=names)
        yield Problem(source, table, rows, "date", "", "repaired", wrong, REMEDY, float(len(mine)))
