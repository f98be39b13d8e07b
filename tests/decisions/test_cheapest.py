"""The cheapest part of one use at each position of a proposal."""

from dataclasses import replace

import numpy as np
import pandas as pd
import pytest

from tests.decisions.makers import book, choices, filled
from tests.outlook.makers import same_wear
from wearcast.decisions import parts as room
from wearcast.decisions.cheapest import saving, with_cheapest
from wearcast.decisions.parts import cheapest_parts

LIFE = {
    # tile, vinyl
    "GUM": (50.0, 200.0),
    "PU": (200.0, 200.0),
    "PU-REAR": (500.0, 500.0),
    "STRIP": (500.0, 500.0),
    "POLISH": (20.0, 20.0),
}


@pytest.fixture
def proposal(monkeypatch):
    def draw(wear, seats, floors, parts, choices):
        rate = np.array([[[1 / hours for hours in LIFE[part]]] * 4 for part in seats["part"]])
        return replace(same_wear(len(seats), 4, [0.0, 0.0], shape=1.0), rate=rate)

    monkeypatch.setattr(room, "draw_strangers", draw)
    made = book(
        """
        part     name         kind   wears_as  price  edges
        GUM      blade, gum   blade  gum       10     1
        PU       blade, pu    blade  pu        20     1
        PU-REAR  rear blade   blade  pu        20     1
        STRIP    strip pad    pad    strip     5      1
        POLISH   polish pad   pad    polish    5      1
        """,
        machines="machine  site\n M1  hall\n M2  hall",
    )
    floors = pd.DataFrame(
        [("M1", "tile", 1.0), ("M2", "tile", 0.1), ("M2", "vinyl", 0.9)],
        columns=["machine", "floor", "share"],
    )
    places = """
        machine  position     part    pieces
        M1       front blade  GUM     1
        M1       deck         POLISH  1
        M2       front blade  GUM     1
    """
    return replace(made, floors=floors, positions=filled("positions", places))


class Wear:
    """As much of a fit as the room asks for."""

    floors = ("tile", "vinyl")


def rivals(book):
    return cheapest_parts(book, Wear, choices(draws=4), whole=True)


def test_each_machine_gets_what_costs_least_on_its_own_floors(proposal):
    made, swaps = with_cheapest(proposal, rivals(proposal))
    # On tile gum costs 20 in 100 h and pu 10; on a tenth of tile gum 0.1 x 20 + 0.9 x 5 = 6.5.
    assert swaps[["machine", "part", "instead_of"]].to_numpy().tolist() == [["M1", "PU", "GUM"]]
    assert swaps[["cost_per_100h", "was_per_100h"]].to_numpy()[0].tolist() == pytest.approx(
        [10.0, 20.0], rel=5e-3
    )
    assert made.positions["part"].tolist() == ["PU", "POLISH", "GUM"]


def test_neither_another_use_nor_the_other_side_is_taken(proposal):
    # A strip pad lasts 25 times as long as a polish pad, a rear blade longer than any front one.
    _, swaps = with_cheapest(proposal, rivals(proposal))
    assert not {"STRIP", "PU-REAR"} & set(swaps["part"])


def test_a_saving_is_told_with_its_chance():
    before, after = np.array([10.0, 12.0, 9.0, 11.0]), np.array([8.0, 9.0, 10.0, 7.0])
    assert saving(before, after) == (2.0, 0.75)
