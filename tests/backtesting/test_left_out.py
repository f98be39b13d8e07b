"""Each site left out and quoted as nobody had measured it: nothing of it leaks into the quote."""

import numpy as np
import pandas as pd
import pytest

import wearcast
from tests import fleets
from wearcast.backtesting.left_out import left_out_sites, left_out_words, proposal_like, run_hours
from wearcast.backtesting.part import without
from wearcast.errors import NothingToFit
from wearcast.history.story import read_history


@pytest.fixture(scope="module")
def book(tmp_path_factory):
    fleet = fleets.make_fleet(8, machines=12, sites=3, history=90)
    return wearcast.read_logbook(fleets.write_log(fleet, tmp_path_factory.mktemp("log")))


@pytest.fixture(scope="module")
def record(book):
    return left_out_sites(book, draws=150)


def test_each_site_has_what_it_really_cost_beside_its_quote(book, record):
    assert record["site"].tolist() == ["site A", "site B", "site C"]
    assert record["machines"].tolist() == [4, 4, 4]
    truth = read_history(book)
    uses = truth.uses[truth.uses["date"].gt(truth.as_of - pd.Timedelta(days=365))]
    price = uses["part"].map(book.parts.set_index("part")["price"].astype(float))
    assert record["actual"].sum() == pytest.approx((price * uses["pieces"]).sum())
    # Of the right size: the same world wears all sites' parts.
    assert record["mean"].sum() == pytest.approx(record["actual"].sum(), rel=0.3)
    inside = record["actual"].le(record["p80"]).map({True: "yes", False: "no"})
    assert record["within_p80"].tolist() == inside.tolist()


def test_what_the_site_wrote_is_neither_learnt_from_nor_quoted_with(book):
    truth = read_history(book)
    start = truth.as_of - pd.Timedelta(days=365)
    here = truth.machines.index[truth.machines["site"].eq("site A")]
    rest = without(book, here)
    for name in ("machines", "readings", "changes", "floors", "positions"):
        assert not set(getattr(rest, name)["machine"]) & set(here)
    asked = proposal_like(book, truth, run_hours(truth, here, start), start)
    assert asked.readings.empty
    assert asked.changes.empty
    assert set(asked.machines["machine"]) == set(here)


def test_run_hours_are_those_of_the_meter(book):
    truth = read_history(book)
    start = truth.as_of - pd.Timedelta(days=365)
    name = truth.machines.index[0]
    knots = truth.meters[truth.meters["machine"].eq(name)]
    then = np.interp(0, (knots["date"] - start).dt.days, knots["hours"])
    ran = run_hours(truth, truth.machines.index[:1], start)[name]
    assert ran == pytest.approx((knots["hours"].max() - then) * 7 / 365)


def test_it_is_said_how_often_the_price_was_enough():
    frame = pd.DataFrame(
        {
            "actual": [110.0, 90.0, 220.0],
            "mean": [100.0, 100.0, 100.0],
            "within_p80": ["yes", "yes", "no"],
            "within_p90": ["yes", "yes", "no"],
        }
    )
    assert left_out_words(frame) == [
        "Each of 3 sites was quoted from the others alone. P80 was enough at 2, P90 at 2 of them; "
        "all together cost 40% more than expected."
    ]


def test_two_sites_are_too_few(book):
    truth = read_history(book)
    two = without(book, truth.machines.index[truth.machines["site"].eq("site C")])
    with pytest.raises(NothingToFit, match="three sites"):
        left_out_sites(two)
