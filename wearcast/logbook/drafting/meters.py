"""Whether numbers are what hour meters showed, or hours run."""

from collections import defaultdict
from collections.abc import Iterable, Sequence

import numpy as np
from numpy.typing import NDArray

from wearcast.logbook.drafting.outline import Lane, numbers_of
from wearcast.logbook.reshape.periods import as_day
from wearcast.logbook.sheets.dates import ORDERS, Order, read_date
from wearcast.logbook.sources.cell_texts import text_of

METER = 0.85
"""Share of the steps of a meter that do not fall; slips and replaced meters are the rest. Chosen
here."""
MOST_RUN = 24.0 * 31
"""Hours that one row can have run [h]."""
FEWEST_STEPS = 4
Floats = NDArray[np.float64]


def are_meters(sequences: Iterable[Floats]) -> bool | None:
    """Whether the numbers of each machine in a row are of a meter.

    A sequence is an array (readings,) in hours. None if there are too few to tell, or if they are
    neither.
    """
    steps, largest = [], 0.0
    for values in sequences:
        if len(values) > 1:
            step = np.diff(values)
            steps.append(-step if (step < 0).sum() > (step > 0).sum() else step)
            largest = max(largest, float(values.max()))
    every = np.concatenate(steps) if steps else np.array([])
    if len(every) < FEWEST_STEPS:
        return None
    rises = (every > 0).sum() * 2 > len(every)
    if (every >= 0).mean() >= METER and (rises or largest > MOST_RUN):
        return True
    return False if largest <= MOST_RUN else None


def shows_meter(who: Sequence[Lane], date: Lane | None, lane: Lane) -> bool | None:
    """Whether a lane shows meters, by machine and in the order of the days; None: cannot be told.

    Days with two readings are tried both ways, and the rows as they stand too: hours run come out
    of order in each of them.
    """
    values = numbers_of(lane.cells)
    rows = np.flatnonzero(np.isfinite(values))
    names = list(zip(*map(filled_down, who), strict=True)) or [()] * len(values)
    orders = [rows]
    for order in ORDERS if date else ():
        days = days_of(date, order) if date else rows
        orders.append(rows[np.argsort(days[rows], kind="stable")])
    told = {are_meters(_by_name(names, values, each)) for each in orders}
    return True if True in told else False if told == {False} else None


def _by_name(
    names: Sequence[tuple[str, ...]], values: Floats, rows: NDArray[np.int64]
) -> list[Floats]:
    """The numbers of each machine, in the order of the rows."""
    found: dict[tuple[str, ...], list[int]] = defaultdict(list)
    for at in rows:
        found[names[at]].append(at)
    return [values[places] for places in found.values()]


def days_of(lane: Lane, order: Order) -> NDArray[np.int64]:
    """Day number of each cell, array (cells,); 0 where there is none."""
    known: dict[object, int] = {None: 0}
    for cell in lane.cells:
        if cell not in known:
            day = read_date(as_day(cell)).in_order(order)
            known[cell] = day.toordinal() if day else 0
    return np.array([known[cell] for cell in lane.cells], np.int64)


def filled_down(lane: Lane) -> list[str]:
    """A lane's cells as texts, a blank one as the one above it."""
    names, name = [], ""
    for cell in lane.cells:
        name = name if cell is None else text_of(cell)
        names.append(name)
    return names
