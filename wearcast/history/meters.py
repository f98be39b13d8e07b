"""From what the hour meters showed to one curve of run hours a machine.

`read_meters` joins readings and the hours written on changes, sets misreadings aside, stitches
new, rolled-over and reset meters, and goes on at the recent rate to as-of, for 60 days at most.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace

import numpy as np
import pandas as pd

from wearcast.history.readings.curve import REACH_DAYS, Curve, hours_at
from wearcast.history.readings.meter_findings import tell_meters
from wearcast.history.readings.misreadings import (
    GOES_ON,
    MARKED,
    MODULUS,
    Shown,
    first_marks,
    repair,
)
from wearcast.history.readings.recent import recent_rates
from wearcast.history.readings.same_day import settle_same_day
from wearcast.history.steps import (
    Floats,
    Ints,
    dates_of,
    day_numbers,
    ends_of,
    per_group,
    starts_of,
)
from wearcast.logbook.book import Logbook
from wearcast.logbook.findings.coded import same_text
from wearcast.logbook.findings.orders import order_of, with_columns
from wearcast.told import Problem


@dataclass(frozen=True, slots=True, eq=False)
class Meters:
    """The curves, and what else the meters tell."""

    curve: Curve
    rate: Floats
    """array (machines,) recent rate [h/day]; nan where no meter was seen to run"""
    last_read: Floats
    """array (machines,) day of the last usable meter value; nan without any"""
    first_shown: Floats
    last_shown: Floats
    """arrays (machines,) the same of all values, also those that were set aside"""
    change_hours: Floats
    """array (changes,) run hours at each change [h]; nan without a curve"""
    told: tuple[Problem, ...]


def read_meters(
    book: Logbook, names: pd.Index, of_reading: Ints, of_change: Ints, retired: Floats
) -> Meters:
    """Curves of all machines from readings and the hours on changes.

    Parameters
    ----------
    names : Index
        Machines, sorted.
    of_reading, of_change : arrays (readings,) and (changes,)
        Machine (code) of each.
    retired : array (machines,)
        Day after which a machine runs no more; nan: none.
    """
    values = _meter_values(book, of_reading, of_change)
    machine, day, hours = (values[name].to_numpy() for name in ("machine", "day", "hours"))
    shown = Shown(machine, day, hours, np.where(values["marked"], MARKED, GOES_ON))
    shown = shown._replace(start=first_marks(shown))
    agreed = settle_same_day(shown)
    kept, start = repair(shown, agreed)
    used = values if kept.all() else values[kept].reset_index(drop=True)
    run, rates = _stitch(used, start[kept])
    of = used["machine"].to_numpy()
    rate = per_group(of, ends_of(of), rates, len(names))
    last = per_group(of, ends_of(of), used["day"].to_numpy(), len(names))
    first_shown = per_group(machine, starts_of(machine), day, len(names))
    last_shown = per_group(machine, ends_of(machine), day, len(names))
    changed = _dated_changes(book, of_change)
    knots = Curve(names, of, used["day"].to_numpy(), run, np.full(len(run), True))
    knots = _begin_at_first_change(knots, changed[changed["dated"]], rates)
    curve = _go_on(knots, rate, np.fmin(day_number(book.as_of), retired))
    placed = hours_at(curve, changed["machine"].to_numpy(), changed["day"].to_numpy())
    from_change = used["change"].to_numpy() >= 0
    placed[used["change"].to_numpy()[from_change]] = curve.hours[curve.read][from_change]
    named = with_columns(values, {"name": names.to_numpy()[machine], "date": dates_of(day)})
    told = tell_meters(named, agreed, kept, start)
    return Meters(curve, rate, last, first_shown, last_shown, placed, tuple(told))


def _dated_changes(book: Logbook, of_change: Ints) -> pd.DataFrame:
    """Of each change: machine (code), day, dated (bool)."""
    return pd.DataFrame(
        {
            "machine": of_change,
            "day": day_numbers(book.changes["date"]),
            "dated": book.changes["date"].notna().to_numpy(),
        }
    )


def day_number(date: pd.Timestamp) -> int:
    """Days since 1970-01-01."""
    return int(date.to_datetime64().astype("datetime64[D]").astype(np.int64))


def _meter_values(book: Logbook, of_reading: Ints, of_change: Ints) -> pd.DataFrame:
    """Everything a meter showed: machine, day, hours, marked, change, table, source, row."""
    rows = np.flatnonzero(book.changes["hours"].notna() & book.changes["date"].notna())
    none = np.full(len(book.readings), -1)
    written = [("readings", book.readings, of_reading, none)]
    if rows.size:
        changes = with_columns(book.changes.iloc[rows], {"new_meter": False})
        written = [
            *(one for one in written if len(one[1])),
            ("changes", changes, of_change[rows], rows),
        ]
    values = pd.DataFrame(
        {
            "machine": _joined(machine for *_, machine, _ in written),
            "day": _joined(day_numbers(frame["date"]) for _, frame, *_ in written),
            "hours": _joined(frame["hours"].to_numpy(dtype=float) for _, frame, *_ in written),
            "marked": _joined(frame["new_meter"].to_numpy(dtype=bool) for _, frame, *_ in written),
            "change": _joined(change for *_, change in written),
            "table": _joined(same_text(table, len(frame)) for table, frame, *_ in written),
            **{
                name: _joined(frame[name].to_numpy() for _, frame, *_ in written)
                for name in ("source", "row")
            },
        },
        copy=False,
    )
    return _in_order(values)


def _joined(parts: Iterable[np.ndarray]) -> np.ndarray:
    """The parts of a column one below the other; a single one is not copied."""
    first, *rest = parts
    return np.concatenate([first, *rest]) if rest else first


def _in_order(values: pd.DataFrame) -> pd.DataFrame:
    """By machine, day and size; on the day of a new meter the old meter's values come first."""
    turn = np.zeros(len(values), dtype=np.int64)
    marks = values.loc[values["marked"], ["machine", "day", "hours"]]
    if len(marks):
        lowest = marks.groupby(["machine", "day"], as_index=False)["hours"].min()
        mark = values[["machine", "day"]].merge(lowest, how="left", on=["machine", "day"])["hours"]
        on_new = values["hours"].between(mark.to_numpy(), mark.to_numpy() + 24.0)
        turn = np.where(values["marked"], 1, np.where(on_new, 2, 0))
    # The last two keys settle nothing but which of two equal values comes first.
    machine, day, *rest = (
        values[name].to_numpy() for name in ("machine", "day", "hours", "change", "row")
    )
    order = order_of([machine, day, turn, *rest])
    return values if order is None else values.take(order).reset_index(drop=True)


def _stitch(used: pd.DataFrame, start: Ints) -> tuple[Floats, Floats]:
    """Run hours at each used value, and the recent rate there [h/day]."""
    machine = used["machine"].to_numpy()
    first = starts_of(machine)
    step = np.diff(used["hours"].to_numpy(), prepend=0.0) + MODULUS[start]
    days = np.diff(used["day"].to_numpy(), prepend=0)
    measured = ~first & ((start == GOES_ON) | (MODULUS[start] > 0))
    rates = recent_rates(machine, np.where(measured, step, 0.0), np.where(measured, days, 0))
    # Over the gap of a new meter nothing was measured: the rate before it goes on through it.
    before = np.where(first, 0.0, np.roll(rates, 1))
    filled = np.where(first, 0.0, days * np.nan_to_num(before))
    total = pd.Series(np.where(measured, step, filled)).groupby(machine).cumsum()
    return np.asarray(total, dtype=np.float64), rates


def _begin_at_first_change(curve: Curve, changed: pd.DataFrame, rates: Floats) -> Curve:
    """Reach back at the first rate to a change written up to 60 days before the first value.

    `rates` is an array (knots,): the recent rate there [h/day].
    """
    at = np.flatnonzero(starts_of(curve.machine))
    written = changed.groupby("machine")["day"].min()
    earliest = per_group(
        written.index.to_numpy(), np.full(len(written), True), written.to_numpy(),
        len(curve.names), np.inf,
    )  # fmt: skip
    to = np.maximum(earliest[curve.machine[at]], curve.day[at] - REACH_DAYS)
    at, to = at[to < curve.day[at]], to[to < curve.day[at]]
    machine = curve.machine[at]
    rise = np.zeros(len(curve.names))
    rise[machine] = np.nan_to_num(rates[at]) * (curve.day[at] - to)
    shifted = replace(curve, hours=curve.hours + rise[curve.machine])
    return _with_knots(shifted, at, machine, to, np.zeros(len(at)))


def _go_on(curve: Curve, rate: Floats, until: Floats) -> Curve:
    """A last knot at the recent rate: at the last day of work, at most 60 days on."""
    at = np.flatnonzero(ends_of(curve.machine))
    machine, day = curve.machine[at], curve.day[at]
    to = np.minimum(until[machine], day + REACH_DAYS)
    hours = curve.hours[at] + np.nan_to_num(rate)[machine] * (to - day)
    on = to > day
    return _with_knots(curve, at[on] + 1, machine[on], to[on], hours[on])


def _with_knots(curve: Curve, at: Ints, machine: Ints, day: Floats, hours: Floats) -> Curve:
    """The curve with knots that no meter showed, put in before these rows."""
    return Curve(
        curve.names,
        np.insert(curve.machine, at, machine),
        np.insert(curve.day, at, day.astype(np.int64)),
        np.insert(curve.hours, at, hours),
        np.insert(curve.read, at, False),
    )
