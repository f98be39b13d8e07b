"""Money for parts in 100 hours on a floor."""

import pandas as pd
import pytest

from tests.decisions.makers import book, counted, draws
from wearcast.decisions.costing.floor_costs import edges_given, with_cost

PARTS = """
    part   kind   price  wears_as
    g-50   blade  10     gum
    g-70   blade  14     gum
    pad    pad    4      pad
    brush  brush  30     brush
"""


class Fit:
    """As much of a fit as the room asks for: hours to a change, and edges used by spent parts."""

    floor_table = pd.DataFrame(
        {"wears_as": ["gum", "gum", "pad", "brush"], "floor": ["tile", "vinyl", "tile", "tile"],
         "hours_to_change": [50.0, 100.0, 20.0, 300.0]}
    )  # fmt: skip
    edge_table = pd.DataFrame(
        {"site": ["hall", "shed"], "wears_as": ["gum", "gum"], "edges_used": [9.0, 1.0],
         "parts_spent": [3, 1]}
    )  # fmt: skip


def costs():
    needs = {
        ("main", "g-50"): [counted([1])],
        ("main", "g-70"): [counted([1])],
        ("main", "pad"): [counted([1])],
    }
    made = draws(
        needs, wears_as=["gum", "gum", "pad"], pieces=[1.0, 1.0, 2.0], edges=[4.0, 4.0, 2.0]
    )
    frame = with_cost(Fit, made, book(PARTS).parts)
    return frame.set_index(["wears_as", "floor"])["cost_per_100h"]


def test_a_class_costs_its_carried_parts_over_the_edges_they_gave():
    # Blades of 10 and 14: 12 a change; 10 edges from 4 parts: 2.5 an edge's 50 or 100 h.
    assert costs()["gum", "tile"] == pytest.approx(100 * 12 / (50 * 2.5))
    assert costs()["gum", "vinyl"] == pytest.approx(100 * 12 / (100 * 2.5))


def test_a_class_without_a_spent_part_counts_every_edge_and_every_piece():
    assert costs()["pad", "tile"] == pytest.approx(100 * 2 * 4 / (20 * 2))


def test_a_class_that_nothing_carries_costs_what_the_catalogue_says():
    assert costs()["brush", "tile"] == pytest.approx(100 * 30 / 300)


def test_a_spent_part_goes_before_what_its_edges_promise():
    slots = pd.DataFrame({"wears_as": ["gum", "gum", "pad"], "edges": [4, 2, 2]})
    given = edges_given(Fit, slots, book(PARTS).parts)
    # Gum gave 10 edges from 4 parts; no pad is spent; a brush is not carried and has one edge.
    assert given.to_dict() == {"gum": 2.5, "pad": 2.0, "brush": 1.0}


def test_edges_of_a_class_without_a_spent_part_are_the_mean_of_what_is_carried():
    class Unspent(Fit):
        edge_table = Fit.edge_table.assign(parts_spent=0, edges_used=0.0)

    slots = pd.DataFrame({"wears_as": ["gum", "gum"], "edges": [4, 2]})
    assert edges_given(Unspent, slots, book(PARTS).parts)["gum"] == 3.0
