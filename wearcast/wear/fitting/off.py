"""How edges are taken off for planned and other reasons: by site, and by age where ages tell.

The hazard is of run hours, not of wear: a schedule counts hours. Sites differ much more here than
in wear, for it is people who take parts off: a gamma distribution over sites, of each class
(gamma-Poisson). Where a site took enough edges of a class off, their ages tell a Weibull law: one
that turns every edge at 60 h has a high shape (age replacement: Barlow and Proschan, Mathematical
Theory of Reliability (1965), ch. 3).
"""

from collections.abc import Mapping

import numpy as np
from scipy.special import gammaln

from wearcast.logbook.findings.coded import coded
from wearcast.wear.causes import LAWS
from wearcast.wear.class_spells import rows_by
from wearcast.wear.priors import LIVES_TO_OFF
from wearcast.wear.records import ClassSpells, OffLaw

FEWEST_AGES = 5
"""Ends of one class at one site from which their ages tell a law."""
AGE_SD = 1.0
"""Sd of the log shape of an age law around 0 (constant hazard)."""
USUAL_SD = 1.0
"""Sd of the log of the usual hazard of a class around common practice."""
ALPHAS = np.exp(np.linspace(np.log(0.15), np.log(30.0), 12))
"""Candidates of how alike sites are."""
NO_POOLING = 1e-3
"""How alike sites are taken to be where each stands by its own count."""
MIDDLE_ALPHA = (np.log(1.5), 1.0)
FACTORS = np.exp(np.linspace(-4.0, 4.0, 33))
"""Candidates of a class's usual hazard, as a multiple of common practice."""
MOST_LOG_SHAPE = 3.6
STEPS = 30


def fit_off(
    spells: Mapping[str, ClassSpells],
    typical_hours: Mapping[str, float],
    *,
    data_only: bool = False,
) -> OffLaw:
    """The law of being taken off, class by class and site by site.

    Parameters
    ----------
    spells : mapping of ClassSpells
    typical_hours : mapping
        Typical mean life of an edge by class [h].
    data_only : bool
        Without priors: each class and site by its own count.
    """
    ends: dict[tuple[str, str], float] = {}
    hours: dict[tuple[str, str], float] = {}
    aged = {}
    for name, group in spells.items():
        off = group.chances[:, LAWS.index("taken off")]
        ran = group.hours.sum(axis=1)
        for site, here in rows_by(group.site).items():
            ends[name, site] = float(off[here].sum())
            hours[name, site] = float(ran[here].sum())
            if ends[name, site] >= FEWEST_AGES:
                aged[name, site] = age_law(ran[here], off[here])
    usual = {name: 1 / (LIVES_TO_OFF * typical_hours[name]) for name in spells}
    if data_only:
        return OffLaw(NO_POOLING, _by_count(spells, ends, hours), ends, hours, aged)
    alpha, usual = _pooled(spells, usual, ends, hours)
    return OffLaw(alpha, usual, ends, hours, aged)


def _by_count(
    spells: Mapping[str, ClassSpells],
    ends: Mapping[tuple[str, str], float],
    hours: Mapping[tuple[str, str], float],
) -> dict[str, float]:
    """Ends a run hour by class, over all sites; hardly anything where there was none [1/h]."""
    found = {}
    for name in spells:
        keys = [key for key in ends if key[0] == name]
        ran = sum(hours[key] for key in keys)
        found[name] = max(sum(ends[key] for key in keys) / ran if ran else 0.0, 1e-12)
    return found


def age_law(hours: np.ndarray, off: np.ndarray) -> tuple[float, float, float, float, float]:
    """Log g and log c of ``(g h)^c``, their variances and covariance, by maximum posterior.

    Parameters
    ----------
    hours : array (spells,), h
    off : array (spells,)
        1 where the spell ended so, 0 where it is censored; between them if that is not sure.
    """
    logs = np.log(hours)
    at = np.array([np.log(off.sum() / hours.sum()), 0.0])
    for _ in range(STEPS):
        slope, bend = _age_slopes(at, logs, off)
        move = np.linalg.solve(bend, slope)
        move *= min(1.0, 0.7 / np.abs(move).max())
        at = at + move
        at[1] = min(at[1], MOST_LOG_SHAPE)
        if np.abs(move).max() < 1e-8:
            break
    cov = np.linalg.inv(_age_slopes(at, logs, off)[1])
    return float(at[0]), float(at[1]), float(cov[0, 0]), float(cov[1, 1]), float(cov[0, 1])


def _age_slopes(at: np.ndarray, logs: np.ndarray, off: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Gradient of the log-posterior and (a definite stand-in for) its information."""
    shape = np.exp(at[1])
    x = at[0] + logs
    load = np.exp(np.minimum(shape * x, 300.0))
    slope = np.array(
        [
            shape * (off.sum() - load.sum()),
            off @ (1 + shape * x) - load @ (shape * x) - at[1] / AGE_SD**2,
        ]
    )
    # Terms that vanish on average are left out: what remains is always positive definite.
    information = np.array(
        [
            [shape**2 * load.sum(), shape * (load @ (shape * x))],
            [shape * (load @ (shape * x)), load @ (shape * x) ** 2 + off.sum() + AGE_SD**-2],
        ]
    )
    return slope, information + 1e-6 * np.eye(2)


def _pooled(
    spells: Mapping[str, ClassSpells],
    common: Mapping[str, float],
    ends: Mapping[tuple[str, str], float],
    hours: Mapping[tuple[str, str], float],
) -> tuple[float, dict[str, float]]:
    """How alike sites are (one for all classes) and each class's usual hazard.

    Counts of a site are negative binomial: gamma hazard, Poisson ends. The grid's maximum stands.
    """
    best: dict[str, np.ndarray] = {}
    total = -0.5 * ((np.log(ALPHAS) - MIDDLE_ALPHA[0]) / MIDDLE_ALPHA[1]) ** 2
    for name in spells:
        keys = [key for key in ends if key[0] == name]
        count = np.array([ends[key] for key in keys])
        ran = np.array([hours[key] for key in keys])
        usual = common[name] * FACTORS[:, None, None]
        alpha = ALPHAS[None, :, None]
        beta = alpha / usual
        logs = (
            gammaln(alpha + count)
            - gammaln(alpha)
            + alpha * np.log(beta / (beta + ran))
            - count * np.log(beta + ran)
        ).sum(axis=2)
        logs -= 0.5 * (np.log(FACTORS) / USUAL_SD)[:, None] ** 2
        best[name] = logs
        total = total + logs.max(axis=0)
    at = int(np.argmax(total))
    found = {name: common[name] * _mean_factor(logs[:, at]) for name, logs in best.items()}
    return float(ALPHAS[at]), found


def _mean_factor(logs: np.ndarray) -> float:
    """Posterior mean of the factor."""
    weights = np.exp(logs - logs.max())
    return float(FACTORS @ weights / weights.sum())


def draw_off(
    law: OffLaw, name: str, site: str, rng: np.random.Generator, draws: int
) -> tuple[np.ndarray, np.ndarray]:
    """Draws of ``g`` [1/h] and ``c`` of a class at a site, known or not: arrays (draws,)."""
    normal = rng.standard_normal((2, draws))
    gamma = rng.standard_gamma(law.alpha + law.ends.get((name, site), 0.0), draws)
    usual = law.usual.get(name)
    if (name, site) in law.aged:
        return _draw_aged(law.aged[name, site], normal)
    beta = law.alpha / usual if usual else np.inf
    return gamma / (beta + law.hours.get((name, site), 0.0)), np.ones(draws)


def _draw_aged(
    aged: tuple[float, float, float, float, float], normal: np.ndarray
) -> tuple[np.ndarray, np.ndarray]:
    """Draws of ``g`` and ``c`` of an age law, given normal numbers (2, draws).

    Where ``c`` is below 1 the scale 1/g lies far beyond all ages seen, and few ends leave it open
    by powers of ten: drawn by itself it would now and then take off thousands. What the ends do
    tell is the cumulative hazard at their own age, where it does not move with the shape, about as
    well as a count; its mean is kept.
    """
    log_rate, log_shape, var_rate, var_shape, cov = aged
    log_age = -cov / var_shape  # times g; cov(c log_age, log c) is 0 there
    shape = np.exp(log_shape)
    variance = shape**2 * max(var_rate - cov**2 / var_shape, 0.0)
    log_hazard = shape * log_age - variance / 2 + np.sqrt(variance) * normal[0]
    drawn = np.exp(np.minimum(log_shape + np.sqrt(var_shape) * normal[1], MOST_LOG_SHAPE))
    return np.exp(log_hazard / drawn + log_rate - log_age), drawn


def mean_off(law: OffLaw, name: str) -> tuple[float, float]:
    """``g`` and ``c`` of a class as they are at its sites on average, by hours."""
    sites = [key for key in law.ends if key[0] == name]
    ran = sum(law.hours[key] for key in sites)
    off = sum(law.ends[key] for key in sites)
    usual = law.usual.get(name, 0.0)
    if not sites:
        return usual, 1.0
    return ((off + law.alpha) / (ran + law.alpha / usual) if usual else 0.0), 1.0


def off_chances(law: OffLaw, name: str, group: ClassSpells) -> np.ndarray:
    """Cumulative hazard of being taken off that each spell of a class went through.

    Array (spells,): hazard, a log of a chance, dimensionless.
    """
    return _off_law(law, name, group)[0]


def off_hazards(law: OffLaw, name: str, group: ClassSpells) -> np.ndarray:
    """Hazard of being taken off at the end of each spell of a class [1/h].

    Array (spells,).
    """
    chances, shape = _off_law(law, name, group)
    return np.asarray(shape * chances / group.hours.sum(axis=1))


def _off_law(law: OffLaw, name: str, group: ClassSpells) -> tuple[np.ndarray, np.ndarray]:
    """Cumulative hazard of each spell, and the shape of the law at its site."""
    sites = coded(group.site)
    found = np.array([_rate_and_shape(law, name, site) for site in sites.names.tolist()])
    rate, shape = found.reshape(-1, 2)[sites.codes].T
    return (rate * group.hours.sum(axis=1)) ** shape, shape


def _rate_and_shape(law: OffLaw, name: str, site: str) -> tuple[float, float]:
    """``g`` [1/h] and ``c`` of a class at a site, known or not."""
    if (name, site) in law.aged:
        log_rate, log_shape = law.aged[name, site][:2]
        return float(np.exp(log_rate)), float(np.exp(log_shape))
    beta = law.alpha / law.usual[name] if law.usual.get(name) else np.inf
    ends, ran = (known.get((name, site), 0.0) for known in (law.ends, law.hours))
    return (law.alpha + ends) / (beta + ran), 1.0
