"""A second, slow and obvious walk, in plain loops, as referee of the fast one."""

import math
import random

import numpy as np
import pandas as pd
import pytest

from tests.outlook.makers import ALWAYS, AS_OF, history_of, positions, same_wear, steady_hours
from wearcast.outlook.use import count_pieces
from wearcast.outlook.walk import walk_slots

WEEKLY = [20.0, 30.0, 0.0, 0.0, 45.0, 25.0, 30.0, 30.0, 10.0, 40.0, 35.0, 30.0, 20.0]
CASE = {
    "rate": [1 / 60, 1 / 25],
    "shape": 2.4,
    "pace": 1.3,
    "damage": [1 / 900, 1 / 150],
    "removal": 1 / 400,
    "replaced": (0.25, 0.6, 1.0),
}
MIX_BEFORE, MIX_AFTER, CHANGES_AFTER_DAY = [0.8, 0.2], [0.1, 0.9], 40
EDGES, EDGE_NOW, EXPOSURE_NOW = 4, 2, [12.0, 5.0]
DAYS, DRAWS, SLOW = 91, 20_000, 2_500
STEP = 1 / 12


def slow_walk(dice: random.Random) -> list[tuple[float, bool, int]]:
    """One path, hour by hour: (day, part came off, edges lost) of each end."""
    worn = sum(h * r for h, r in zip(EXPOSURE_NOW, CASE["rate"], strict=True))
    shape, pace, edge = CASE["shape"], CASE["pace"], EDGE_NOW
    wears_out = (worn**shape + dice.expovariate(1) / pace) ** (1 / shape)
    ends, other = [], dice.expovariate(1)
    hazard = 0.0
    for step in range(int(DAYS / STEP)):
        day = step * STEP
        hours = WEEKLY[int(day // 7)] / 7 * STEP
        mix = MIX_BEFORE if day < CHANGES_AFTER_DAY else MIX_AFTER
        damage = sum(s * d for s, d in zip(mix, CASE["damage"], strict=True))
        worn += hours * sum(s * r for s, r in zip(mix, CASE["rate"], strict=True))
        hazard += hours * (damage + CASE["removal"])
        if worn < wears_out and hazard < other:
            continue
        if worn >= wears_out:
            off = edge == EDGES or dice.random() < CASE["replaced"][0]
        elif dice.random() < damage / (damage + CASE["removal"]):
            off = edge == EDGES or dice.random() < CASE["replaced"][1]
        else:
            off = True
        ends.append((day + STEP, off, EDGES - edge if off else 0))
        edge = 1 if off else edge + 1
        worn, hazard, other = 0.0, 0.0, dice.expovariate(1)
        wears_out = (dice.expovariate(1) / pace) ** (1 / shape)
    return ends


@pytest.fixture(scope="module")
def slow() -> list[list[tuple[float, bool, int]]]:
    dice = random.Random(11)
    return [slow_walk(dice) for _ in range(SLOW)]


@pytest.fixture(scope="module")
def fast():
    floors = ("vinyl", "quarry tile")
    since = AS_OF + pd.Timedelta(days=CHANGES_AFTER_DAY + 1)
    mixes = pd.DataFrame(
        [["M1", ALWAYS, *MIX_BEFORE], ["M1", since, *MIX_AFTER]],
        columns=["machine", "since", *floors],
    )
    running = positions([{"edges": EDGES, "edge": float(EDGE_NOW), "age": "known"}])
    history = history_of(running, mixes, np.array([EXPOSURE_NOW]), floors)
    hours = steady_hours(np.array(WEEKLY), DRAWS, len(WEEKLY))
    return walk_slots(same_wear(1, DRAWS, **CASE), hours, history, seed=3, days=DAYS)


def assert_same_mean(fast: np.ndarray, slow: np.ndarray, rounding: float = 0.0):
    """Means agree within 4.5 standard errors of their difference (1 in 150,000 by chance)."""
    error = math.sqrt(fast.var() / len(fast) + slow.var() / len(slow))
    assert fast.mean() == pytest.approx(slow.mean(), abs=4.5 * error + rounding)


@pytest.mark.parametrize(("first", "last"), [(1, 30), (31, 60), (61, 91), (1, 91)])
def test_uses_in_a_window_agree_with_the_plain_loop(fast, slow, first: int, last: int):
    counted = count_pieces(fast, np.array([0]), first, last)[0]
    plain = np.array([sum(o and first - 1 < d <= last for d, o, _ in p) for p in slow])
    assert_same_mean(counted, plain)
    assert_same_mean((counted - counted.mean()) ** 2, (plain - plain.mean()) ** 2)


@pytest.mark.parametrize("day", [7, 28, 45, 70, 91])
def test_chance_of_a_next_end_by_a_day_agrees_with_the_plain_loop(fast, slow, day: int):
    plain = np.array([bool(p) and p[0][0] <= day + STEP / 2 for p in slow])
    assert_same_mean((fast.next_day[0] <= day).astype(float), plain.astype(float))


@pytest.mark.parametrize("day", [28, 45, 91])
def test_chance_of_a_change_by_a_day_agrees_with_the_plain_loop(fast, slow, day: int):
    plain = np.array([any(o and d <= day + STEP / 2 for d, o, _ in p) for p in slow])
    assert_same_mean((fast.change_day[0] <= day).astype(float), plain.astype(float))


def test_edges_thrown_away_agree_with_the_plain_loop(fast, slow):
    lost = np.bincount(fast.draw, weights=fast.edges_lost, minlength=DRAWS)
    assert_same_mean(lost, np.array([sum(e for _, _, e in path) for path in slow], dtype=float))


def test_share_of_first_ends_that_take_the_part_off_agrees_with_the_plain_loop(fast, slow):
    ended = np.isfinite(fast.next_day[0])
    plain = np.array([float(p[0][1]) for p in slow if p])
    taken_off = (fast.change_day == fast.next_day)[0]
    assert_same_mean(taken_off[ended].astype(float), plain)
