"""Cost in 100 hours against machines with the same parts, these elsewhere, other floors."""

import pandas as pd
import pytest

from tests.conftest import table
from wearcast.decisions.costing.likes import against_like

SLOTS = table("""
    machine  site  position  part
    A1       A     deck      PAD
    A2       A     deck      PAD
    B1       B     deck      PAD
    B2       B     deck      PAD
    C1       C     deck      BRUSH
""")
# Hours of the year: 100 each, so cost is cost in 100 h.
COST = table("""
    level    where  kind  mean   p10    p50    p90    per_100h
    fleet    fleet  all   110.0  90.0   110.0  130.0  22.0
    machine  A1     all   40.0   36.0   40.0   44.0   40.0
    machine  A2     all   20.0   10.0   20.0   30.0   20.0
    machine  B1     all   20.0   16.0   20.0   24.0   20.0
    machine  B2     all   10.0   8.0    10.0   12.0   10.0
    machine  C1     all   20.0   18.0   20.0   22.0   20.0
    site     A      all   60.0   50.0   60.0   70.0   30.0
    site     B      all   30.0   26.0   30.0   34.0   15.0
    site     C      all   20.0   18.0   20.0   22.0   20.0
    floor    tile   all   80.0   70.0   80.0   90.0   40.0
    floor    vinyl  all   30.0   25.0   30.0   35.0   10.0
    floor    tile   pad   80.0   70.0   80.0   90.0   40.0
""")


@pytest.fixture(scope="module")
def found():
    return against_like(COST, SLOTS).set_index("where")


def test_a_machines_like_are_the_others_with_its_parts(found):
    # A1: (20 + 20 + 10) / 3 machines of 100 h.
    assert found.loc["A1", ["per_100h", "like", "times"]].tolist() == pytest.approx(
        [40, 50 / 3, 2.4]
    )
    assert "C1" not in found.index


def test_a_sites_like_are_the_same_parts_elsewhere(found):
    # Both pads of A cost 15 elsewhere; no other site has C's brush.
    assert found.loc["A", "like"] == pytest.approx(15.0)
    assert "C" not in found.index


def test_what_a_site_alone_has_weighs_on_neither_side():
    # A has a dear brush that no other site has too: its pads still cost twice as much.
    brush = COST[COST["where"].eq("C1")].assign(where="A3", mean=90.0, per_100h=90.0)
    money = {"mean": 150.0, "p10": 140.0, "p90": 160.0, "per_100h": 50.0}
    cost = pd.concat([COST, brush], ignore_index=True)
    cost.loc[cost["where"].eq("A"), list(money)] = list(money.values())
    more = SLOTS.iloc[-1:].assign(machine="A3", site="A", part="WIRE")
    found = against_like(cost, pd.concat([SLOTS, more])).set_index("where")
    assert found.loc["A", "times"] == pytest.approx(2.0)
    assert found.loc["A", "like"] == pytest.approx(25.0)


def test_a_floors_like_are_the_other_floors(found):
    assert found.loc["tile", ["like", "times"]].tolist() == pytest.approx([10.0, 4.0])


def test_above_is_said_where_nine_of_ten_futures_are(found):
    # A2's like is 70 / 3; its own range ends at 30 but begins at 10.
    assert found.index[found["above"]].tolist() == ["A1", "tile", "A"]
    assert found.loc["A", ["low", "high"]].tolist() == pytest.approx([25.0, 35.0])


@pytest.mark.parametrize("cost", [COST[:0], COST.assign(**{"mean": 0.0, "per_100h": 0.0})])
def test_without_money_nothing_is_compared(cost: pd.DataFrame):
    assert against_like(cost, SLOTS).empty
