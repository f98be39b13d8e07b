"""Edges thrown away, and their money."""

from dataclasses import replace

import numpy as np
import pandas as pd
import pytest

from tests.decisions.makers import book, choices, counted, draws
from wearcast.decisions.costing.edge_losses import edge_losses

PARTS = "part  kind  price | blade  blade  10 | pad  pad  4 | bare  blade  -"
YEAR = 365 / 364


class SeenEdges:
    """What a fit knows of edge use."""

    edge_table = pd.DataFrame(
        {"site": ["hall"], "wears_as": ["blade"], "parts_spent": [2], "edges_used": [6.0],
         "edges_available": [8], "mean_edges_used": [3.0]}
    )  # fmt: skip


def losses(needs, lost=None, count=1, growth=0.0, **slots):
    """What edges cost that are thrown away, so many of them at each use."""
    made = draws(needs, **slots)
    if lost is not None:
        block = replace(made.blocks[0], edges_lost=np.array(lost, np.int8))
        made = replace(made, blocks=(block,))
    return edge_losses(made, SeenEdges, book(PARTS), choices(draws=count, price_growth=growth))


def test_edges_thrown_away_cost_their_share_of_the_price():
    frame = losses({("main", "blade"): [counted([1, 1], day=10)]}, [2, 0], count=2, edges=[4.0])
    # Two of four edges of a blade of 10 in one of two draws: 5 / 2 a draw.
    assert frame["lost_per_year"].item() == pytest.approx(2.5 * YEAR)
    assert frame["mean_edges_used"].item() == 3.0


def test_parts_with_one_edge_lose_none():
    frame = losses({("main", "pad"): [counted([1], day=10)]}, edges=[1.0], site=["shed"])
    assert frame["site"].tolist() == ["hall"]


def test_edges_of_a_part_without_a_price_have_no_loss_in_money():
    frame = losses({("main", "bare"): [counted([1], day=10)]}, [2], edges=[4.0])
    assert np.isnan(frame.set_index("wears_as").loc["bare", "lost_per_year"])


def test_edges_lost_after_the_year_or_on_other_sites_do_not_count():
    needs = {("main", "blade"): [counted([1], day=364), counted([1], day=365)]}
    frame = losses(needs, [1, 3], edges=[4.0, 4.0], site=["hall", "shed"]).set_index("site")
    # One of four edges of a blade of 10 on the year's last day; the other falls after it.
    assert frame["lost_per_year"].to_dict() == {"hall": pytest.approx(2.5 * YEAR), "shed": 0.0}


def test_the_range_and_the_price_growth_are_those_of_the_draws():
    needs = {("main", "blade"): [counted(np.ones(21, int), day=182)]}
    frame = losses(needs, range(21), count=21, growth=0.1, edges=[4.0], pieces=[2.0]).iloc[0]
    # An edge of two blades of 10 with four edges each, half a year on; 0 to 20 edges are lost: the
    # mean is 10, one draw in twenty lies below 1, one above 19.
    edge = 2 * 10 / 4 * 1.1 ** (182 / 365) * YEAR
    assert frame[["lost_low", "lost_per_year", "lost_high"]].tolist() == pytest.approx(
        [edge, 10 * edge, 19 * edge]
    )


def test_a_class_with_one_priced_part_counts_that():
    needs = {("main", part): [counted([1], day=10)] for part in ("bare", "blade")}
    frame = losses(needs, [3, 1], edges=[4.0, 4.0], wears_as="gum").set_index("wears_as")
    assert frame.loc["gum", "lost_per_year"] == pytest.approx(2.5 * YEAR)
