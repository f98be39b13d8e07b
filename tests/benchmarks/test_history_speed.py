"""How long the history of a big fleet takes: 10,000 machines, 104 weeks, 100,000 changes."""

import numpy as np
import pandas as pd

from tests.history.books import logbook
from wearcast.history.story import read_history

MACHINES, WEEKS, CHANGES = 10_000, 104, 100_000
MISREAD = 0.002
"""Share of readings with a figure too many or too few."""


def big_fleet(seed=3):
    """A logbook as large as the largest we expect, with misreadings in it."""
    chance = np.random.default_rng(seed)
    names = np.array([f"M{number:05d}" for number in range(MACHINES)], dtype=object)
    dates = pd.date_range("2025-01-05", periods=WEEKS, freq="7D")
    weekly = chance.uniform(5, 40, (MACHINES, WEEKS)).cumsum(axis=1)
    hours = np.round(chance.uniform(0, 9000, MACHINES)[:, None] + weekly, 1).ravel()
    wrong = chance.random(len(hours)) < MISREAD
    hours[wrong] *= chance.choice([0.1, 10], wrong.sum())
    readings = pd.DataFrame(
        {"machine": np.repeat(names, WEEKS), "date": np.tile(dates, MACHINES), "hours": hours}
    )
    position = chance.choice(
        np.array(["brush", "front blade", "rear blade"], dtype=object), CHANGES
    )
    changes = pd.DataFrame(
        {
            "machine": names[chance.integers(0, MACHINES, CHANGES)],
            "date": dates[0] + pd.to_timedelta(chance.integers(0, 7 * WEEKS - 7, CHANGES), "D"),
            "position": position,
            "action": chance.choice(np.array(["turn", "turn", "fit"], dtype=object), CHANGES),
            "part": np.where(position == "brush", "R1", "B4"),
        }
    )
    floors = pd.DataFrame(
        {
            "machine": np.repeat(names, 2),
            "floor": np.tile(np.array(["tile", "vinyl"], dtype=object), MACHINES),
            "share": 0.5,
        }
    )
    return logbook(readings=readings, changes=changes, floors=floors)


def test_the_history_of_ten_thousand_machines(benchmark):
    book = big_fleet()
    past = benchmark.pedantic(read_history, args=(book,), rounds=1)
    # Every reading is a knot or was set aside and told, and nothing else became a knot.
    aside = sum(len(problem.rows) for problem in past.told if problem.severity == "set aside")
    assert past.meters["read"].sum() + aside == MACHINES * WEEKS
