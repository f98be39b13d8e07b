"""Another library as referee: lifelines' accelerated failure time fit of the same lives."""

import numpy as np
import pandas as pd
import pytest
from lifelines import WeibullAFTFitter
from lifelines.datasets import load_lung

from tests.wear.fleet import Truth, choices, simulate
from tests.wear.published import one_floor
from wearcast.wear.fit import fit_wear
from wearcast.wear.fitting.model import WearModel

COLUMNS = ("age", "sex", "ph.ecog")


def test_regression_agrees_with_lifelines_on_lung():
    data = load_lung().dropna(subset=["ph.ecog"])
    frame = data[["time", "status", *COLUMNS]].astype(float)
    # WeibullAFTFitter().fit(frame, "time", "status"): coefficients on log time, rho_ is log k.
    referee = WeibullAFTFitter().fit(frame, "time", "status")
    spells = one_floor(
        frame["time"].to_numpy(),
        frame["status"].to_numpy(),
        effects=frame[list(COLUMNS)].to_numpy(),
    )
    model = WearModel({"part": spells}, ("floor",), {"part": COLUMNS}, paced=False)
    found = model.optimum(np.array([-6.0, 0.2, 0.0, 0.0, 0.0]))
    log_rate, log_shape, *effects = model.to_rates(found.params)
    theirs = referee.params_["lambda_"][["Intercept", *COLUMNS]].to_numpy()
    # lifelines' search stops up to 1.3e-5 short in a coefficient.
    assert [-log_rate, *np.negative(effects)] == pytest.approx(theirs, abs=5e-5)
    assert log_shape == pytest.approx(referee.params_["rho_"]["Intercept"], abs=5e-5)
    assert found.here.value == pytest.approx(referee.log_likelihood_, abs=1e-6)


@pytest.fixture(scope="module")
def alike():
    """Machines that are all alike, each on one floor: a plain regression on the floor."""
    truth = Truth(spread=dict.fromkeys(Truth().spread, 0.0), mixed=0.0)
    history, parts, _ = simulate(truth, seed=3, machines=30, hours=1200)
    return history, fit_wear(history, parts, choices(fit="data only", pace="off"))


@pytest.mark.parametrize("name", Truth().kinds)
def test_a_fleet_without_pace_agrees_with_lifelines(alike, name):
    history, wear = alike
    own = history.spells["wears_as"].eq(name) & history.spells["hours"].gt(0)
    # A running edge that lasted beyond belief is left out of the fit.
    own &= history.spells.index.isin(wear.spells[name].spell)
    floor = history.exposure[own].idxmax(axis=1)
    base, *others = wear.floors
    frame = pd.get_dummies(floor, dtype=float)[others]
    frame = frame.assign(
        hours=history.spells.loc[own, "hours"],
        worn=history.spells.loc[own, "cause"].eq("worn").astype(float),
    )
    # WeibullAFTFitter().fit(frame, "hours", "worn"): the first floor, and the others against it.
    referee = WeibullAFTFitter().fit(frame, "hours", "worn")
    theirs = referee.params_["lambda_"]
    fit = wear.fits[name]
    named = dict(zip(fit.model.exog_names, fit.params, strict=True))
    first = -named[f"log rate[{name}, {base}]"]
    assert first == pytest.approx(theirs["Intercept"], abs=5e-5)
    for place in others:
        ours = -named[f"log rate[{name}, {place}]"] - first
        assert ours == pytest.approx(theirs[place], abs=5e-5)
    shape = referee.params_["rho_"].to_numpy()[0]
    assert named[f"log shape[{name}]"] == pytest.approx(shape, abs=5e-5)
    assert fit.llf == pytest.approx(referee.log_likelihood_, abs=1e-6)
