"""Which part is cheapest where."""

from dataclasses import replace

import numpy as np
import pytest

from tests.conftest import assert_table
from tests.decisions.makers import book, choices, filled
from tests.outlook.makers import same_wear
from wearcast.decisions import parts as room
from wearcast.decisions.parts import candidate_parts, cheapest_parts, part_life

CATALOGUE = """
    part   kind   price  edges
    gum    blade  10     1
    pu     blade  15     1
    pad    pad    5      1
    bare   blade  -      1
"""
POSITIONS = """
    machine  position     part  pieces
    M1       front blade  gum   1
    M2       front blade  pu    1
    M2       deck         pad   2
    M3       front blade  bare  1
"""


def logbook(
    machines="""
    machine  site
    M1       hall
    M2       hall
    M3       hall
""",
):
    made = book(CATALOGUE, machines=machines)
    return replace(made, positions=filled("positions", POSITIONS))


def test_parts_of_one_position_compete_and_bare_ones_do_not():
    seats = candidate_parts(logbook())[["position", "part", "pieces"]]
    assert seats.to_numpy().tolist() == [
        ["deck", "pad", 2.0], ["front blade", "gum", 1.0], ["front blade", "pu", 1.0],
    ]  # fmt: skip


def test_another_deck_is_another_position():
    decked = logbook("machine  site  deck | M1  hall  50 cm | M2  hall  70 cm")
    seats = candidate_parts(decked)[["deck", "position", "part"]]
    assert ["50 cm", "front blade", "pu"] not in seats.to_numpy().tolist()


class TwoFloors:
    """As much of a fit as the room asks for."""

    floors = ("tile", "vinyl")


def draw_known(wear, seats, floors, parts, choices):
    """Wear at known rates: gum 100 h, pu 160 h on tile in half the draws, else 140 h."""
    life = {"gum": [100.0, 100.0], "pu": [160.0, 140.0], "pad": [20.0, 20.0]}
    rate = np.array([[[1 / hours] * 2 for hours in life[part]] for part in seats["part"]])
    return replace(same_wear(len(seats), 2, [0.0, 0.0], shape=1.0), rate=rate)


@pytest.fixture
def table_of_parts(monkeypatch):
    monkeypatch.setattr(room, "draw_strangers", draw_known)
    frame = cheapest_parts(logbook(), TwoFloors, choices(draws=2))
    return frame.set_index(["position", "floor", "part"])


def test_rows_go_by_place_and_floor_the_cheapest_first_with_figures_of_the_draws(table_of_parts):
    # Gum: 10 in 100 h; the mean over shape 1 is the life itself, within the rule's few in 1,000.
    # A pad change uses two pieces at 5 and lasts 20 h. PU at 15: 9.375 in 100 h in one draw, 10.714
    # in the other; a tenth of the way between lies at a twentieth from either end. Gum and PU are
    # each as dear as the other at 10.045 and at 10 / 0.67.
    assert_table(
        table_of_parts.reset_index(),
        """
        position     floor  part  cost_per_100h  low    high    hours_per_part  chance_cheapest
        deck         tile   pad   50             50     50      20              1
        deck         vinyl  pad   50             50     50      20              1
        front blade  tile   gum   10             10     10      100             0.5
        front blade  tile   pu    10.045         9.442  10.647  150             0.5
        front blade  vinyl  gum   10             10     10      100             0.5
        front blade  vinyl  pu    10.045         9.442  10.647  150             0.5
        """,
        tolerance=2.5e-3,
    )
    even = [np.nan, 10.045, 14.933]
    assert table_of_parts["break_even"].tolist() == pytest.approx(
        [even[0]] * 2 + even[1:] * 2, rel=5e-3, nan_ok=True
    )


def test_a_floor_in_the_rates_that_is_the_only_one_has_rows_and_no_floor_none(monkeypatch):
    class NoFloor:
        floors = ()

    monkeypatch.setattr(room, "draw_strangers", draw_known)
    assert cheapest_parts(logbook(), NoFloor, choices(draws=2)).empty


def test_parts_seen_at_a_position_compete_with_the_pieces_that_it_takes():
    changes = filled(
        "changes", "machine  position  part | M3  deck  pad | M3  deck  - | M1  roller  pad"
    )
    seats = candidate_parts(replace(logbook(), changes=changes))
    # A change says no pieces: those of the position of that name, else one.
    assert seats.loc[seats["part"] == "pad", ["position", "pieces"]].to_numpy().tolist() == [
        ["deck", 2.0], ["roller", 1.0],
    ]  # fmt: skip


def test_hours_of_a_part_are_those_of_the_edges_that_it_gives():
    # Exponential ends: wear 0.01, damage 0.005 and removal 0.005 an hour make 50 h an edge, half
    # of them worn, a quarter torn. Of the worn a fifth are replaced, of the torn half: turned are
    # 0.5 x 0.8 + 0.25 x 0.5 = 0.525, so four edges give 1 + .525 + .525^2 + .525^3.
    drawn = same_wear(1, 1, 0.01, 1.0, 9.0, 0.005, 0.005, replaced=(0.2, 0.5, 1.0))
    given = 1 + 0.525 + 0.525**2 + 0.525**3
    assert part_life(drawn, np.array([4.0]))[0].item() == pytest.approx(50 * given, rel=1e-3)
    assert part_life(drawn, np.array([1.0]))[0].item() == pytest.approx(50, rel=1e-3)


def test_work_counts_by_the_edges_a_part_gives(monkeypatch):
    # Four edges, each a turn away: 12 minutes to change, 6 to turn, 30 an hour.
    made = book("part  kind   price  edges  minutes  turn_minutes\n gum  blade  10  4  12  6")
    made = replace(
        made, positions=filled("positions", "machine  position  part  pieces\n M1  front  gum  1")
    )
    wear = same_wear(1, 2, shape=1.0)
    monkeypatch.setattr(room, "draw_strangers", lambda *_: wear)
    floors = type("Wear", (), {"floors": ("vinyl",)})
    plain, paid = (
        cheapest_parts(made, floors, choices(draws=2, labour_rate=rate))["cost_per_100h"].item()
        for rate in (None, 30.0)
    )
    # A part lasts 4 x 100 h.
    assert (plain, paid) == pytest.approx((10 / 4, (10 + 6 + 3 * 3) / 4))


def test_only_places_with_a_choice_have_rivals(table_of_parts):
    kept = room.rivals(table_of_parts.reset_index().assign(deck="", kind="blade"))
    assert set(kept["part"]) == {"gum", "pu"}
