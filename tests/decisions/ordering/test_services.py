"""How surely the whole order lasts."""

import numpy as np
import pytest
from scipy import stats

from tests.decisions.makers import counted, plan

PARTS = "part  price  lead_days  supplier | blade  4  14  Harbour | pad  2  14  Hill"


def needs(rng, draws):
    return {
        (depot, part): [counted(rng.poisson(20, draws), day=60)]
        for depot in ("main", "north")
        for part in ("blade", "pad")
    }


def test_independent_lines_last_together_with_the_product_of_their_chances():
    draws = 8000
    made = plan(needs(np.random.default_rng(3), draws), PARTS, draws=draws)
    service = made.service.set_index(["what", "who"])["no_shortage"]
    level = stats.poisson.ppf(0.95, 20)
    each = stats.poisson.cdf(level, 20)
    # Four lines, two a supplier and two a depot; four standard errors of a share of 8,000 draws.
    assert service["order", "all"] == pytest.approx(each**4, abs=4 * np.sqrt(0.25 / draws))
    for who in (("supplier", "Harbour"), ("supplier", "Hill"), ("depot", "main")):
        assert service[who] == pytest.approx(each**2, abs=4 * np.sqrt(0.25 / draws))


def test_lines_that_always_run_short_together_last_as_one():
    same = [counted(np.arange(100), day=60)]
    made = plan({("main", "blade"): same, ("main", "pad"): same}, PARTS, draws=100)
    assert made.service["no_shortage"].iloc[0] == 0.95
    assert made.lines["service_cycle"].tolist() == [0.95, 0.95]


def test_a_shelf_that_nobody_counted_is_in_no_chance():
    made = plan({("main", "blade"): [counted(np.arange(100), day=60)]}, PARTS, counted=False,
                draws=100)  # fmt: skip
    assert made.service.empty


@pytest.mark.parametrize(
    ("soon", "on_order", "pieces"),
    [(30, "part  pieces", 1), (3, "part  pieces  due\nblade  1  2027-01-20", 0)],
    ids=["before its order", "before an open order"],
)
def test_a_shelf_that_is_empty_before_its_pieces_come_runs_short(soon, on_order, pieces):
    day = np.where(np.arange(100) < soon, 5, 60)
    needs = {("main", "blade"): [np.column_stack([np.arange(100), day])]}
    made = plan(needs, PARTS, on_order=on_order, draws=100)
    assert made.lines["order_pieces"].tolist() == [pieces]
    assert made.lines["service_cycle"].tolist() == [1 - soon / 100]
    assert made.service["no_shortage"].iloc[0] == 1 - soon / 100
    assert made.lines["service_pieces"].tolist() == [1]
