"""The money of a walk, by hand: by contract year, for parts and labour, and where it goes."""

from dataclasses import replace

import numpy as np
import pytest

from tests.decisions.makers import book, choices, draws
from wearcast.decisions.quoting.spent import by_year, money_by_floor, moves, spent_in

PARTS = """
    part   kind   price
    gum    blade  10
    brush  brush  50
"""
FLOORS = ("tile", "vinyl")
# Two draws. Gum: day 365, the last of year one, in draw 0; day 366 in both. Brush: day 1, draw 1.
NEEDS = {("main", "gum"): [[(0, 365), (0, 366), (1, 366)]], ("main", "brush"): [[(1, 1)]]}


def walked():
    made = draws(
        NEEDS, days=735, count=2, machine=["M1", "M2"], site=["north", "south"],
        kind=["blade", "brush"], price=[10.0, 50.0],
    )  # fmt: skip
    share = np.array([[0.25, 0.75], [1.0, 0.0]])
    return [(np.arange(2), replace(made, floors=FLOORS, wear_share=share))]


def spent(parts=PARTS, batches=None, **asked):
    chosen = choices(draws=2, **asked)
    return [(drawn, spent_in(one, book(parts), chosen, 2)) for drawn, one in batches or walked()]


def test_money_falls_into_the_contract_year_of_its_day():
    parts, labour = by_year(spent(), 2)
    assert parts.tolist() == [[10.0, 50.0], [10.0, 10.0]]
    assert not labour.any()


def test_where_the_money_goes_adds_up_by_every_division():
    goes = moves(spent(), 4)
    rows = goes.set_index(["by", "where"])
    # 30 for gum and 50 for the brush, over two draws and two years.
    assert rows.loc[("part", "gum"), "mean"] == pytest.approx(7.5)
    assert rows.loc[("site", "south"), "mean"] == pytest.approx(12.5)
    assert rows.loc[("machine", "M1"), "share"] == pytest.approx(0.375)
    # Tile takes a quarter of the gum's wear and all of the brush's.
    assert rows.loc[("floor", "tile"), "mean"] == pytest.approx((7.5 + 50) / 4)
    assert rows.loc[("floor", "vinyl"), "mean"] == pytest.approx(22.5 / 4)
    assert goes.groupby("by")["share"].sum().to_numpy() == pytest.approx(1.0)
    assert goes[goes["by"] == "kind"]["where"].tolist() == ["brush", "blade"]


def test_a_proposal_that_costs_less_than_one_is_still_shared_out():
    cheap = PARTS.replace("10", "0.01").replace("50", "0.05")
    goes = moves(spent(cheap), 4)
    assert goes.groupby("by")["share"].sum().to_numpy() == pytest.approx(1.0)


def test_a_proposal_that_costs_nothing_has_no_shares():
    goes = moves(spent("part  kind\n    gum  blade"), 4)
    assert (goes["share"] == 0).all()


def test_batches_of_draws_add_up_to_the_mean_money():
    one = walked()[0][1]
    both = [(np.array([0, 1]), one), (np.array([2, 3]), one)]
    goes = moves(spent(batches=both), 8).set_index(["by", "where"])
    assert goes.loc[("part", "gum"), "mean"] == pytest.approx(7.5)
    assert by_year(spent(batches=both), 4)[0].tolist() == [
        [10.0, 50.0, 10.0, 50.0], [10.0, 10.0, 10.0, 10.0],
    ]  # fmt: skip


def test_labour_stands_apart_and_both_grow():
    parts = """
        part   kind   price  minutes  turn_minutes  edges
        gum    blade  10     12       6             4
        brush  brush  50     -        -             1
    """
    one = walked()[0][1]
    turned = replace(one.blocks[0], turns=np.array([[3, 5], [0, 0]], np.uint8))
    one = replace(one, blocks=(turned,))
    one.weekly_hours[:] = 7.0
    batches = [(np.arange(2), one)]
    parts_money, labour = by_year(spent(parts, batches, labour_rate=30.0), 2)
    assert parts_money.tolist() == [[10.0, 50.0], [10.0, 10.0]]
    # A change of gum takes 12 minutes at 30 an hour: 6. The turns, 3 each, fall evenly on the 105
    # weeks walked, of which a contract year is 365 of 735 days.
    turns = np.array([9.0, 15.0]) * 365 / 735
    assert labour == pytest.approx(np.array([[6.0, 0.0], [6.0, 6.0]]) + turns)
    goes = moves(spent(parts, batches, labour_rate=30.0), 4).set_index(["by", "where"])["mean"]
    assert goes["part", "labour"] == goes["kind", "labour"] == pytest.approx(labour.sum() / 4)
    assert goes["part", "gum"] == pytest.approx(7.5)
    assert goes["machine"].sum() == pytest.approx((80 + labour.sum()) / 4)
    grown = by_year(spent(parts, batches, labour_rate=30.0, price_growth=0.1), 2)
    assert grown[0][0, 0] == pytest.approx(11.0)
    # The turns of a year take the prices of its middle.
    assert grown[1][1, 0] == pytest.approx(6 * 1.1 ** (366 / 365) + turns[0] * 1.1**1.5)


def test_money_by_class_and_floor_is_all_the_money():
    cells = money_by_floor(spent())
    assert cells["gum", "tile"] == pytest.approx(7.5)
    assert cells["brush", "vinyl"] == 0.0
    assert cells.sum() == pytest.approx(80.0)
