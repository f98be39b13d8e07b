"""Damage and removals: constant hazards."""

import numpy as np
import pytest

from wearcast.wear.fitting.ends import fit_ends
from wearcast.wear.fitting.priors import END_HOURS
from wearcast.wear.records import ClassSpells


def group(hours, causes, floors=1):
    """Spells of a class, all of a row's hours on its floor."""
    hours = np.asarray(hours, dtype=float).reshape(len(causes), floors)
    return ClassSpells(
        ("M1",),
        np.zeros(len(causes), dtype=int),
        hours,
        hours / hours.sum(axis=1, keepdims=True),
        np.zeros((len(causes), 0)),
        (),
        np.array(causes, dtype=np.int8),
        np.arange(len(causes)),
    )


def rates(fit):
    return dict(zip(fit.block.terms, np.exp(fit.block.mean), strict=True))


WORN, DAMAGED, PLANNED, OTHER = 1, 2, 3, 4


def test_data_only_is_ends_over_hours():
    members = {"blade": group([100, 200, 300, 400], [DAMAGED, WORN, DAMAGED, PLANNED])}
    damaged, removed = fit_ends("blade", members, ("vinyl",), "data only")
    # Closed form of a constant hazard: ends over hours.
    assert rates(damaged)["log rate[blade, vinyl]"] == pytest.approx(2 / 1000, rel=1e-6)
    assert rates(removed)["log rate[blade, anywhere]"] == pytest.approx(1 / 1000, rel=1e-6)


def test_data_only_without_an_end_is_a_rate_of_nothing():
    members = {"blade": group([100, 200], [WORN, WORN])}
    damaged, _ = fit_ends("blade", members, ("vinyl",), "data only")
    assert rates(damaged)["log rate[blade, vinyl]"] < 1e-15
    assert not damaged.unknown


def test_a_floor_without_an_end_is_nothing_beside_one_with_ends():
    members = {"blade": group([[100, 20], [200, 5], [50, 80]], [DAMAGED, WORN, DAMAGED], 2)}
    blended, _ = fit_ends("blade", members, ("tile", "vinyl"), "blended")
    assert all(np.isfinite(blended.block.mean))


def test_little_data_stays_near_one_in_2000_hours():
    members = {"blade": group([1.0], [WORN])}
    damaged, removed = fit_ends("blade", members, ("vinyl",), "blended")
    for fit, term in ((damaged, "log rate[blade, vinyl]"), (removed, "log rate[blade, anywhere]")):
        assert rates(fit)[term] == pytest.approx(1 / END_HOURS, rel=0.01)
        assert fit.block.cov[0, 0] == pytest.approx(1, rel=0.01)


def test_many_ends_speak_louder_than_the_prior():
    members = {"blade": group([50.0] * 400, [DAMAGED] * 100 + [OTHER] * 20 + [WORN] * 280)}
    damaged, removed = fit_ends("blade", members, ("vinyl",), "blended")
    # 100 and 20 ends in 20,000 h; the prior (sd 1) pulls by about 1/100 and 1/20 of its distance.
    assert rates(damaged)["log rate[blade, vinyl]"] == pytest.approx(100 / 20000, rel=0.04)
    assert rates(removed)["log rate[blade, anywhere]"] == pytest.approx(20 / 20000, rel=0.1)


def test_a_class_leans_on_its_kind():
    torn = group([50.0] * 100, [DAMAGED] * 50 + [WORN] * 50)
    members = {"new": group([1.0], [WORN]), "old": torn}
    damaged, _ = fit_ends("blade", members, ("vinyl",), "blended")
    assert rates(damaged)["log rate[new, vinyl]"] > 2 / END_HOURS
