"""Ends that look like a schedule: told when they surely do, and hardly ever when they do not."""

import numpy as np
import pandas as pd
import pytest

from wearcast.wear.findings.doubts import told_of_schedules


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
    told = told_of_schedules(planned(random_ends(life, sites, ends)))
    # At most one site in a thousand: 3 expected; 11 or more would come once in 3,000 such tests
    # (Poisson).
    assert len(told) <= 10


@pytest.mark.parametrize("ends", [8, 20])
def test_a_schedule_is_told_from_eight_ends_on(ends):
    rng = np.random.default_rng(6)
    told = told_of_schedules(planned(rng.normal(100, 5, (50, ends))))
    # Ends within 5 % of the hours meant; at 8 ends up to 11 % count as sure.
    assert len(told) == 50


def test_a_looser_schedule_needs_more_ends():
    rng = np.random.default_rng(7)
    few, many = (rng.gamma(11.1, 9, (200, ends)) for ends in (8, 60))
    # Variation 0.3 (gamma of shape 1/0.09): far under the 0.577 of random ends, seen from many.
    assert len(told_of_schedules(planned(few))) < 20
    assert len(told_of_schedules(planned(many))) == 200
