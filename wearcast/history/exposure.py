"""Hours on each floor, from the floor shares in force as the hours ran.

Shares that hold since a date hold from the beginning of that day, so they change at the run
hours that a machine had at the end of the day before. Hours on a floor are then a broken line
over run hours, one a machine and floor.
"""

from dataclasses import dataclass

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from wearcast.history.readings.curve import Curve, hours_at
from wearcast.history.steps import (
    EVER,
    Floats,
    Ints,
    codes_of,
    day_numbers,
    starts_of,
)

UNKNOWN = "unknown"
"""The floor of a machine for which the logbook names none."""


@dataclass(frozen=True, slots=True)
class FloorMix:
    """Floor shares of every machine, sorted by machine and since; each machine has a first row."""

    floors: tuple[str, ...]
    machine: Ints
    since: Ints
    """Day from whose beginning a row holds; the first row of a machine holds from ever."""
    share: NDArray[np.float64]
    """array (rows, floors); rows sum to 1"""
    run: Floats
    """Run hours when the row came in force [h]"""
    before: NDArray[np.float64]
    """array (rows, floors): hours on each floor until then [h]"""


def read_mixes(floors: pd.DataFrame, curve: Curve) -> FloorMix:
    """Floor shares by machine and date, joined with the hours that ran under each."""
    names = tuple(sorted(set(floors["floor"]) | ({UNKNOWN} if _lacking(floors, curve) else set())))
    rows = _share_rows(floors, curve)
    wide = rows.pivot_table("share", ["machine", "since"], "floor", aggfunc="sum", fill_value=0.0)
    share = wide.reindex(columns=list(names), fill_value=0.0).to_numpy(dtype=float)
    machine = wide.index.get_level_values("machine").to_numpy(dtype=np.int64)
    since = wide.index.get_level_values("since").to_numpy(dtype=np.int64)
    since = np.where(starts_of(machine), EVER, since)
    first = starts_of(machine)
    run = np.where(first, 0.0, np.nan_to_num(hours_at(curve, machine, since - 1)))
    ran = np.where(first, 0.0, np.diff(run, prepend=0.0))
    step = np.roll(share, 1, axis=0) * ran[:, None]
    before = pd.DataFrame(step).groupby(machine).cumsum().to_numpy(dtype=float)
    return FloorMix(names, machine, since, share, run, before.reshape(share.shape))


def _lacking(floors: pd.DataFrame, curve: Curve) -> bool:
    return not curve.names.isin(floors["machine"]).all()


def _share_rows(floors: pd.DataFrame, curve: Curve) -> pd.DataFrame:
    """One row a share: machine (code), since (day), floor, share; every machine has one."""
    rows = pd.DataFrame(
        {
            "machine": codes_of(floors["machine"], curve.names),
            "since": day_numbers(floors["since"]),
            "floor": floors["floor"].to_numpy(dtype=object),
            "share": floors["share"].to_numpy(dtype=float),
        }
    )
    rows = rows[rows["machine"] >= 0]
    rest = np.setdiff1d(np.arange(len(curve.names)), rows["machine"])
    lacking = pd.DataFrame({"machine": rest, "since": EVER, "floor": UNKNOWN, "share": 1.0})
    return pd.concat([frame for frame in (rows, lacking) if len(frame)] or [rows])


def hours_on_floors(mix: FloorMix, machine: Ints, begin: Floats, end: Floats) -> Floats:
    """Array (asked, floors): hours on each floor between two run hours of a machine [h]."""
    first, last = (_row_at(mix, machine, mix.run, run) for run in (begin, end))
    hours = np.asarray(mix.share[last])
    hours *= (end - begin)[:, None]
    over = np.flatnonzero(first != last)
    hours[over] = _until(mix, last[over], end[over]) - _until(mix, first[over], begin[over])
    return hours


def _until(mix: FloorMix, row: Ints, run: Floats) -> Floats:
    """Array (asked, floors): hours until these run hours, in which that row was in force [h]."""
    return np.asarray(mix.before[row] + (run - mix.run[row])[:, None] * mix.share[row])


def _row_at(mix: FloorMix, machine: Ints, begin: Floats | Ints, at: Floats | Ints) -> Ints:
    """The row in force then: from a machine's first one on, as far as `begin` of the rows is."""
    row = np.searchsorted(mix.machine, np.arange(len(mix.machine) and mix.machine[-1] + 1))[machine]
    for _ in range(int(np.bincount(mix.machine).max(initial=1)) - 1):
        after = np.minimum(row + 1, len(mix.machine) - 1)
        row = np.where((mix.machine[after] == machine) & (begin[after] <= at), after, row)
    return np.asarray(row, np.int64)


def shares_at(mix: FloorMix, machine: Ints, day: Ints) -> Floats:
    """Array (asked, floors): shares in force on a day."""
    return np.asarray(mix.share[_row_at(mix, machine, mix.since, day)])


def instead(hours: pd.DataFrame, other: pd.DataFrame) -> pd.DataFrame:
    """The hours, with those rows (by label) in place of their own that `other` has."""
    if other.empty:
        return hours
    both = hours.copy()
    both.loc[other.index] = other
    return both


def mix_table(mix: FloorMix, names: pd.Index) -> pd.DataFrame:
    """machine, since (the first of a machine: the earliest timestamp), one column a floor."""
    since = pd.Series(mix.since.astype("datetime64[D]").astype("datetime64[s]"))
    dates = since.where(mix.since > EVER, pd.Timestamp("1970-01-01")).astype("datetime64[ns]")
    dates = dates.mask(mix.since == EVER, pd.Timestamp.min)
    table = pd.DataFrame({"machine": names.to_numpy()[mix.machine], "since": dates})
    return pd.concat([table, pd.DataFrame(mix.share, columns=list(mix.floors))], axis=1)
