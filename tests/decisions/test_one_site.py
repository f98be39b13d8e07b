"""One site by itself, read off the draws of the whole fleet."""

from dataclasses import fields, replace

import numpy as np
import pandas as pd
import pytest

from tests.decisions.makers import book, choices, counted, draws, history
from wearcast.decisions.one_site import draws_at, site_cost

PARTS = "part  price | blade  10 | pad  4"
MACHINES = ("M1", "M2", "M3")


def fleet():
    """Pad of M2 in the shed between two blades in the hall; M3 of the hall carries nothing."""
    made = draws(
        {("main", "blade"): [counted([1, 0]), counted([2, 1])], ("main", "pad"): [counted([1, 3])]},
        count=2, machine=["M1", "M1", "M2"], site=["hall", "hall", "shed"],
    )  # fmt: skip
    order = [0, 2, 1]
    made = replace(
        made,
        slots=made.slots.iloc[order].reset_index(drop=True),
        blocks=tuple(made.blocks[0].of(np.array([slot])) for slot in order),
        machines=MACHINES,
        hours=np.array([1.0, 2.0, 3.0]),
        weekly_hours=np.full((3, 71), 10.0),
        floors=("tile", "vinyl"),
        wear_now=np.array([0.1, 0.2, 0.3]),
        wear_share=np.array([[1.0, 0.0], [0.0, 1.0], [1.0, 0.0]]),
    )
    past = history(machines=MACHINES, site=["hall", "shed", "hall"])
    mixes = pd.DataFrame(
        {"machine": MACHINES, "since": pd.Timestamp.min, "tile": [1.0, 0.0, 1.0],
         "vinyl": [0.0, 1.0, 0.0]}
    )  # fmt: skip
    return made, replace(past, mixes=mixes, floors=("tile", "vinyl"))


def test_a_sites_positions_keep_their_uses_and_machines():
    made, past = fleet()
    hall = draws_at(made, past, "hall")
    assert hall.machines == ("M1", "M3")
    assert hall.hours.tolist() == [1.0, 3.0]
    assert hall.slots["part"].tolist() == ["blade", "blade"]
    # Blade one: a use in draw 0; blade two: two in draw 0 and one in draw 1.
    assert hall.slot.tolist() == [0, 1, 1, 1]
    assert hall.draw.tolist() == [0, 0, 0, 1]
    assert hall.wear_now.tolist() == [0.1, 0.3]
    assert (hall.slot.dtype, len(hall.cause), len(hall.edges_lost)) == (made.slot.dtype, 4, 4)


def test_every_array_by_position_use_or_machine_is_cut():
    made, past = fleet()
    hall = draws_at(made, past, "hall")
    # Positions or machines, and uses: how many of them, and of the hall's.
    whole, read = {3: 2, 8: 4}, ("slot", "draw", "day", "cause", "edges_lost", "next_day", "turns")
    for name in [*(each.name for each in fields(made) if each.name != "blocks"), *read]:
        before, after = getattr(made, name), getattr(hall, name)
        if isinstance(before, np.ndarray) or name in ("slots", "machines"):
            assert len(after) == whole[len(before)], name


def test_a_sites_cost_is_its_rows_of_the_fleets():
    made, past = fleet()
    frame = site_cost(made, past, book(PARTS), choices(draws=2), "shed")
    assert "fleet" not in frame["level"].tolist()
    # Two pads at 4 on average; tile is the other site's floor.
    rows = frame[frame["kind"] == "all"].set_index(["level", "where"])["mean"]
    year = 365 / 364
    assert rows["site", "shed"] == pytest.approx(8 * year)
    assert rows["floor"].to_dict() == {"vinyl": pytest.approx(8 * year)}
    assert frame.index.tolist() == list(range(len(frame)))


def test_a_sites_positions_have_the_columns_of_the_fleets():
    made, past = fleet()
    hall = draws_at(made, past, "hall").slots
    assert hall.columns.tolist() == made.slots.columns.tolist()
    assert hall.index.tolist() == [0, 1]
