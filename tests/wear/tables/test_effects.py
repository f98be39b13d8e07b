"""Front or rear, and end-for-end turning."""

import numpy as np
import pytest

from tests.wear.fleet import Truth, choices, simulate
from wearcast.wear.draws import draw_wear
from wearcast.wear.fit import fit_wear


@pytest.fixture(scope="module")
def turned():
    """Front blades wear a quarter faster; regular turns lengthen a brush's life by three tenths."""
    truth = Truth(
        turners="half",
        turning_factor=1.3,
        front_factor=1.25,
        positions={
            "front blade": "gum blade",
            "rear blade": "gum blade",
            "left brush": "nylon brush",
            "right brush": "nylon brush",
        },
    )
    history, parts, _ = simulate(truth, 2, machines=30, hours=2500)
    return history, fit_wear(history, parts, choices())


@pytest.mark.parametrize(
    ("name", "effect", "life_ratio"),
    [("gum blade", "front", 1 / 1.25), ("nylon brush", "turning", 1.3)],
)
def test_known_effects_lie_in_their_intervals(turned, name, effect, life_ratio):
    table = turned[1].effect_table.set_index(["wears_as", "effect"])
    row = table.loc[(name, effect)]
    # One fleet: four standard errors; the 90 % interval is 3.29 of them wide.
    stretch = (row["high"] / row["low"]) ** (4 / 3.29)
    assert row["life_ratio"] / stretch < life_ratio < row["life_ratio"] * stretch


def test_a_front_position_draws_faster_wear_than_a_rear_one(turned):
    history, wear = turned
    drawn = draw_wear(wear, history.running, history.running_exposure, 1, 200)
    running = history.running
    front, rear = (
        running.index[running["machine"].eq("M001") & running["position"].eq(place)][0]
        for place in ("front blade", "rear blade")
    )
    # Both are of one class on one machine: what site and machine do falls out.
    ratio = drawn.rate[front] / drawn.rate[rear]
    row = wear.effect_table.set_index("effect").loc["front"]
    assert np.median(ratio) == pytest.approx(1 / row["life_ratio"], rel=0.01)


def test_sure_effects_are_told(turned):
    row = turned[1].effect_table.set_index("effect").loc["turning"]
    words = (
        f"a nylon brush turned end for end regularly lasts {row['life_ratio']:.2f} times as long "
        f"as one never turned in this log (90 % interval {row['low']:.2f} to {row['high']:.2f})"
    )
    assert words in [problem.wrong for problem in turned[1].told]


def test_a_class_on_one_side_only_has_no_effect(wear):
    assert len(wear.effect_table) == 0


@pytest.mark.study
@pytest.mark.parametrize(
    ("turners", "hours", "turn_hours"),
    [("half", 1500.0, 150.0), ("half", 2500.0, 60.0), ("chance", 1500.0, 200.0)],
    ids=["every second life a turn", "often", "at any hour"],
)
def test_turning_that_does_nothing_shows_nothing_on_average(turners, hours, turn_hours):
    truth = Truth(
        turners=turners,
        turn_hours=turn_hours,
        positions={"left brush": "nylon brush", "right brush": "nylon brush"},
        kinds={"nylon brush": "brush"},
        life={cell: life for cell, life in Truth().life.items() if cell[0] == "nylon brush"},
    )
    logs = []
    for seed in range(40):
        history, parts, _ = simulate(truth, seed, machines=24, hours=hours)
        row = fit_wear(history, parts, choices()).effect_table.set_index("effect").loc["turning"]
        logs.append(np.log(row["life_ratio"]))
    # Four standard errors of the mean of 40 independent fleets, about 0.05.
    assert abs(np.mean(logs)) < 4 * np.std(logs, ddof=1) / np.sqrt(len(logs))
