"""The story from a logbook to everything the reports show, on a small simulated fleet."""

import tracemalloc
from dataclasses import replace

import numpy as np
import pandas as pd
import pytest

import wearcast
from tests import fleets
from tests.conftest import table
from wearcast.errors import UnknownChoice
from wearcast.logbook.schema.tables import STATUSES
from wearcast.outlook import walk
from wearcast.reports import parcel

FRAMES = (
    "order", "forecast", "quantiles", "floors", "machines", "edges", "due", "cost", "spells",
)  # fmt: skip


@pytest.fixture(scope="module")
def book(tmp_path_factory):
    fleet = fleets.make_fleet(3, machines=8, sites=2, history=60)
    return wearcast.read_logbook(fleets.write_log(fleet, tmp_path_factory.mktemp("log")))


@pytest.fixture(scope="module")
def everything(book):
    return wearcast.forecast(book, draws=200)


def test_the_fleets_use_is_the_same_in_the_forecast_and_the_order(everything):
    # Two windows of the same draws: the order's reaches further than the quarter's 91 days.
    use = everything.forecast
    quarter = use[(use["level"] == "fleet") & (use["period"] == "quarter") & (use["part"] != "all")]
    ordered = everything.order.groupby("part")["expected_use"].sum()
    days = (everything.order["to"].max() - everything.choices.as_of).days
    assert (ordered >= quarter.set_index("part")["mean"].reindex(ordered.index) - 1e-9).all()
    assert ordered.sum() < quarter["mean"].sum() * days / 91 * 1.3


def test_how_many_positions_are_drawn_together_changes_nothing(everything, monkeypatch):
    monkeypatch.setattr(walk, "FUTURES_AT_ONCE", 5 * everything.choices.draws)
    known = everything
    again = wearcast.forecast(
        wearcast.Fit(known.book, known.choices, known.history, known.wear, known.asked)
    )
    assert len({id(known.draws), id(again.draws)}) == 2
    for name in ("slot", "draw", "day", "cause", "edges_lost", "next_day", "wear_now"):
        np.testing.assert_array_equal(
            getattr(known.draws, name), getattr(again.draws, name), err_msg=name
        )
    np.testing.assert_allclose(known.draws.wear_share, again.draws.wear_share, rtol=1e-6)
    for name in FRAMES:
        # Sums over positions are added up in another order.
        pd.testing.assert_frame_equal(getattr(known, name), getattr(again, name), rtol=1e-5)


def peak_of(fitted, draws):
    """Most memory that a forecast of so many draws holds at once [bytes]."""
    tracemalloc.start()
    wearcast.forecast(fitted, draws=draws)
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    return peak


def test_twice_the_draws_do_not_need_twice_the_memory(everything, monkeypatch):
    # The chunks of a fleet of 800 machines in proportion to one of eight.
    monkeypatch.setattr(walk, "FUTURES_AT_ONCE", 16_000)
    known = everything
    fitted = wearcast.Fit(known.book, known.choices, known.history, known.wear, known.asked)
    once, twice = (peak_of(fitted, draws) for draws in (1000, 2000))
    assert twice < 1.3 * once


def test_the_years_cost_is_pieces_times_price(everything):
    use = everything.forecast
    year = use[(use["level"] == "fleet") & (use["period"] == "year") & (use["part"] != "all")]
    price = everything.book.parts.set_index("part")["price"]
    pieces = year.set_index("part")["mean"]
    cost = everything.cost.set_index(["level", "where", "kind"])["mean"]
    assert cost[("fleet", "fleet", "all")] == pytest.approx((pieces * price).sum() * 365 / 364)


def test_every_figure_of_a_line_is_consistent(everything):
    order = everything.order
    assert set(order["status"]) <= set(STATUSES)
    bought = order[order["order_pieces"] > 0]
    assert (bought["order_pieces"] == bought["order_packs"] * bought["pack"]).all()
    assert (bought["order_on"] >= everything.choices.as_of).all()
    # Nobody counted these shelves: the order is what it takes if nothing lies there.
    reached = bought["on_hand"].fillna(0) + bought["on_order"] + bought["order_pieces"]
    assert (reached >= bought["order_up_to"]).all()


def test_options_asked_anew_keep_what_was_learnt_and_what_was_asked(book):
    fitted = wearcast.fit(book, draws=50, lead_days=30)
    result = wearcast.forecast(fitted, draws=20, service_level=0.9)
    asked = (result.choices.draws, result.choices.service_level, result.choices.lead_days)
    assert asked == (20, 0.9, 30)
    assert result.wear is fitted.wear


def test_a_window_asked_for_anew_takes_the_place_of_the_one_before(book):
    fitted = wearcast.fit(book, draws=20, order_from=book.as_of + pd.Timedelta(days=30), weeks=4)
    later = wearcast.forecast(fitted, quarter="2028Q1")
    assert later.choices.order_from == pd.Timestamp("2028-01-01")


def test_another_kind_of_fit_is_fitted_anew(book):
    fitted = wearcast.fit(book, draws=20)
    bare = wearcast.forecast(fitted, fit="data only")
    fresh = wearcast.forecast(book, draws=20, fit="data only")
    pd.testing.assert_frame_equal(bare.floors, fresh.floors)


def test_more_certainty_is_ordered_for_from_the_same_futures(book, everything):
    surer = wearcast.order(everything, service_level=0.99)
    fresh = wearcast.forecast(book, draws=200, service_level=0.99).order
    pd.testing.assert_frame_equal(surer, fresh)
    assert (surer["order_up_to"] >= everything.order["order_up_to"]).all()


def test_other_futures_are_drawn_where_they_are_asked_for(book, everything):
    other = wearcast.order(everything, seed=2)
    pd.testing.assert_frame_equal(other, wearcast.forecast(book, draws=200, seed=2).order)


def test_the_window_and_the_longest_delivery_lie_within_the_walk(book):
    late = wearcast.forecast(
        book, draws=20, order_from=book.as_of + pd.Timedelta(days=300), weeks=26
    )
    longest = (late.order["to"] - late.choices.as_of).dt.days.max()
    assert longest <= late.draws.days


def test_each_question_can_be_asked_of_the_logbook_the_fit_or_the_forecast(book, everything):
    fitted = wearcast.fit(book, draws=200)
    for known in (book, fitted):
        pd.testing.assert_frame_equal(
            wearcast.order(known, draws=200), everything.order, check_exact=True
        )
    pd.testing.assert_frame_equal(wearcast.annual_cost(fitted), everything.cost)
    assert wearcast.order(everything) is everything.order


@pytest.fixture(scope="module")
def proposal(tmp_path_factory):
    folder = tmp_path_factory.mktemp("proposal")
    write(
        folder, "machines", "machine  site  m2_per_hour | N1  new house  1500 | N2  new house  1500"
    )
    write(folder, "floors", "machine  floor  share | N1  tile  1 | N2  tile  1")
    write(
        folder, "positions", "machine  position  part | N1  front blade  GUM | N2  front blade  GUM"
    )
    write(
        folder, "plans", "machine  start  hours_per_week | N1  2027-01-04  20 | N2  2027-01-04  20"
    )
    write(folder, "parts", "part  kind  wears_as  edges  price | GUM  blade  gum  1  10")
    return wearcast.read_logbook(folder, proposal=True)


def write(folder, name, text):
    table(text).to_csv(folder / f"{name}.csv", index=False)


@pytest.fixture(scope="module")
def quoted(proposal, everything):
    return wearcast.quote(proposal, everything, years=2, risk=0.8, draws=300)


def test_a_quote_has_a_row_a_contract_year_and_a_total(quoted):
    assert quoted.frame["year"].tolist() == ["1", "2"]
    assert quoted.total["mean"].item() == pytest.approx(quoted.frame["mean"].sum())
    assert (quoted.frame["at_risk"] == quoted.frame["p80"]).all()


def test_a_quote_divides_by_the_planned_hours_and_area(quoted):
    # Two machines of 20 h a week: 2,086 h in 365 days, give or take the weeks' noise.
    hours = quoted.frame["mean"] / quoted.frame["per_hour"]
    assert hours.tolist() == pytest.approx([2086, 2086], rel=0.02)
    area = quoted.frame["mean"] / quoted.frame["per_1000m2"]
    assert (area / hours).tolist() == pytest.approx([1.5, 1.5])


def test_the_shares_of_the_spread_sum_to_one(quoted):
    assert quoted.spread["share"].sum() == pytest.approx(1.0)
    assert (quoted.spread["share"] >= -1e-9).all()
    assert quoted.spread.set_index("source")["share"]["floor mix"] == pytest.approx(0.0)


def test_scaling_the_price_scales_the_quote(proposal, everything, quoted):
    dearer = replace(proposal, parts=proposal.parts.assign(price=30.0))
    tripled = wearcast.quote(dearer, everything, years=2, draws=300)
    assert tripled.frame["mean"].tolist() == pytest.approx((3 * quoted.frame["mean"]).tolist())


def without_plans(proposal):
    return replace(proposal, plans=proposal.plans.iloc[:0], as_of=pd.Timestamp("NaT"))


def test_a_proposal_without_plans_starts_where_the_rates_end(proposal, everything):
    import json

    from wearcast.quote import rates

    idle = without_plans(proposal)
    for known in (everything, json.loads(json.dumps(rates(everything)))):
        result = wearcast.quote(idle, known, years=1, draws=20)
        assert result.choices.as_of == everything.book.as_of
        assert result.frame["mean"].item() == 0.0


def test_a_proposal_without_any_date_says_how_to_give_one(proposal, everything):
    from wearcast.decisions.quoting.saved_rates import signed
    from wearcast.quote import rates

    saved = rates(everything)
    undated = signed(saved | {"learnt_from": {**saved["learnt_from"], "to": ""}})
    with pytest.raises(UnknownChoice) as told:
        wearcast.quote(without_plans(proposal), undated, years=1, draws=20)
    assert str(told.value) == (
        "neither the proposal nor the rates give a date: write a row with a start in plans, or "
        "give --as-of."
    )


def test_a_sites_own_cost_is_the_fleets_row_of_it(everything):
    whole = everything.cost
    for site in everything.history.machines["site"].unique():
        own = wearcast.annual_cost(everything, site=site)
        assert not own["level"].eq("fleet").any()
        mine = whole[whole["level"].eq("site") & whole["where"].eq(site)].reset_index(drop=True)
        pd.testing.assert_frame_equal(own[own["level"].eq("site")].reset_index(drop=True), mine)
        for level in ("machine", "part", "floor", "month"):
            rows = own[own["level"].eq(level) & own["kind"].eq("all")]
            total = mine.loc[mine["kind"].eq("all"), "mean"].item()
            assert rows["mean"].sum() == pytest.approx(total)


def test_a_years_hours_divide_the_money_of_every_level(everything):
    # Money in 100 hours, times the hours there, is the money: the draws' hours of 364 days,
    # scaled to a calendar year.
    rows = everything.cost[everything.cost["kind"].eq("all")].set_index(["level", "where"])
    hours = 100 * rows["mean"] / rows["per_100h"]
    weekly = everything.draws.weekly_hours[:, :52].sum(axis=1)
    fleet = weekly.sum() * 365 / 364
    assert hours[("fleet", "fleet")] == pytest.approx(fleet, rel=1e-6)
    for level in ("site", "machine", "floor", "month"):
        assert hours[level].sum() == pytest.approx(fleet, rel=1e-6)


@pytest.fixture(scope="module")
def shrunk(book):
    """The logbook with one machine retired and another silent for the last 100 days."""
    gone, silent = book.machines["machine"].iloc[:2]
    last = book.as_of - pd.Timedelta(days=100)
    machines = book.machines.assign(
        retired=book.machines["retired"].mask(
            book.machines["machine"].eq(gone), book.as_of - pd.Timedelta(days=3)
        )
    )

    def heard(rows):
        return rows[rows["machine"].ne(silent) | rows["date"].le(last)].reset_index(drop=True)

    quiet = replace(
        book, machines=machines, readings=heard(book.readings), changes=heard(book.changes)
    )
    return gone, silent, wearcast.forecast(quiet, draws=100)


def test_a_retired_machine_is_not_ordered_for(shrunk):
    gone, _, result = shrunk
    assert gone not in set(result.draws.slots["machine"])
    carried = result.draws.slots.groupby(["depot", "part"])["machine"].nunique()
    machines = result.order.set_index(["depot", "part"])["machines"]
    assert machines.reindex(carried.index).tolist() == carried.tolist()


def test_a_silent_machine_is_still_ordered_for_and_flagged(shrunk):
    _, silent, result = shrunk
    slots = result.draws.slots["machine"].eq(silent).to_numpy()
    used = np.isin(result.draws.slot, np.flatnonzero(slots))
    assert used.any()
    row = result.machines[result.machines["machine"].eq(silent)]
    assert (row["silent_days"] >= 99).all()
    assert any(silent in problem.wrong for problem in result.told)


def test_a_large_fleets_single_edges_are_written_only_if_asked_for(
    everything, tmp_path, monkeypatch
):
    monkeypatch.setattr(parcel, "MANY_ROWS", 20)
    part = parcel.write_report(everything, tmp_path / "part")
    whole = parcel.write_report(everything, tmp_path / "whole", full=True)
    assert set(whole.files) - set(part.files) == {"spells.csv"}
    levels = [set(pd.read_csv(tmp_path / name / "forecast.csv")["level"]) for name in
              ("part", "whole")]  # fmt: skip
    assert levels[1] - levels[0] == {"machine"}
    assert part.left_out[0] == f"spells.csv ({len(everything.spells):,} edges)"
    assert whole.left_out == ()
