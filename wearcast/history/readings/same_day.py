"""Which of a machine's readings of one day can stand together."""

import numpy as np

from wearcast.history.readings.misreadings import MARKED, Shown, step_possible
from wearcast.history.steps import Bools, Floats, Ints, starts_of


def settle_same_day(shown: Shown) -> Bools:
    """Keep the readings of a day that agree within 24 h, or the one that the others bear out."""
    if len(shown.day) == 0:
        return np.zeros(0, dtype=bool)
    new_group = starts_of(shown.machine)
    new_group[1:] |= (shown.day[1:] != shown.day[:-1]) | (shown.start[1:] == MARKED)
    begin = np.flatnonzero(new_group)
    group = np.cumsum(new_group) - 1
    spread = np.maximum.reduceat(shown.hours, begin) - np.minimum.reduceat(shown.hours, begin)
    end = np.append(begin[1:], len(group)) - 1
    rows = np.flatnonzero((spread > 24.0)[group])
    kept = np.ones(len(group), dtype=bool)
    if len(rows) == 0:
        return kept
    borne_out = _borne_out(shown, rows, begin[group[rows]] - 1, end[group[rows]] + 1)
    kept[rows] = borne_out & _agree(group[rows], shown.hours[rows], borne_out)
    return kept


def _borne_out(shown: Shown, rows: Ints, before: Ints, after: Ints) -> Bools:
    """Whether a reading is possible after the reading before its day and before the one after."""
    last = len(shown.day) - 1
    is_before = (before >= 0) & (shown.machine[np.maximum(before, 0)] == shown.machine[rows])
    is_after = (after <= last) & (shown.machine[np.minimum(after, last)] == shown.machine[rows])
    before, after = np.where(is_before, before, rows), np.where(is_after, after, rows)
    from_before = step_possible(shown, before, rows) | ~is_before
    to_after = step_possible(shown, rows, after) | ~is_after
    return np.asarray(from_before & to_after & (is_before | is_after))


def _agree(group: Ints, hours: Floats, counted: Bools) -> Bools:
    """Whether the counted readings of a group lie within 24 h of each other."""
    low = np.full(group.max() + 1, np.inf)
    high = np.full(group.max() + 1, -np.inf)
    np.minimum.at(low, group[counted], hours[counted])
    np.maximum.at(high, group[counted], hours[counted])
    return np.asarray((high - low <= 24.0)[group])
