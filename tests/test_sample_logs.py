"""The committed sample is what its script writes, reads as it should, and its truth is met."""

import re
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

import wearcast
from tests import fleets, sample_fleet, sample_writing
from tests.sample_faults import FAULTS
from tests.studies.forecasts import oracle, scores
from wearcast.history.story import read_history

SAMPLE = Path(__file__).parent.parent / "sample_logs"


@pytest.fixture(scope="module")
def fleet():
    return sample_fleet.build()


@pytest.fixture(scope="module")
def book():
    return wearcast.read_logbook(SAMPLE)


@pytest.fixture(scope="module")
def forecast(book):
    return wearcast.forecast(book, draws=300)


def test_the_committed_sample_is_what_its_script_writes(tmp_path):
    sample_writing.write_sample(tmp_path)
    made = {path.relative_to(tmp_path): path.read_bytes() for path in tmp_path.rglob("*.*")}
    kept = {path.relative_to(SAMPLE): path.read_bytes() for path in SAMPLE.rglob("*.*")}
    kept.pop(Path("README.md"))
    assert made == kept


def test_the_sample_is_small():
    # Limit: it is downloaded with the package by people who only want to look.
    assert sum(path.stat().st_size for path in SAMPLE.rglob("*.*")) < 2e6


def test_nothing_is_set_aside_in_the_sample(book):
    assert [problem for problem in book.told if problem.severity == "set aside"] == []


def test_the_workbook_holds_the_same_tables_as_the_folder(book):
    workbook = wearcast.read_logbook(SAMPLE / "workbook" / "logbook.xlsx")
    for name in ("machines", "readings", "changes", "floors", "parts", "stock", "plans"):
        pd.testing.assert_frame_equal(
            getattr(workbook, name).drop(columns=["source", "row"], errors="ignore"),
            getattr(book, name).drop(columns=["source", "row"], errors="ignore"),
        )


@pytest.mark.parametrize("fault", FAULTS, ids=lambda f: f"{f.table}.{f.column}={f.written}")
def test_each_fault_of_the_messy_log_meets_its_outcome(fault, messy_told):
    row = fault.row + 2  # the heading is row 1
    outcomes = {
        problem.severity
        for problem in messy_told
        if problem.table == fault.table and row in problem.rows
    }
    if fault.outcome == "note":
        assert outcomes <= {"note"}
    else:
        assert fault.outcome in outcomes


@pytest.fixture(scope="module")
def messy_told():
    book = wearcast.read_logbook(SAMPLE / "messy")
    return (*book.told, *read_history(book).told)


def test_a_row_of_the_messy_log_is_set_aside_only_if_it_is_faulty(messy_told):
    faulty = {(fault.table, fault.row + 2) for fault in FAULTS}
    faulty.add(("floors", 6))  # the other share of the machine whose shares cannot be believed
    aside = {
        (problem.table, row)
        for problem in messy_told
        if problem.severity == "set aside"
        for row in problem.rows
    }
    assert aside <= faulty


def test_the_proposal_names_only_parts_of_the_catalogue(book):
    proposal = wearcast.read_logbook(SAMPLE / "proposal", proposal=True)
    assert set(proposal.positions["part"]) <= set(book.parts["part"])


def test_the_year_really_used_lies_where_the_forecast_puts_it(fleet, forecast):
    # 38 sites x parts, 90 % intervals: below 29 inside has a chance of 0.9 % (binomial, computed
    # here); machines that nobody writes about any more (silent) stay in.
    said = forecast.forecast.query("level == 'site' and part != 'all' and period == 'year'")
    true = fleets.used(fleet).merge(said, left_on=["site", "part"], right_on=["where", "part"])
    inside = true["year"].between(true["p05"], true["p95"])
    assert len(true) == 38
    assert inside.sum() >= 29


def test_true_hours_per_edge_lie_inside_nearly_all_intervals(fleet, forecast):
    # 90 % intervals of class x floor that were measured; a fifth outside is beyond chance.
    floors = forecast.floors.query("basis == 'measured'")
    true = [_true_life(fleet, row) for row in floors.to_dict("records")]
    inside = (floors["low"] <= true) & (true <= floors["high"])
    assert len(floors) >= 8
    assert inside.mean() >= 0.8


def _true_life(fleet, row):
    """Mean hours of an edge at pace 1; between front and rear, as the fit reports it."""
    from scipy.special import gamma

    own = fleet.classes.loc[row["wears_as"]]
    middle = np.sqrt(own["rear"]) if own["kind"] == "blade" else 1.0
    return gamma(1 + 1 / own["shape"]) / (own[row["floor"]] * middle)


def test_the_forecast_of_the_sample_is_nearly_as_sharp_as_can_be(fleet, forecast):
    # One fleet's ratio scatters; 1.6 is twice the loss in excess of the aim over many fleets.
    quarter, _ = oracle.use_ahead(fleet, draws=400)
    actual = _used_by_slot(fleet, 91)
    site = fleet.machines["site"].to_numpy()[fleet.slots["machine"]]
    said = forecast.quantiles.query("level == 'site' and period == 'quarter'")
    ours = best = 0.0
    for (where, part), rows in said.sort_values("q").groupby(["where", "part"]):
        mine = (site == where) & (fleet.slots["part"] == part).to_numpy()
        if part == "all" or not mine.any():
            continue
        truth = np.array(actual[mine].sum())
        ours += scores.pinball(rows["pieces"].to_numpy(), truth)
        best += scores.pinball(scores.quantiles_of(quarter[mine].sum(axis=0)), truth)
    assert ours < 1.6 * best


def _used_by_slot(fleet, days):
    ends = fleets.timed(fleet)
    inside = ends["day"].between(1, days) & ends["replaced"]
    pieces = fleet.slots["pieces"].to_numpy()[ends["slot"]] * inside
    return np.bincount(ends["slot"], pieces, len(fleet.slots))


def test_the_setting_is_said_to_be_invented():
    text = (SAMPLE / "README.md").read_text(encoding="utf-8")
    assert re.search("Everything here is invented", text)
