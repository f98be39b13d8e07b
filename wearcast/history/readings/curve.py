"""Run hours over time, one never-falling curve a machine.

A date means the end of that day. Run hours count from the first knot of a machine, where they
are 0. Between knots the curve is straight; after the last knot it is flat.
"""

from dataclasses import dataclass

import numpy as np
import pandas as pd

from wearcast.history.steps import (
    Bools,
    Floats,
    Ints,
    ends_of,
    last_at_or_before,
    per_group,
    starts_of,
)

RECENT_DAYS = 56
"""The recent rate is that of the last eight weeks in which hours were really measured."""
REACH_DAYS = 60
"""How far beyond its readings a curve goes on at the recent rate."""


@dataclass(frozen=True, slots=True)
class Curve:
    """Knots of every machine's curve, sorted by machine, day and hours."""

    names: pd.Index
    """Machines, sorted; `machine` counts into it."""
    machine: Ints
    day: Ints
    hours: Floats
    """Run hours [h]."""
    read: Bools
    """False on a knot that stands at the recent rate beyond the readings."""


def first_days(curve: Curve) -> Floats:
    """Array (machines,): day of the first knot; nan without any."""
    return per_group(curve.machine, starts_of(curve.machine), curve.day, len(curve.names))


def last_days(curve: Curve) -> Floats:
    """Array (machines,): day of the last knot; nan without any."""
    return per_group(curve.machine, ends_of(curve.machine), curve.day, len(curve.names))


def last_hours(curve: Curve) -> Floats:
    """Array (machines,): run hours at the last knot [h]; nan without any."""
    return per_group(curve.machine, ends_of(curve.machine), curve.hours, len(curve.names))


def hours_at(curve: Curve, machine: Ints, day: Ints) -> Floats:
    """Run hours at the end of a day [h]: the day's last knot, else on the line between knots.

    0 before the first knot; nan for a machine without knots. `machine` (codes), `day` (day
    numbers) and the hours are arrays (rows,).
    """
    before = last_at_or_before(curve.machine, curve.day, machine, day)
    if len(curve.day) == 0:
        return np.full(len(machine), np.nan)
    left = np.maximum(before, 0)
    right = np.minimum(left + 1, len(curve.day) - 1)
    goes_on = (curve.machine[right] == machine) & (right > left)
    days = np.where(goes_on, np.maximum(curve.day[right] - curve.day[left], 1), 1)
    rise = np.where(goes_on, curve.hours[right] - curve.hours[left], 0.0)
    part = np.clip((day - curve.day[left]) / days, 0.0, 1.0)
    on_curve = curve.hours[left] + rise * part
    has_knots = ~np.isnan(first_days(curve))[machine]
    return np.where(before >= 0, on_curve, np.where(has_knots, 0.0, np.nan))


def within(curve: Curve, machine: Ints, day: Ints) -> Bools:
    """Whether a day lies on a machine's curve, from its first knot to its last."""
    return np.asarray((day >= first_days(curve)[machine]) & (day <= last_days(curve)[machine]))
