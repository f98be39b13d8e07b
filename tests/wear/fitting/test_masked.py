"""Ends of unknown cause: the sum of the hazards."""

import numpy as np
import pytest

from tests.wear.makers import class_spells
from wearcast.wear.causes import LAWS
from wearcast.wear.fitting.masked import end_hazards, unmask
from wearcast.wear.records import Block, OffLaw

FLOORS = ("vinyl",)


def constant(name, rate):
    """A law of one class with a constant hazard."""
    return Block(
        name, ("log rate[blade, vinyl]",), np.log([max(rate, 1e-30)]), np.zeros((1, 1)), 0.0
    )


def by_count(spells):
    """Maximum likelihood of three constant hazards: ends over hours, each law by its chances."""
    group = spells["blade"]
    worn, torn, off = group.chances.sum(axis=0)
    hours = group.hours.sum()
    # One site, hardly pooled with others.
    law = OffLaw(1e-9, {"blade": 1.0}, {("blade", "Hall"): off}, {("blade", "Hall"): hours}, {})
    return constant("worn", worn / hours), constant("torn", torn / hours), law


def hazards(spells):
    worn, torn, off = by_count(spells)
    return np.array(
        [*np.exp([worn.mean[0], torn.mean[0]]), off.ends["blade", "Hall"] / HOURS.sum()]
    )


RNG = np.random.default_rng(1)
HOURS = RNG.exponential(50, 60)


def test_where_every_cause_is_known_nothing_is_fitted():
    group = class_spells(HOURS, ["worn", "damaged", "planned"] * 20)
    assert unmask({"blade": group}, FLOORS, lambda _: pytest.fail("fitted"))["blade"] is group


@pytest.mark.parametrize("known", [(6, 3, 1), (20, 20, 10)], ids=["few known", "most known"])
def test_ends_of_unknown_cause_share_the_hazards_as_the_known_ones_do(known):
    # Closed form: all hazards constant; the masked likelihood, the product of the sum's density,
    # is highest where the sum is all ends over all hours, shared as the known ends are.
    words = np.repeat(["worn", "damaged", "planned"], known)
    cause = np.concatenate([words, ["unknown"] * (60 - len(words))])
    spells = {"blade": class_spells(HOURS, cause)}
    spells = unmask(spells, FLOORS, by_count)
    expected = 60 / HOURS.sum() * np.array(known) / sum(known)
    # Sharing begins with one more worn end than known; the turns leave some of it.
    assert hazards(spells) == pytest.approx(expected, rel=0.05)


def test_with_no_cause_known_the_ends_still_are_ends():
    # The sum of the hazards is what all ends over all hours tell; the split is not to be told.
    spells = unmask({"blade": class_spells(HOURS, "unknown")}, FLOORS, by_count)
    assert sum(hazards(spells)) == pytest.approx(60 / HOURS.sum())


def test_known_ends_keep_their_law():
    cause = ["worn", "damaged", "planned", "running", "unknown", "unknown"]
    group = unmask({"blade": class_spells(HOURS[:6], cause)}, FLOORS, by_count)["blade"]
    assert group.chances[:4].tolist() == [[1, 0, 0], [0, 1, 0], [0, 0, 1], [0, 0, 0]]
    assert group.chances[4:].sum(axis=1) == pytest.approx([1, 1])


def test_an_old_edge_more_likely_wore_out_than_a_young_one():
    terms = ("log rate[blade, vinyl]", "log shape[blade]")
    worn = Block("worn", terms, np.log([0.01, 3.0]), np.zeros((2, 2)), 0.0)
    laws = (worn, constant("torn", 0.002), by_count({"blade": class_spells([1.0], "worn")})[2])
    group = class_spells([20.0, 120.0], "unknown")
    found = unmask({"blade": group}, FLOORS, lambda _: laws)["blade"].chances
    # Closed form: k r (r h)^(k-1) against .002 an hour.
    wear = 0.03 * (0.01 * np.array([20.0, 120.0])) ** 2
    assert found[:, LAWS.index("worn")] == pytest.approx(wear / (wear + 0.002), rel=1e-6)


def test_hazards_at_the_end_take_what_the_site_does_to_each_law():
    site = {"site[Hall]": np.ones(1)}
    group = class_spells([50.0], "unknown", effects=site)
    worn = Block("worn", ("log rate[blade, vinyl]", "site[Hall]"), np.array([np.log(0.01), 0.3]),
                 np.zeros((2, 2)), 0.0)  # fmt: skip
    torn = Block("torn", ("log rate[blade, vinyl]", "site[Hall]"), np.array([np.log(0.002), -0.5]),
                 np.zeros((2, 2)), 0.0)  # fmt: skip
    off = by_count({"blade": class_spells([100.0], "planned")})[2]
    found = np.ravel(end_hazards("blade", group, (worn, torn, off), FLOORS))
    assert found == pytest.approx([0.01 * np.exp(0.3), 0.002 * np.exp(-0.5), 0.01])
