"""What happened on a small invented fleet: weekly meter readings and what was done to its parts."""

from dataclasses import dataclass

import numpy as np
import pandas as pd

BLADES = ("front blade", "rear blade")
EDGES = 4
LIFE = {"front blade": 62.0, "rear blade": 78.0, "left brush": 210.0, "right brush": 190.0}
"""Mean hours of one edge [h]."""


@dataclass(frozen=True)
class Happened:
    """The truth behind a set of records.

    ``readings`` has machine, date and hours [h]; ``changes`` machine, date, position, action,
    cause and hours, in order of date and machine.
    """

    readings: pd.DataFrame
    changes: pd.DataFrame


def happen(
    seed: int,
    machines: tuple[str, ...],
    *,
    start: str = "2026-01-05",
    weeks: int = 36,
    planned: float = 0.0,
    whole: bool = False,
) -> Happened:
    """A fleet read every seven days from `start` on, with everything done in between.

    Parameters
    ----------
    seed : int
        Start of the random numbers.
    machines : tuple of str
        The numbers or names that the site uses.
    start : str
        Day of the first reading.
    weeks : int
        Readings a machine.
    planned : float
        Share of the ends that were planned.
    whole : bool
        Whether the meter shows whole hours only.
    """
    rng = np.random.default_rng(seed)
    days = pd.date_range(start, periods=weeks, freq="7D")
    readings, changes = [], []
    for machine in machines:
        run = rng.gamma(9, 3.2, weeks).round(0 if whole else 1)
        hours = (rng.integers(150, 2600) + run.cumsum()).round(1)
        readings.append(pd.DataFrame({"machine": machine, "date": days, "hours": hours}))
        for position, life in LIFE.items():
            ends = _ends(rng, days, hours, life, position in BLADES, planned)
            changes += [(machine, day, position, *rest) for day, *rest in ends]
    names = ["machine", "date", "position", "action", "cause", "hours"]
    done = pd.DataFrame(changes, columns=names)
    if whole:
        done["hours"] = done["hours"].round()
    return Happened(
        pd.concat(readings, ignore_index=True).sort_values(["date", "machine"], ignore_index=True),
        done.sort_values(["date", "machine", "position"], ignore_index=True),
    )


def with_work(truth: Happened) -> pd.DataFrame:
    """The readings and the meter at each change, where both stand in one column of a log."""
    both = [truth.readings, truth.changes[["machine", "date", "hours"]]]
    return pd.concat(both).drop_duplicates(ignore_index=True)


def _ends(rng, days, hours, life, turns, planned):
    """What was done at one position: day, action, cause and the meter then."""
    at, edge, ends = hours[0] + life * rng.uniform(0.2, 0.9), rng.integers(EDGES), []
    while at < hours[-1]:
        chance = rng.random()
        cause = "damaged" if chance < 0.12 else "planned" if chance < 0.12 + planned else "worn"
        last = not turns or cause == "damaged" or edge == EDGES - 1
        edge = 0 if last else edge + 1
        week = np.searchsorted(hours, at)
        # Never on a day of reading, so that the day's order of reading and work is no question.
        day = days[week - 1] + pd.Timedelta(days=int(rng.integers(1, 7)))
        share = (day - days[week - 1]).days / 7
        meter = hours[week - 1] + share * (hours[week] - hours[week - 1])
        ends.append((day, "fit" if last else "turn", cause, round(float(meter), 1)))
        at = max(at + life * rng.gamma(6, 1 / 6), hours[week] + 0.1)
    return ends
