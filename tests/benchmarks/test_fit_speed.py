"""The fit against other libraries doing the same; run with ``-n 0 -s``.

Lives of a Weibull on one of three floors each, a third of them still running. lifelines'
``WeibullAFTFitter`` and a statsmodels likelihood with numerical derivatives maximise the same
likelihood; all three must come to the same one. One run of each after the other, five times, and
the medians of their ratios are told. "Bare" are only the logs and exponentials of as many passes.
"""

import time
import warnings
from collections.abc import Callable

import numpy as np
import pandas as pd
import pytest
from lifelines import WeibullAFTFitter
from statsmodels.base.model import GenericLikelihoodModel

from wearcast.wear.fitting.model import WearModel
from wearcast.wear.fitting.prior_at import first_settings, prior_of
from wearcast.wear.priors import WEAR, centre_of
from wearcast.wear.spells import Spells

FLOORS = ("tile", "vinyl", "screed")
SHAPE, LIVES = 2.2, np.array([90.0, 150.0, 240.0])
TIMES = 5


def lives(size: int, seed: int = 1) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Hours, whether they ended, and the floor of some edges."""
    rng = np.random.default_rng(seed)
    floor = rng.integers(0, 3, size)
    whole = LIVES[floor] * rng.weibull(SHAPE, size)
    until = rng.uniform(20, 400, size)
    return np.minimum(whole, until), whole <= until, floor


def model_of(hours: np.ndarray, ended: np.ndarray, floor: np.ndarray) -> WearModel:
    """The package's likelihood of them, machines all alike."""
    mix, none = np.eye(3)[floor], np.zeros((len(hours), 0))
    rows = np.arange(len(hours))
    nobody = np.zeros(0, dtype=int)
    spells = Spells(
        hours[:, None] * mix, mix, ended.astype(float), rows, none, none, nobody, rows < 0
    )
    return WearModel({"blade": spells}, FLOORS, paced=False)


class Numerical(GenericLikelihoodModel):
    """The same likelihood for statsmodels, which takes the derivatives by differences."""

    def loglike(self, params: np.ndarray) -> float:
        """Log-likelihood at log rates and log shape."""
        shape = np.exp(params[-1])
        log_wear = np.log(self.endog) + self.exog[:, :3] @ params[:-1]
        ended = self.exog[:, 3]
        hazard = params[-1] + (shape - 1) * log_wear + self.exog[:, :3] @ params[:-1]
        return float(ended @ hazard - np.exp(shape * log_wear).sum())


def ours(data: tuple[np.ndarray, np.ndarray, np.ndarray]) -> tuple[float, int]:
    """Log-likelihood at the maximum, and passes over the spells."""
    model = model_of(*data)
    best = model.optimum(np.array([*np.full(3, -np.log(100.0)), 0.0]))
    return best.here.value, best.steps + 1


def by_lifelines(data: tuple[np.ndarray, np.ndarray, np.ndarray]) -> float:
    """Log-likelihood at lifelines' maximum."""
    hours, ended, floor = data
    frame = pd.DataFrame({"hours": hours, "ended": ended, "b": floor == 1, "c": floor == 2})
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        fitted = WeibullAFTFitter(penalizer=0.0).fit(frame, "hours", "ended")
    return float(fitted.log_likelihood_)


def by_statsmodels(data: tuple[np.ndarray, np.ndarray, np.ndarray]) -> float:
    """Log-likelihood at the maximum that statsmodels finds by numerical derivatives."""
    hours, ended, floor = data
    columns = np.column_stack([np.eye(3)[floor], ended])
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        model = Numerical(hours, columns)
        start = np.array([*np.full(3, -np.log(100.0)), 0.0])
        fitted = model.fit(start, method="bfgs", maxiter=500, gtol=1e-8, disp=0, skip_hessian=True)
    return float(model.loglike(fitted.params))


def bare(data: tuple[np.ndarray, np.ndarray, np.ndarray], passes: int) -> float:
    """Only the logs and exponentials of so many passes."""
    total = 0.0
    for _ in range(passes):
        total += float(np.exp(2.0 * np.log(data[0]) - 9.0)[0])
    return total


def seconds(step: Callable[[], object]) -> float:
    """Processor time."""
    begin = time.process_time()
    step()
    return time.process_time() - begin


@pytest.mark.parametrize("size", [1_000, 10_000, 100_000])
def test_against_other_libraries(size):
    data = lives(size)
    value, passes = ours(data)
    assert by_lifelines(data) == pytest.approx(value, rel=1e-6)
    assert by_statsmodels(data) == pytest.approx(value, rel=1e-6)
    steps = {
        "lifelines": lambda: by_lifelines(data),
        "statsmodels": lambda: by_statsmodels(data),
        "bare": lambda: [bare(data, passes) for _ in range(20)],
    }
    ratios: dict[str, list[float]] = {name: [] for name in steps}
    for _ in range(TIMES):
        own = min(seconds(lambda: ours(data)) for _ in range(2))
        for name, step in steps.items():
            ratios[name].append(seconds(step) / own)
    told = {name: float(np.median(of)) for name, of in ratios.items()}
    print(
        f"\n{size} spells, {passes} passes, {own * 1e3:.1f} ms: lifelines takes "
        f"{told['lifelines']:.0f} times as long, statsmodels {told['statsmodels']:.0f} times; "
        f"logs and exponentials alone 1/{20 / told['bare']:.0f}"
    )


def test_passes_with_sites_and_machines():
    """Passes over 100,000 spells of 10,000 machines at 25 sites until the maximum is found."""
    hours, ended, floor = lives(100_000, 2)
    machine = np.repeat(np.arange(10_000), 10)
    rng = np.random.default_rng(3)
    site = np.arange(10_000) % 25
    faster = np.exp(0.15 * rng.normal(size=25)[site] + 0.15 * rng.normal(size=10_000))[machine]
    mix, effects = np.eye(3)[floor], np.eye(25)[site[machine]]
    spells = Spells(
        (hours / faster)[:, None] * mix, mix, ended.astype(float), machine, effects, effects,
        np.arange(10_000), machine < 0,
    )  # fmt: skip
    terms = {"blade": tuple(f"site[{number}]" for number in range(25))}
    model = WearModel({"blade": spells}, FLOORS, terms, 10_000)
    centres = {"blade": centre_of("worn", "blade", float("nan"))}
    prior = prior_of(model, centres, first_settings(WEAR, centres))
    best = model.optimum(prior.mean, prior)
    took = seconds(lambda: model.optimum(prior.mean, prior))
    print(f"\n100,000 spells, 10,000 machines, 25 sites: {best.steps + 1} passes, {took:.1f} s")
    assert best.converged
    assert best.steps + 1 < 60
