"""Which part is cheapest where."""

from dataclasses import replace

import numpy as np
import pytest

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


def test_cost_of_a_hundred_hours_is_price_over_life(table_of_parts):
    # Gum: 10 in 100 h. The mean over shape 1 is the life itself, within the rule's few in 1,000.
    assert table_of_parts.loc[("front blade", "tile", "gum"), "cost_per_100h"] == pytest.approx(
        10.0, rel=5e-3
    )
    # A pad change uses two pieces at 5 and lasts 20 h.
    assert table_of_parts.loc[("deck", "tile", "pad"), "cost_per_100h"] == pytest.approx(
        50.0, rel=5e-3
    )


def test_the_chance_to_be_cheapest_counts_the_draws(table_of_parts):
    # PU at 15: 9.4 in 100 h in one draw, 10.7 in the other; gum: 10.
    chance = table_of_parts["chance_cheapest"]
    assert chance[("front blade", "tile", "pu")] == 0.5
    assert chance[("front blade", "tile", "gum")] == 0.5
    assert chance[("deck", "tile", "pad")] == 1.0


def test_the_range_of_a_cost_is_that_of_its_draws(table_of_parts):
    # PU: 100 x 15 / 160 in one draw, 100 x 15 / 140 in the other; a tenth of the way between lies
    # at a twentieth from either end.
    low, high = 100 * 15 / 160, 100 * 15 / 140
    row = table_of_parts.loc[("front blade", "tile", "pu")]
    assert row[["low", "cost_per_100h", "high", "hours_per_part"]].tolist() == pytest.approx(
        [low + 0.05 * (high - low), (low + high) / 2, high - 0.05 * (high - low), 150.0], rel=5e-3
    )


def test_rows_go_by_place_and_floor_the_cheapest_first(table_of_parts):
    assert table_of_parts.index.tolist() == [
        ("deck", "tile", "pad"), ("deck", "vinyl", "pad"),
        ("front blade", "tile", "gum"), ("front blade", "tile", "pu"),
        ("front blade", "vinyl", "gum"), ("front blade", "vinyl", "pu"),
    ]  # fmt: skip


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


def test_at_its_break_even_price_a_part_costs_as_much_as_the_other(table_of_parts):
    # PU costs 100 x 15 (1/160 + 1/140) / 2 = 10.05 in 100 h, gum 10: each as dear as the other at
    # 10.05 and at 10 / 0.67.
    even = table_of_parts["break_even"]
    assert even[("front blade", "tile", "gum")] == pytest.approx(10.045, rel=5e-3)
    assert even[("front blade", "tile", "pu")] == pytest.approx(14.933, rel=5e-3)
    assert np.isnan(even[("deck", "tile", "pad")])


def test_only_places_with_a_choice_have_rivals(table_of_parts):
    kept = room.rivals(table_of_parts.reset_index().assign(deck="", kind="blade"))
    assert set(kept["part"]) == {"gum", "pu"}
