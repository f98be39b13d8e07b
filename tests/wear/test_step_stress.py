"""Wear adds up over floors as stress adds up over steps: cumulative exposure.

The test plan is that of cable insulation under rising voltage (Nelson, Accelerated Testing (1990),
table 2.1; holds and voltages as seen in a stored copy of a textbook page). The failure times were
not found, so nothing is fitted: exposures and chances are computed by hand for an inverse power law
of power 20, scale 1000 and shape 0.75 (computed, not published).
"""

import numpy as np
import pytest
from scipy.sparse import csr_array

from wearcast.wear.life import load
from wearcast.wear.likelihood import Own, wear_path
from wearcast.wear.spells import Spells

THICKNESS = 27.0
STEPS = [(5.0, 10.0), (10.0, 10.0), (15.0, 10.0), (20.0, 10.0)] + [
    (kilovolts, 15.0) for kilovolts in (26.0, 28.5, 31.0, 33.3, 36.0)
]
EXPECTED = [
    (55.0, 7.07634, 0.024103),
    (70.0, 51.30595, 0.102194),
    (85.0, 289.0173, 0.325766),
    (100.0, 1283.737, 0.700616),
    (115.0, 6013.790, 0.978512),
]
POWER, SCALE, SHAPE = 20.0, 1000.0, 0.75


def minutes_at(total: float) -> np.ndarray:
    """Minutes on each step until some minute of the test."""
    begun = np.cumsum([0.0, *(hold for _, hold in STEPS)])
    return np.clip(total - begun[:-1], 0.0, [hold for _, hold in STEPS])


@pytest.mark.parametrize(("minute", "exposure", "failed"), EXPECTED)
def test_exposure_adds_up_over_steps_of_stress(minute, exposure, failed):
    hours = minutes_at(minute)[None]
    nothing = csr_array((1, 0)).toarray()
    one, none = np.ones(1), np.zeros(1, dtype=int)
    tip, first = np.zeros(0, dtype=int), np.zeros(1, dtype=bool)
    spells = Spells(hours, hours / minute, one, none, nothing, nothing, tip, first)
    stress = np.array([kilovolts for kilovolts, _ in STEPS]) / THICKNESS
    own = Own(POWER * np.log(stress) - np.log(SCALE), np.log(SHAPE), 0.0)
    path = wear_path(own, np.zeros(0), spells, np.zeros(0))
    assert SCALE * np.exp(path.log_wear[0]) == pytest.approx(exposure, rel=1e-6)
    chance = 1 - np.exp(-load(path.log_wear, np.log(SHAPE)))
    assert chance[0] == pytest.approx(failed, abs=1e-6)
