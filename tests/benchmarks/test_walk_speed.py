"""How long the walk takes and what it needs: 40 machines, 6 positions, 1,000 draws, 400 days.

Processor time, so that a busy computer does not fail it; the limits are about three times what was
measured (walk 3 s, use by period 0.6 s, hours 1 s) on two cores of a small server.
"""

import time
import tracemalloc
from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pandas as pd
import pytest

from tests.outlook.makers import AS_OF, history_of, positions, same_wear
from tests.outlook.test_hours import NO_PLANS, noisy_weeks, read_weekly
from wearcast.history.story import History
from wearcast.logbook.choices import Choices
from wearcast.outlook.hours import hours_ahead
from wearcast.outlook.records import Draws
from wearcast.outlook.use import use_by_period
from wearcast.outlook.walk import walk_slots
from wearcast.wear.records import WearDraws

pytestmark = pytest.mark.study

MACHINES, DRAWS, DAYS = 40, 1000, 400
CARRIES = {
    "front blade": (4, 100.0),
    "rear blade": (4, 120.0),
    "left brush": (1, 350.0),
    "right brush": (1, 350.0),
    "left pad": (2, 25.0),
    "right pad": (2, 25.0),
}


def fleet() -> tuple[History, WearDraws]:
    """Forty machines with two years of weekly readings, and wear as spread as a fit leaves it."""
    rng = np.random.default_rng(1)
    read = read_weekly(noisy_weeks(rng, MACHINES, 104, 0.18, 0.5, 0.15))
    names = list(read.machines.index)
    rows = [
        {"machine": name, "position": place, "part": place[-5:], "edges": edges, "age": "unknown"}
        for name in names
        for place, (edges, _) in CARRIES.items()
    ]
    shares = pd.DataFrame(rng.dirichlet(np.ones(3), MACHINES), columns=["a", "b", "c"])
    mixes = pd.concat(
        [pd.DataFrame({"machine": names, "since": pd.Timestamp(2020, 1, 1)}), shares], axis=1
    )
    carried = positions(rows).sort_values(["machine", "position"], ignore_index=True)
    history = history_of(
        carried, mixes, floors=("a", "b", "c"), meters=read.meters, machines=read.machines
    )
    return history, spread_wear(rng, carried)


def spread_wear(rng: np.random.Generator, carried: pd.DataFrame) -> WearDraws:
    """Rates known to 10 %, paces of 30 % spread."""
    size = (len(carried), DRAWS)
    life = np.array([CARRIES[place][1] for place in carried["position"]])
    alike = same_wear(
        *size, rate=[0.01] * 3, shape=2.3, damage=1 / 2000, removal=1 / 5000,
        replaced=(0.15, 0.4, 1.0),
    )  # fmt: skip
    return replace(
        alike,
        rate=np.exp(rng.normal(0, 0.1, (*size, 3))) / life[:, None, None],
        pace=rng.gamma(10.0, 0.1, size),
    )


def measured(step: Callable[[], object]) -> tuple[object, float]:
    """What a step gives, and its processor time in seconds."""
    begin = time.process_time()
    result = step()
    return result, time.process_time() - begin


def test_hours_walk_and_use_take_a_few_seconds():
    history, wear = fleet()
    choices = Choices(as_of=AS_OF, order_from=AS_OF, order_to=AS_OF, draws=DRAWS)
    hours, hours_took = measured(lambda: hours_ahead(history, NO_PLANS, choices, DAYS))
    draws, walk_took = measured(lambda: walk_slots(wear, hours, history, 1, DAYS))
    _, use_took = measured(lambda: use_by_period(draws, None, choices))
    print(f"hours {hours_took:.1f} s, walk {walk_took:.1f} s, use {use_took:.1f} s")
    assert isinstance(draws, Draws)
    assert hours_took < 4
    assert walk_took < 10
    assert use_took < 3


def test_the_walk_stays_under_250_megabytes():
    history, wear = fleet()
    choices = Choices(as_of=AS_OF, order_from=AS_OF, order_to=AS_OF, draws=DRAWS)
    hours = hours_ahead(history, NO_PLANS, choices, DAYS)
    tracemalloc.start()
    walk_slots(wear, hours, history, 1, DAYS)
    _, peak = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    print(f"walk peak {peak / 1e6:.0f} MB")
    assert peak < 250e6
