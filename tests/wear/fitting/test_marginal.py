"""From the mode of the log rates to their mean: closed-form cases."""

import numpy as np
import pytest
from scipy.special import digamma

from wearcast.wear.fitting.likelihood import Spells
from wearcast.wear.fitting.marginal import lean
from wearcast.wear.fitting.model import WearModel


def ends_of(ends: int, hours: float = 100.0) -> Spells:
    """So many ends on one floor, each after so many hours."""
    one = np.ones((ends, 1))
    return Spells(hours * one, one, np.zeros((ends, 0)), np.ones(ends), np.arange(ends))


def hazard_of(ends: int) -> WearModel:
    """A constant hazard on one floor."""
    return WearModel({"filter": ends_of(ends)}, ("vinyl",), paced=False, shaped=False)


@pytest.mark.parametrize("ends", [3, 10, 40])
def test_the_mean_log_hazard_lies_half_an_end_below_its_mode(ends):
    # With a flat prior the hazard is Gamma(n, rate T): its log has mode log(n/T) and mean
    # digamma(n) - log T = mode - 1/(2n) - ... ; the Laplace variance of the log is 1/n. The steps
    # are finite: 2 % of the shift.
    model = hazard_of(ends)
    mode = np.array([np.log(ends / (100.0 * ends))])
    shift = lean(model, mode, np.array([[1.0 / ends]]))
    assert shift[0] == pytest.approx(-1 / (2 * ends), rel=0.02)
    assert shift[0] == pytest.approx(digamma(ends) - np.log(ends), rel=0.15)


def test_nothing_leans_where_the_data_say_nothing():
    # Half of one end's hours and no end: the likelihood is all but flat against the prior's sd 0.1.
    one = np.ones((1, 1))
    spells = Spells(one, one, np.zeros((1, 0)), np.zeros(1), np.arange(1))
    model = WearModel({"filter": spells}, ("vinyl",), paced=False, shaped=False)
    assert lean(model, np.array([-8.0]), np.array([[0.01]])) == pytest.approx([0.0], abs=1e-5)


def test_classes_lean_by_their_own_ends_alone():
    # The likelihoods of two classes add, so that their rates lean as each would by itself.
    model = WearModel(
        {"filter": ends_of(5), "wheel": ends_of(20)}, ("vinyl",), paced=False, shaped=False
    )
    mode = np.full(2, -np.log(100.0))
    shift = lean(model, mode, np.diag([1 / 5, 1 / 20]))
    alone = [lean(hazard_of(ends), mode[:1], np.array([[1.0 / ends]]))[0] for ends in (5, 20)]
    assert shift == pytest.approx(alone, rel=1e-9)
