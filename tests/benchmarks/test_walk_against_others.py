"""The walk against other ways of doing the same; run with ``-n 0 -s``.

Positions with four edges each, that wear out (Weibull), tear or are taken off, 35 h a week for a
year. A plain loop and simpy, a process a position and future, take the same laws with Python's own
dice; all must come to the same use. "Bare" only draws as many numbers with numpy: three waits and
a chance an end. One run of each after the other, five times, and the medians of their ratios are
told, for the same number of ends.
"""

import random
import time
from collections.abc import Callable, Iterator

import numpy as np
import pytest
import simpy

from tests.outlook.makers import history_of, positions, same_wear, steady_hours
from wearcast.outlook.records import Draws
from wearcast.outlook.walk import walk_slots

SLOTS, DRAWS, FEW, TIMES = 80, 1000, 2000, 5
WEEKS, HOURS_A_WEEK, EDGES = 52, 35.0, 4
LIFE, SHAPE, DAMAGE, REMOVAL, REPLACED = 60.0, 2.4, 1 / 900, 1 / 400, (0.05, 0.6, 1.0)
MOST_HOURS, LEAST_LIFE = HOURS_A_WEEK * WEEKS, HOURS_A_WEEK / 7 / 4


def ours(seed: int = 1) -> Draws:
    """The package's walk of all futures, with its dates."""
    wear = same_wear(
        SLOTS, DRAWS, rate=1 / LIFE, shape=SHAPE, damage=DAMAGE, removal=REMOVAL, replaced=REPLACED
    )
    rows = [{"position": f"blade {number}", "edges": EDGES} for number in range(SLOTS)]
    history = history_of(positions(rows))
    return walk_slots(wear, steady_hours(HOURS_A_WEEK, DRAWS, WEEKS), history, seed, 7 * WEEKS)


def counts(draws: Draws) -> tuple[int, int]:
    """Parts used, and ends of edges."""
    used, turned = len(draws.day), sum(int(block.turns.sum()) for block in draws.blocks)
    return used, used + turned


def next_end(dice: random.Random) -> tuple[float, float]:
    """Hours that a new edge lasts, and the chance that its part comes off then."""
    worn = LIFE * dice.expovariate(1.0) ** (1 / SHAPE)
    torn, off = dice.expovariate(DAMAGE), dice.expovariate(REMOVAL)
    lasts = min(worn, torn, off)
    return max(lasts, LEAST_LIFE), REPLACED[0 if lasts == worn else 1 if lasts == torn else 2]


def by_loop(paths: int, seed: int = 2) -> tuple[int, int]:
    """Parts used and ends, one future after the other."""
    dice, used, ends = random.Random(seed), 0, 0
    for _ in range(paths):
        hours, edge = 0.0, 1
        while True:
            lasts, chance = next_end(dice)
            hours += lasts
            if hours > MOST_HOURS:
                break
            ends += 1
            edge += 1
            if edge > EDGES or dice.random() < chance:
                used, edge = used + 1, 1
    return used, ends


def by_simpy(paths: int, seed: int = 3) -> tuple[int, int]:
    """Parts used and ends, a process a future."""
    dice, world, told = random.Random(seed), simpy.Environment(), [0, 0]

    def position() -> Iterator[simpy.Event]:
        edge = 1
        while True:
            lasts, chance = next_end(dice)
            yield world.timeout(lasts)
            told[1] += 1
            edge += 1
            if edge > EDGES or dice.random() < chance:
                told[0], edge = told[0] + 1, 1

    for _ in range(paths):
        world.process(position())
    world.run(until=MOST_HOURS)
    return told[0], told[1]


def bare(ends: int) -> None:
    """Only the numbers that so many ends take."""
    rng = np.random.Generator(np.random.Philox(1))
    rng.standard_exponential((3, ends), dtype=np.float32)
    rng.random(ends, dtype=np.float32)


def ends_a_second(step: Callable[[], int]) -> float:
    """Ends that a step makes in a second of processor time."""
    begin = time.process_time()
    ends = step()
    return ends / (time.process_time() - begin)


def test_against_a_plain_loop_and_simpy():
    all_ends = counts(ours())[1]
    each_use = [counts(ours())[0] / (SLOTS * DRAWS), by_loop(FEW)[0] / FEW, by_simpy(FEW)[0] / FEW]
    # 2,000 futures with some ten uses each know their mean to 1 %.
    assert each_use[1:] == pytest.approx([each_use[0]] * 2, rel=0.04)

    def only_drawn() -> int:
        bare(all_ends)
        return all_ends

    steps: dict[str, Callable[[], int]] = {
        "loop": lambda: by_loop(FEW)[1],
        "simpy": lambda: by_simpy(FEW)[1],
        "bare": only_drawn,
    }
    speeds, ratios = [], {name: list[float]() for name in steps}
    for _ in range(TIMES):
        own = ends_a_second(lambda: counts(ours())[1])
        speeds.append(own)
        for name, step in steps.items():
            ratios[name].append(own / ends_a_second(step))
    told = {name: float(np.median(of)) for name, of in ratios.items()}
    print(
        f"\n{all_ends:,} ends of {SLOTS * DRAWS:,} futures, {np.median(speeds) / 1e6:.1f} million "
        f"a second: {told['loop']:.0f} times a plain loop, {told['simpy']:.0f} times simpy; "
        f"the numbers alone take 1/{1 / told['bare']:.1f} of the time"
    )
    assert told["loop"] > 5
