"""Edges that lasted too long, silent sites, schedules: told when they surely are, and hardly ever
when they are not."""

from types import SimpleNamespace

import numpy as np
import pandas as pd
import pytest

from tests.wear.makers import class_spells
from wearcast.wear.diagnostics.doubts import (
    Fitted,
    end_residuals,
    improbable_silences,
    lasting_too_long,
    not_written,
    tell_schedules,
    tell_still_meters,
    wear_residuals,
)
from wearcast.wear.records import Block, OffLaw

TERMS = ("log rate[blade, vinyl]", "log shape[blade]", "log spread[blade]")


def known(torn=1e-12, spread=1e-6):
    """Blades of shape 2 and 100 h, fitted for sure."""
    worn = Block("worn", TERMS, np.log([0.01, 2.0, spread]), np.zeros((3, 3)), 0.0)
    tear = Block("torn", TERMS[:1], np.log([torn]), np.zeros((1, 1)), 0.0)
    off = OffLaw(1.0, {"blade": 1e-12}, dict.fromkeys(SITES, 0.0), dict.fromkeys(SITES, 1.0), {})
    return Fitted((worn, tear, off), ("vinyl",), {})


SITES = [("blade", "Hall"), ("blade", "Yard")]


def test_a_spell_ran_through_the_hazard_of_its_wear():
    found = wear_residuals("blade", class_spells([50.0, 120.0]), known())
    assert found == pytest.approx([0.25, 1.44], rel=1e-4)


def test_damage_adds_to_the_hazard_run_through():
    found = end_residuals("blade", class_spells([50.0]), known(torn=0.004))
    assert found == pytest.approx([0.25 + 0.2], rel=1e-4)


def test_a_machines_other_spells_say_how_long_its_edge_may_last():
    # Two lives of 300 h each: such a machine's third is no wonder.
    slow = class_spells([300.0, 300, 300], ["worn", "worn", "running"], [0, 0, 0])
    alone = class_spells([300.0], "running")
    fitted = known(spread=0.3)
    assert (
        wear_residuals("blade", slow, fitted)[2] < 0.5 * wear_residuals("blade", alone, fitted)[0]
    )


def running(hours, site="Hall"):
    return {"blade": class_spells(np.asarray(hours, float), "running", site=site)}


@pytest.mark.parametrize(
    ("hours", "causes", "found"),
    [
        # Chances exp(-(h / 100)^2): of two, less than one in 200 each.
        ([150.0, 240.0], "running", [1]),
        # exp(-5.76) = .003 is one of 2, and no wonder among 100.
        ([240.0, *[50.0] * 99], "running", []),
        ([500.0], "worn", []),
    ],
    ids=["hardly any would outlast it", "one of many may", "an ended edge is never too old"],
)
def test_running_edges_beyond_belief_are_found(hours, causes, found):
    assert lasting_too_long({"blade": class_spells(hours, causes)}, known()).tolist() == found


def silent(hours, until, site="Hall"):
    return improbable_silences(
        running(hours, site), pd.DataFrame({"vinyl": np.asarray(until, float)}), known()
    )


@pytest.mark.parametrize(
    ("until", "site", "found"),
    [
        # Each of six edges ran from 60 to 130 h: 1.33 of hazard each, exp(-8) in all.
        ([60.0] * 6, "Hall", ["Hall"]),
        ([120.0] * 6, "Hall", []),
        ([0.0] * 6, "Hall", ["Hall"]),
        ([60.0] * 6 + [125.0] * 6, ["Hall"] * 6 + ["Yard"] * 6, ["Hall"]),
    ],
    ids=["all beyond belief", "it wrote lately", "put on with the last change", "one of two sites"],
)
def test_a_site_whose_edges_all_went_on_beyond_belief_is_silent(until, site, found):
    assert silent([130.0] * len(until), until, site) == found


@pytest.mark.parametrize(("ran", "found"), [([260.0] * 2, ["Mute"]), ([120.0] * 2, [])])
def test_a_site_without_any_change_is_not_believed_where_other_sites_would_have_some(ran, found):
    # 6.8 of hazard each at 260 h, 1.4 at 120 h: a thousandth is 6.9.
    firsts = {"blade": class_spells(np.array(ran), "running", site="Mute")}
    assert not_written(firsts, ["Mute"], known()) == found
    assert not_written(firsts, [], known()) == []


@pytest.mark.parametrize(("hours", "found"), [(0.0, 1), (12.0, 0)])
def test_changes_on_a_meter_that_stands_still_are_told(hours, found):
    days = pd.date_range("2025-01-06", periods=6, freq="14D")
    spells = pd.DataFrame({"machine": "A", "start": days[:-1], "end": days[1:], "hours": hours})
    meters = pd.DataFrame({"machine": "A", "date": [days[0], days[-1]], "read": True})
    past = SimpleNamespace(spells=spells.assign(ended="fit"), meters=meters)
    assert len(tell_still_meters(past)) == found


def planned(hours):
    """Spells that ended as planned; one site a row of `hours` (sites, ends)."""
    sites, ends = np.shape(hours)
    return pd.DataFrame(
        {
            "site": np.repeat([f"S{n:05d}" for n in range(sites)], ends),
            "wears_as": "gum blade",
            "cause": "planned",
            "in_fit": True,
            "hours": np.ravel(hours),
        }
    )


def random_ends(life, sites, ends):
    """Hours of ends at random times: the age that such a time finds an edge at."""
    rng = np.random.default_rng(5)
    if life == "even":
        # All edges last alike: the most regular ages that random times can find.
        return rng.random((sites, ends)) * 100
    if life == "exponential":
        return rng.exponential(100, (sites, ends))
    age = np.linspace(0, 2.5, 2000)
    upto = np.cumsum(np.exp(-(age**2.5)))
    return 100 * np.interp(rng.random((sites, ends)), upto / upto[-1], age)


@pytest.mark.parametrize("life", ["even", "exponential", "weibull 2.5"])
@pytest.mark.parametrize("ends", [5, 8, 12, 20, 60])
def test_random_ends_are_hardly_ever_taken_for_a_schedule(life, ends):
    sites = 3000
    told = tell_schedules(planned(random_ends(life, sites, ends)))
    # At most one site in a thousand: 3 expected; 11 or more would come once in 3,000 such tests
    # (Poisson).
    assert len(told) <= 10


@pytest.mark.parametrize("ends", [8, 20])
def test_a_schedule_is_told_from_eight_ends_on(ends):
    rng = np.random.default_rng(6)
    told = tell_schedules(planned(rng.normal(100, 5, (50, ends))))
    # Ends within 5 % of the hours meant; at 8 ends up to 11 % count as sure.
    assert len(told) == 50


def test_a_looser_schedule_needs_more_ends():
    rng = np.random.default_rng(7)
    few, many = (rng.gamma(11.1, 9, (200, ends)) for ends in (8, 60))
    # Variation 0.3 (gamma of shape 1/0.09): far under the 0.577 of random ends, seen from many.
    assert len(tell_schedules(planned(few))) < 20
    assert len(tell_schedules(planned(many))) == 200
