"""The variance of a quote, taken apart by source, where the shares are known."""

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pandas as pd
import pytest

from tests.decisions.makers import book, choices, history
from tests.outlook.makers import same_wear
from wearcast.decisions.quoting.spread import SOURCES, spread_sources

DRAWS = 4000
HOURS, RATE, PRICE = 1000.0, 0.01, 10.0


def fleet(rate, pace, hours):
    """One machine with one part of one edge and shape 1: cost = price x hours x rate x pace."""
    wear = replace(same_wear(1, DRAWS, shape=1.0), rate=rate[None, :, None], pace=pace[None])
    running = pd.DataFrame({"machine": ["M000"], "part": ["blade"], "pieces": 1.0, "edges": 1.0})
    past = replace(history(), running=running)
    return SimpleNamespace(
        book=book("part  price | blade  10"),
        history=past,
        wear=wear,
        hours=SimpleNamespace(machines=("M000",), hours=hours[None, :, None]),
        mixes=[past.mixes],
        choices=choices(draws=DRAWS),
        days=365,
    )


def shares_of(proposed, cost, taken=None):
    taken = np.zeros(DRAWS, int) if taken is None else taken
    return spread_sources(proposed, taken, cost).set_index("source")["share"]


def shares(rate, pace, hours, chance=0.0):
    return shares_of(fleet(rate, pace, hours), PRICE * hours * rate * pace + chance)


def factor(seed, sd):
    """Draws about 1 whose variance is exactly sd squared."""
    draws = np.random.default_rng(seed).uniform(-1, 1, DRAWS)
    return 1 + sd * (draws - draws.mean()) / draws.std()


still = np.ones(DRAWS)


@pytest.mark.parametrize(
    ("source", "varied"),
    [
        ("wear rates", {"rate": RATE * factor(1, 0.2)}),
        ("machine pace", {"pace": factor(2, 0.2)}),
        ("hours", {"hours": HOURS * factor(3, 0.2)}),
    ],
)
def test_what_varies_alone_has_the_whole_spread(source, varied):
    plain = {"rate": RATE * still, "pace": still, "hours": HOURS * still}
    # Up to a few in 1,000 by the quadrature of an edge's mean life.
    assert shares(**{**plain, **varied})[source] == pytest.approx(1.0, abs=5e-3)


@pytest.mark.parametrize(
    ("lift", "source"),
    [("site_lift", "this site against those measured"), ("machine_lift", "machine pace")],
)
def test_what_site_or_machine_do_is_told_as_theirs(lift, source):
    log = np.log(factor(4, 0.2))
    alone = fleet(RATE * np.exp(log), still, HOURS * still)
    alone.wear = replace(alone.wear, **{lift: log[None]})
    cost = PRICE * HOURS * RATE * np.exp(log)
    got = shares_of(alone, cost)
    # Up to a few in 1,000 by the quadrature of an edge's mean life.
    assert got[source] == pytest.approx(1.0, abs=5e-3)


def test_two_sources_share_by_their_variances():
    got = shares(RATE * factor(1, 0.2), factor(2, 0.1), HOURS * still)
    # 0.2 squared to 0.1 squared is 4 to 1; what both do together is small.
    assert got["wear rates"] == pytest.approx(0.8, abs=0.02)
    assert got["machine pace"] == pytest.approx(0.2, abs=0.02)


def test_shares_of_a_product_lie_between_its_first_order_and_total_indices():
    # Sobol' indices of a product of independent factors with relative variances v: first order
    # v / (P - 1), total v / (1 + v) P / (P - 1), P the product of 1 + v (Saltelli and others,
    # Global Sensitivity Analysis (2008), ch. 4; remembered).
    sd = {"wear rates": 0.2, "machine pace": 0.3, "hours": 0.4}
    square = np.square(list(sd.values()))
    whole = np.prod(1 + square)
    first, total = square / (whole - 1), square / (1 + square) * whole / (whole - 1)
    one, two, three = (factor(seed, each) for seed, each in enumerate(sd.values(), 11))
    found = shares(RATE * one, two, HOURS * three)[list(sd)].to_numpy()
    # What several sources do together is shared out by what each does alone.
    assert found == pytest.approx(first / first.sum(), abs=0.02)
    assert ((first < found) & (found < total)).all()


def test_what_the_draws_do_not_explain_is_chance():
    cost_sd = PRICE * HOURS * RATE * 0.2
    noise = cost_sd * (factor(9, 1.0) - 1)
    got = shares(RATE * factor(1, 0.2), still, HOURS * still, chance=noise)
    # Half the variance is noise; the correlation of 4,000 draws is known to 0.02 or so.
    assert got["chance"] == pytest.approx(0.5, abs=0.05)
    assert got.sum() == pytest.approx(1.0)


def two_machines(rate=0.0, pace=0.0, damage=0.0, replaced=(0.0, 0.0, 1.0)):
    """A blade of four edges on M000 and one of one edge on M001, each at 10; shape 1.

    Each source has the given spread about its mean, the first machine's rate and the second's pace.
    """
    rates = np.full((2, DRAWS), RATE)
    rates[0] *= factor(1, rate)
    paces = np.ones((2, DRAWS))
    paces[1] = factor(2, pace)
    wear = replace(
        same_wear(2, DRAWS, shape=1.0, damage=damage, replaced=replaced),
        rate=rates[:, :, None],
        pace=paces,
    )
    running = pd.DataFrame(
        {"machine": ["M000", "M001"], "part": "blade", "pieces": [1.0, 1.0], "edges": [4.0, 1.0]}
    )
    past = replace(history(machines=("M000", "M001")), running=running)
    hours = SimpleNamespace(machines=("M000", "M001"), hours=np.full((2, DRAWS, 1), HOURS))
    one = fleet(RATE * still, still, HOURS * still)
    return SimpleNamespace(
        **{**vars(one), "history": past, "mixes": [past.mixes], "wear": wear, "hours": hours}
    )


def parts_used(rate, damage, worn_off, torn_off, edges):
    """Parts in the contract's hours where both ends come at a constant hazard."""
    life = 1 / (rate + damage)
    turned = life * (rate * (1 - worn_off) + damage * (1 - torn_off))
    return HOURS / (life * sum(turned**edge for edge in range(edges)))


@pytest.mark.parametrize(
    ("damage", "worn_off", "torn_off"),
    [
        pytest.param(0.0, 0.0, 0.0, id="every worn edge is turned"),
        pytest.param(0.0, 0.5, 0.0, id="half the worn edges are"),
        pytest.param(0.0, 1.0, 0.0, id="none is"),
        pytest.param(RATE, 0.0, 1.0, id="a torn edge is not"),
        pytest.param(RATE / 2, 0.2, 0.6, id="some of either are not"),
    ],
)
def test_a_part_of_many_edges_moves_the_money_as_in_closed_form(damage, worn_off, torn_off):
    proposed = two_machines(0.1, 0.1, damage, replaced=(worn_off, torn_off, 1.0))
    ends = (damage, worn_off, torn_off)
    first = parts_used(proposed.wear.rate[0, :, 0], *ends, edges=4)
    second = parts_used(RATE * proposed.wear.pace[1], *ends, edges=1)
    got = shares_of(proposed, first + second)
    # The quadrature of an edge's life costs a few in 1,000.
    assert got["machine pace"] / got["wear rates"] == pytest.approx(
        second.var() / first.var(), rel=0.01
    )


@pytest.mark.parametrize("twice", ["pieces", "work"])
def test_two_pieces_or_as_much_work_a_change_move_the_money_twice_as_much(twice):
    # And so four times the variance. 30 minutes at 20 an hour cost as much as a piece at 10.
    proposed = two_machines(rate=0.1, pace=0.1, replaced=(1.0, 0.0, 1.0))
    if twice == "pieces":
        proposed.history.running["pieces"] = [1.0, 2.0]
    else:
        proposed.history.running["part"] = ["blade", "worked"]
        proposed.book = book("part  price  minutes | blade  10  - | worked  10  30")
        proposed.choices = choices(draws=DRAWS, labour_rate=20.0)
    found = shares_of(proposed, proposed.wear.rate[0, :, 0] + 2 * RATE * proposed.wear.pace[1])
    assert found["machine pace"] / found["wear rates"] == pytest.approx(4.0, rel=0.02)


def test_where_nothing_varies_all_is_chance():
    proposed = two_machines()
    frame = spread_sources(proposed, np.zeros(DRAWS, int), np.random.default_rng(1).random(DRAWS))
    rest = dict.fromkeys(set(SOURCES) - {"chance"}, 0.0)
    assert frame.set_index("source")["share"].to_dict() == pytest.approx({"chance": 1.0, **rest})
    assert frame["source"].tolist()[0] == "chance"


def test_the_draws_floor_mix_moves_the_money():
    # Two mixes dealt to the draws: all on the first floor, or all on one that wears twice as fast.
    proposed = two_machines(replaced=(1.0, 0.0, 1.0))
    wear = replace(
        proposed.wear,
        rate=np.repeat(proposed.wear.rate, 2, axis=2) * [1.0, 2.0],
        damage=np.zeros((2, DRAWS, 2)),
    )
    mixes = [
        pd.DataFrame({"machine": ["M000", "M001"], "since": pd.Timestamp.min, "tile": tile,
                      "vinyl": 1 - tile})
        for tile in (1.0, 0.0)
    ]  # fmt: skip
    past = replace(proposed.history, floors=("tile", "vinyl"), mixes=mixes[0])
    both = {**vars(proposed), "wear": wear, "history": past, "mixes": mixes}
    taken = np.arange(DRAWS) % 2
    assert shares_of(SimpleNamespace(**both), 1.0 + taken, taken)["floor mix"] == pytest.approx(
        1.0, abs=1e-6
    )


def test_money_that_does_not_vary_has_no_source():
    assert shares_of(two_machines(rate=0.1), np.full(DRAWS, 5.0))["chance"] == 1.0
