"""Published renewals: valve seats by their log, age replacement, lives that are met late.

Nelson & Doganaksoy (1989), Nelson, Technometrics 37 (1995) 147: valve seats of 41 diesel engines,
48 replacements (data as in two public collections that agree); the mean cumulative function at the
ages below was computed anew by two programs, and to 389 days checked by hand. Barlow & Proschan,
Mathematical Theory of Reliability (1965), ch. 3: the age at which a planned change is cheapest;
the first case's 493.0470 is as printed by a textbook on the web (from memory), both were found
anew by minimising and as a root, equal to seven digits. Klein & Moeschberger's 26 psychiatric
patients: ages at entry and end, against lifelines.
"""

from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from lifelines import KaplanMeierFitter
from scipy.integrate import quad
from scipy.optimize import minimize_scalar

import wearcast
from wearcast.history.story import read_history
from wearcast.wear.diagnostics.curves import product_limit
from wearcast.wear.life import Laws, load_of

ENGINES = (
    "761 759 98,667 326,653,653,667 665 84,667 87,663 646,653 92,653 651 258,328,377,621,650 "
    "61,539,648 254,276,298,640,644 76,538,642 635,641 349,404,561,649 631 596 120,479,614 "
    "323,449,582 139,139,589 593 573,589 165,408,604,606 249,594 344,497,613 265,586,595 "
    "166,206,348,389 601 410,581,601 611 608 587 367,603 202,563,570,585 587 578 578 586 585 582"
)
MCF = {61: 0.024390, 139: 0.219512, 298: 0.463415, 497: 0.808537, 586: 1.014264, 653: 1.542688}
FIRST = pd.Timestamp("2024-01-01")


@pytest.fixture(scope="module")
def engines(tmp_path_factory):
    """A log of the engines, each run one hour a day: day 0 is the engine's first."""
    folder: Path = tmp_path_factory.mktemp("valves")
    readings, changes = [], []
    for number, ages in enumerate(ENGINES.split()):
        name, days = f"E{number:02d}", [int(age) for age in ages.split(",")]
        readings += [(name, FIRST, 0), (name, FIRST + pd.Timedelta(days=days[-1]), days[-1])]
        changes.append((name, FIRST, "fit", 1))
        # Two seats of one engine at one age are two pieces of one change.
        changes += [
            (name, FIRST + pd.Timedelta(days=day), "fit", days[:-1].count(day))
            for day in dict.fromkeys(days[:-1])
        ]
    pd.DataFrame(readings, columns=["machine", "date", "hours"]).to_csv(
        folder / "readings.csv", index=False
    )
    log = pd.DataFrame(changes, columns=["machine", "date", "action", "pieces"])
    log.assign(position="seat", part="SEAT").to_csv(folder / "changes.csv", index=False)
    parts = {"part": ["SEAT"], "kind": ["other"], "edges": [1]}
    pd.DataFrame(parts).to_csv(folder / "parts.csv", index=False)
    return read_history(wearcast.read_logbook(folder))


def test_replacements_by_age_have_the_published_mean(engines):
    uses = engines.uses[engines.uses["date"].gt(FIRST)]
    assert uses["pieces"].sum() == 48
    ages = (uses["date"] - FIRST).dt.days.to_numpy()
    pieces = uses["pieces"].to_numpy()
    last = (engines.machines["last_date"] - FIRST).dt.days.to_numpy()
    for age, published in MCF.items():
        at = np.unique(ages[ages <= age])
        mean = sum(pieces[ages == day].sum() / (last >= day).sum() for day in at)
        assert mean == pytest.approx(published, abs=1.5e-6), age


@pytest.mark.parametrize(
    ("scale", "shape", "planned", "failure", "age", "rate"),
    [
        (1000, 2.5, 1, 5, 493.046958, 0.00346204274),
        (150, 3.0, 2, 8, 83.122982, 0.0368502945),
    ],
)
def test_the_cheapest_age_of_a_planned_change_is_the_published_one(
    scale, shape, planned, failure, age, rate
):
    laws = Laws(1 / scale, shape, 1.0, 0.0, 1e-300, 1.0)

    def good(hours):
        return float(np.exp(-laws.hazard(np.asarray(hours, dtype=float))))

    def cost(hours):
        work = quad(good, 0, hours, epsabs=1e-12, epsrel=1e-12)[0]
        return (planned * good(hours) + failure * (1 - good(hours))) / work

    found = minimize_scalar(cost, bounds=(1, 3 * scale), method="bounded", options={"xatol": 1e-7})
    assert found.x == pytest.approx(age, rel=1e-5)
    assert found.fun == pytest.approx(rate, rel=1e-8)
    assert cost(found.x) == pytest.approx((failure - planned) * hazard(laws, found.x), rel=1e-4)


def hazard(laws, hours):
    """Slope of the cumulative hazard: k L / h."""
    load = load_of(np.log(np.array([laws.rate * hours])), float(np.log(laws.shape)))
    return float(load.x[0] / hours)


ENTRY_AND_YEARS = (
    "51+1 58+1 55+2 28+22 21+30* 19+28 25+32 48+11 47+14 25+36* 31+31* 24+33* 25+33* 30+37* 33+35* "
    "36+25 30+31* 41+22 43+26 45+24 35+35* 29+34* 35+30* 32+35 36+40 32+39*"
)


def test_lives_that_are_met_late_have_the_curve_of_another_library():
    pairs = [one.rstrip("*").split("+") for one in ENTRY_AND_YEARS.split()]
    entry, years = np.array(pairs, dtype=float).T
    died = np.array([not one.endswith("*") for one in ENTRY_AND_YEARS.split()])
    assert died.sum() == 14
    theirs = KaplanMeierFitter().fit(entry + years, died, entry=entry).survival_function_
    ours = product_limit(entry + years, died.astype(float), entry)
    for row in ours.itertuples():
        assert row.good == pytest.approx(
            float(theirs[theirs.index <= row.hours].iloc[-1, 0]), abs=1e-12
        )
