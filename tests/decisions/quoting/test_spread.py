"""The variance of a quote, taken apart by source, where the shares are known."""

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pandas as pd
import pytest

from tests.decisions.makers import book, choices, history
from wearcast.decisions.quoting.spread import spread_sources
from wearcast.wear.records import WearDraws

DRAWS = 4000
HOURS, RATE, PRICE = 1000.0, 0.01, 10.0


def fleet(rate, pace, hours):
    """One machine with one part of one edge and shape 1: cost = price x hours x rate x pace."""
    nothing = np.zeros((1, DRAWS))
    wear = WearDraws(
        rate=rate[None, :, None],
        shape=np.ones((1, DRAWS)),
        pace=pace[None],
        damage=nothing[:, :, None],
        removal=nothing,
        replaced_worn=nothing,
        replaced_damaged=nothing,
    )
    running = pd.DataFrame({"machine": ["M000"], "part": ["blade"], "pieces": 1.0, "edges": 1.0})
    past = replace(history(), running=running)
    return SimpleNamespace(
        book=book("""
            part   price
            blade  10
        """),
        history=past,
        wear=wear,
        hours=SimpleNamespace(machines=("M000",), hours=hours[None, :, None]),
        mixes=[past.mixes],
        choices=choices(draws=DRAWS),
        days=365,
    )


def shares(rate, pace, hours, chance=0.0):
    cost = PRICE * hours * rate * pace + chance
    frame = spread_sources(fleet(rate, pace, hours), np.zeros(DRAWS, int), cost)
    return frame.set_index("source")["share"]


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


def test_two_sources_share_by_their_variances():
    got = shares(RATE * factor(1, 0.2), factor(2, 0.1), HOURS * still)
    # 0.2 squared to 0.1 squared is 4 to 1; what both do together is small.
    assert got["wear rates"] == pytest.approx(0.8, abs=0.02)
    assert got["machine pace"] == pytest.approx(0.2, abs=0.02)


def test_what_the_draws_do_not_explain_is_chance():
    cost_sd = PRICE * HOURS * RATE * 0.2
    noise = cost_sd * (factor(9, 1.0) - 1)
    got = shares(RATE * factor(1, 0.2), still, HOURS * still, chance=noise)
    # Half the variance is noise; the correlation of 4,000 draws is known to 0.02 or so.
    assert got["chance"] == pytest.approx(0.5, abs=0.05)
    assert got.sum() == pytest.approx(1.0)
