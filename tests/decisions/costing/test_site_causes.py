"""Why a site costs more than the fleet: the causes add up, and a planted one is found."""

from dataclasses import replace

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import wearcast
from tests import fleets
from wearcast.decisions.costing import site_causes as room
from wearcast.decisions.costing.site_causes import CAUSES, site_causes

SITES, PARTS, DRAWS, FLOORS = 3, 4, 5, 2


def cells(seed, **own):
    """Sites that are all like the fleet but for what is told of them."""
    rng = np.random.default_rng(seed)

    def alike(*shape):
        return np.repeat(rng.uniform(0.5, 1.5, (1, *shape)), SITES, axis=0)

    mix = alike(PARTS, FLOORS)
    made = room._Cells(
        edges=np.array([4.0, 4.0, 1.0, 2.0]),
        positions=alike(PARTS),
        money=alike(PARTS),
        mix=mix / mix.sum(axis=2, keepdims=True),
        speed=np.ones((SITES, PARTS, DRAWS)),
        tear=np.ones((SITES, PARTS, DRAWS)),
        off=alike(PARTS, 2, DRAWS) * np.array([1e-4, 1.0])[:, None],
        habit=alike(PARTS, 3, 4, DRAWS) / 5,
        rate=rng.uniform(0.005, 0.02, (PARTS, DRAWS, FLOORS)),
        damage=rng.uniform(1e-4, 1e-3, (PARTS, DRAWS, FLOORS)),
        shape=rng.uniform(1.5, 3.0, (PARTS, DRAWS)),
    )
    return made._replace(**{name: change(getattr(made, name)) for name, change in own.items()})


def at_the_last(change):
    """A change of the last site alone."""

    def changed(values):
        values = values.copy()
        values[-1] = change(values[-1])
        return values

    return changed


PLANTED = {
    "positions": {"positions": at_the_last(lambda x: 1.3 * x)},
    "parts": {"money": at_the_last(lambda x: 1.2 * x)},
    "floors": {"mix": at_the_last(lambda x: x[:, ::-1])},
    "wear": {"speed": at_the_last(lambda x: 1.4 * x)},
    "edges": {"habit": at_the_last(lambda x: x + 0.3)},
    "damage": {"tear": at_the_last(lambda x: 3.0 * x)},
}


def shares_of(made):
    mixtures = room._mixtures(made)
    whole = mixtures[(True,) * len(CAUSES)] - mixtures[(False,) * len(CAUSES)]
    return room._shapley(mixtures), whole


@settings(max_examples=10, deadline=None)
@given(st.integers(0, 10_000), st.sets(st.sampled_from(CAUSES)))
def test_causes_add_up_and_what_is_like_the_fleet_counts_nothing(seed, planted):
    own = {name: change for cause in planted for name, change in PLANTED[cause].items()}
    shares, whole = shares_of(cells(seed, **own))
    assert shares.sum(axis=0) == pytest.approx(whole, rel=1e-9, abs=1e-9)
    for cause, share in zip(CAUSES, shares, strict=True):
        if cause not in planted:
            assert share == pytest.approx(0.0, abs=1e-9), cause
    # The first two sites, the fleet aside, are all like it.
    assert shares[:, 0] == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize("cause", CAUSES)
def test_a_cause_alone_is_the_whole_difference(cause):
    shares, whole = shares_of(cells(3, **PLANTED[cause]))
    assert shares[CAUSES.index(cause), -1] == pytest.approx(whole[-1], rel=1e-9)
    assert np.abs(whole[-1]).min() > 0


@pytest.fixture(scope="module")
def outlook(tmp_path_factory):
    """A forecast of three sites."""
    fleet = fleets.make_fleet(3, machines=12, sites=3, history=60)
    book = wearcast.read_logbook(fleets.write_log(fleet, tmp_path_factory.mktemp("log")))
    return wearcast.forecast(book, draws=200)


def causes_of(outlook):
    return site_causes(
        outlook.cost, outlook.wear, outlook.draws, outlook.history, outlook.book, outlook.choices
    )


def test_the_causes_of_a_site_add_up_to_its_cost_less_the_fleets(outlook):
    found = causes_of(outlook)
    cost = outlook.cost[outlook.cost["kind"].eq("all")].set_index("where")["per_100h"]
    assert found["site"].nunique() == 3
    for site, rows in found.groupby("site"):
        assert rows["cause"].tolist() == [*CAUSES, "rest"]
        assert rows["per_100h"].sum() == pytest.approx(cost[site] - cost["fleet"])
    # The long run explains the year but for what is at work now and chance.
    rest = found[found["cause"].eq("rest")]["per_100h"].abs()
    assert rest.max() < 0.1 * cost["fleet"]


def test_some_positions_stand_for_a_large_fleet(outlook, monkeypatch):
    whole = causes_of(outlook)
    monkeypatch.setattr(room, "MOST_SLOTS", len(outlook.draws.slots) // 2)
    some = causes_of(outlook)
    assert some.groupby("site")["per_100h"].sum().tolist() == pytest.approx(
        whole.groupby("site")["per_100h"].sum().tolist()
    )
    off = (some["per_100h"] - whole["per_100h"]).abs()
    fleet = outlook.cost.query("level == 'fleet' and kind == 'all'")["per_100h"].sum()
    assert 0 < off.max() < 0.1 * fleet


def test_a_site_that_pays_more_for_the_same_is_dearer_by_its_parts(outlook):
    # All of one site's positions carry a part of their own that costs three times as much.
    site = str(outlook.draws.slots["site"].iloc[0])
    book, running = outlook.book, outlook.history.running
    here = running["site"].eq(site)
    renamed = running.assign(part=running["part"].where(~here, running["part"] + " OWN"))
    dear = book.parts.assign(part=book.parts["part"] + " OWN", price=3 * book.parts["price"])
    parts = pd.concat([book.parts, dear], ignore_index=True)
    again = wearcast.forecast(
        wearcast.Fit(
            replace(book, parts=parts), outlook.choices,
            replace(outlook.history, running=renamed), outlook.wear, outlook.asked,
        )
    )  # fmt: skip
    before, after = (
        causes_of(one).set_index(["site", "cause"])["per_100h"] for one in (outlook, again)
    )
    moved = (after - before)[site]
    assert moved["parts"] > 0.8 * moved.sum() > 10


def test_one_site_alone_has_no_causes(outlook):
    cost = outlook.cost
    first = cost.loc[cost["level"].eq("site"), "where"].iloc[0]
    alone = cost[cost["level"].ne("site") | cost["where"].eq(first)]
    assert causes_of(replace(outlook, cost=alone)).empty
