"""What a proposal says of its hours, its parts' age and its prices, as it is drawn and priced."""

from dataclasses import replace

import numpy as np
import pandas as pd
import pytest

import wearcast
from tests.decisions.makers import book, choices
from wearcast.decisions.quoting.plan_ranges import scaled, within_ranges
from wearcast.decisions.quoting.prices import by_volume, grown
from wearcast.decisions.quoting.used_machines import carries, with_used_parts
from wearcast.history.story import read_history
from wearcast.outlook.hours import hours_ahead

MACHINES = pd.DataFrame(
    {
        "machine": ["N1", "N2", "N3"],
        "site": ["quay", "quay", "hall"],
        "in_service": ["", "2024-03-01", ""],
    }
)
PLANS = pd.DataFrame(
    {
        "machine": ["N1", "N2", "N3"],
        "start": ["2027-01-01"] * 3,
        "hours_per_week": [20.0, 40.0, 30.0],
        "hours_low": [10.0, 20.0, np.nan],
        "hours_high": [30.0, 60.0, np.nan],
    }
)


def proposal(**changed):
    tables = {
        "machines": MACHINES,
        "positions": pd.DataFrame(
            {
                "machine": ["N1", "N2", "N3"],
                "position": "front blade",
                "part": "GUM",
                "hours_on": [60.0, np.nan, np.nan],
            }
        ),
        "parts": pd.DataFrame({"part": ["GUM"], "kind": ["blade"], "edges": [4], "price": [12.0]}),
        "floors": pd.DataFrame(
            {"machine": ["N1", "N1"], "floor": ["tile", "vinyl"], "share": [0.25, 0.75]}
        ),
        "plans": PLANS,
        **changed,
    }
    return wearcast.Logbook.from_frames(proposal=True, **tables)


@pytest.fixture(scope="module")
def proposed():
    return proposal()


def drawn(made):
    history, chosen = read_history(made), chosen_for(made)
    hours = hours_ahead(history, made.plans, chosen, 364)
    return within_ranges(hours, made.plans, history, chosen).hours.mean(axis=2), hours.hours


def chosen_for(made):
    return replace(choices(draws=400), as_of=made.as_of)


def test_hours_are_drawn_between_low_and_high_and_a_sites_machines_move_together(proposed):
    weekly, plain = drawn(proposed)
    # Triangular from half to one and a half times the plan: sd 20.4 % of it, mean the plan.
    assert weekly.mean(axis=1) == pytest.approx([20, 40, 30], rel=0.03)
    assert (weekly[:2].std(axis=1) / [20, 40]) == pytest.approx(0.204, abs=0.02)
    assert np.corrcoef(weekly[0], weekly[1])[0, 1] > 0.97
    # A plan without a range stays as it was.
    assert np.allclose(weekly[2], plain[2].mean(axis=1))


def test_limits_beside_which_the_hours_lie_count_as_blank():
    off = proposal(plans=PLANS.assign(hours_high=[15.0, 60.0, np.nan]))
    assert off.plans["hours_high"].isna().tolist() == [True, False, True]
    assert [each.wrong for each in off.told if each.severity == "set aside"] == [
        "the hours do not lie between hours_low and hours_high; both count as blank"
    ]


def test_two_equal_rows_of_a_plan_are_told_as_two_shifts_perhaps():
    twice = proposal(plans=pd.concat([PLANS, PLANS.tail(1)]))
    assert [each.remedy for each in twice.told if each.table == "plans"] == [
        "If two shifts are meant, write their hours together into one row"
    ]


def test_what_if_hours_change_the_limits_too_and_a_week_has_no_more_than_168(proposed):
    more = scaled(proposed.plans, 5.0)
    assert more["hours_per_week"].tolist() == [100, 168, 150]
    assert more["hours_low"].tolist()[:2] == [50, 100]


def test_a_used_machine_carries_what_the_proposal_says(proposed):
    history = with_used_parts(read_history(proposed), proposed)
    running = history.running.set_index("machine")
    assert running["age"].to_dict() == {"N1": "known", "N2": "unknown", "N3": "new"}
    # Which of the four edges the used ones are on is not known.
    assert running["edge"].isna().to_dict() == {"N1": True, "N2": True, "N3": False}
    hours = history.running_exposure[history.running["machine"].eq("N1")]
    assert hours[["tile", "vinyl"]].to_numpy().tolist() == [[15.0, 45.0]]
    assert carries(history).to_dict() == {"N1": "used", "N2": "used, age unknown", "N3": "new"}


def test_prices_grow_from_the_catalogues_day_to_the_start():
    prices = pd.Series([10.0, np.nan])
    two_years = pd.Timestamp("2024-12-31")  # 730 days before the book's
    assert grown(prices, two_years, book("part"), 0.1).tolist()[0] == pytest.approx(12.1)
    assert grown(prices, None, book("part"), 0.1).tolist()[0] == 10.0
    # A catalogue newer than the start is not taken back.
    assert grown(prices, pd.Timestamp("2027-06-30"), book("part"), 0.1).tolist()[0] == 10.0


def test_a_price_step_is_that_of_a_mean_years_pieces_and_told():
    made = book(
        """
        part  from_pieces  price
        GUM   1            10
        GUM   20           8
        GUM   100          5
        PAD   1            3
        """
    )
    stepped, told = by_volume(made, pd.Series({"GUM": 42.3, "PAD": 500.0}))
    assert stepped.parts.set_index("part")["price"].to_dict() == {"GUM": 8.0, "PAD": 3.0}
    (only,) = told
    assert (only.value, only.wrong) == (
        "GUM", "priced at 8.00, the step of the 42 pieces of a mean year",
    )  # fmt: skip
