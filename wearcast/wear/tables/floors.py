"""Wear by class and floor, as a table: what the fit says in hours."""

from typing import NamedTuple

import numpy as np
import pandas as pd
from scipy.stats import norm

from wearcast.wear.blocks import ClassParams, class_params, mean_life, rate_term
from wearcast.wear.fitting.ends import ANYWHERE
from wearcast.wear.fitting.kinds import KindFit
from wearcast.wear.fitting.likelihood import wear_path
from wearcast.wear.fitting.model import log_mean_factor
from wearcast.wear.fitting.priors import NEVER
from wearcast.wear.gather import spells_for
from wearcast.wear.records import CAUSE_CODES, Block, ClassSpells

Z90 = float(norm.ppf(0.95))
MEASURED, TYPICAL = 0.1, 0.9
"""Share of the prior variance of log hours_per_edge that is left: under, over."""

_NO_END = np.log(1e6)
"""A range that reaches a million times beyond the estimate is none (data only)."""
_STEP = 0.1
_LOG_LOAD = np.arange(-45.0, 90.0, _STEP)
"""Where the mean over the lives is summed up: log D^k."""


class KindFits(NamedTuple):
    """The three blocks of a kind."""

    wear: KindFit
    damaged: KindFit
    removed: KindFit

    @property
    def blocks(self) -> tuple[Block, Block, Block]:
        """The blocks alone, in the same order."""
        return self.wear.block, self.damaged.block, self.removed.block


def floor_rows(
    name: str, group: ClassSpells, fits: KindFits, floors: tuple[str, ...], busiest: str
) -> pd.DataFrame:
    """Rows of floors.csv of one class, all floors.

    Parameters
    ----------
    name : str
        Wear class.
    group : ClassSpells
    fits : KindFits
        Of the class's kind.
    floors : tuple of str
    busiest : str
        The floor that the others are compared with where the class has no hours at all.

    Returns
    -------
    DataFrame
        ``wears_as``, ``floor``, ``hours_per_edge`` [h], ``low``, ``high`` (90 %), ``median`` [h],
        ``shape``, ``relative``, ``relative_low``, ``relative_high``, ``damaged_per_1000h``,
        ``spells``, ``worn``, ``damaged``, ``running`` (mixed spells shared by wear), ``hours``
        [h], ``pace_spread``, ``basis``, ``hours_to_change`` [h].
    """
    block = fits.wear.block
    params = class_params(block.terms, block.mean[None], name, floors, group.effect_names)
    rates, shape = params.log_rates[0], float(np.exp(params.log_shape[0]))
    life = mean_life(rates, params.log_shape[0])
    error = _life_error(name, fits.wear, floors)
    hours = group.hours.sum(axis=0)
    base = int(np.argmax(hours)) if hours.sum() > 0 else floors.index(busiest)
    ratio_error = _ratio_error(name, fits.wear, floors, base)
    torn = _ends_an_hour(name, fits.damaged.block, floors)
    off = _ends_an_hour(name, fits.removed.block, ANYWHERE)
    table = pd.DataFrame(
        {
            "wears_as": name,
            "floor": floors,
            "hours_per_edge": life,
            "low": life / _reach(error),
            "high": life * _reach(error),
            "median": np.log(2) ** (1 / shape) * np.exp(-rates),
            "shape": shape,
            "relative": np.exp(rates - rates[base]),
            "relative_low": np.exp(rates - rates[base]) / _reach(ratio_error),
            "relative_high": np.exp(rates - rates[base]) * _reach(ratio_error),
            "damaged_per_1000h": 1000 * torn,
            **_counts(group, params),
            "hours": hours,
            "pace_spread": params.spread[0],
            "basis": _basis(name, fits.wear, floors, error),
            "hours_to_change": hours_to_change(rates, shape, params.spread[0], torn + off),
        }
    )
    return _blank_unknown(table, name, fits)


def _reach(error: np.ndarray) -> np.ndarray:
    """Factor from an estimate to the end of its 90 % range; nan where that would say nothing."""
    far = Z90 * error
    return np.exp(np.where(far < _NO_END, far, np.nan))


def _ends_an_hour(name: str, block: Block, floors: tuple[str, ...]) -> np.ndarray:
    """Ends a run hour by floor [1/h]; exactly 0 where there were hours and no end (data only)."""
    log_rates = class_params(block.terms, block.mean[None], name, floors).log_rates[0]
    return np.where(log_rates <= NEVER, 0.0, np.exp(log_rates))


def _life_error(name: str, fit: KindFit, floors: tuple[str, ...]) -> np.ndarray:
    """Standard error of log hours_per_edge, by floor."""
    terms = fit.block.terms
    at = [terms.index(rate_term(name, floor)) for floor in floors]
    slopes = -np.eye(len(floors))
    term = f"log shape[{name}]"
    if term in terms:
        place, step = terms.index(term), 1e-5
        up, down = (log_mean_factor(fit.block.mean[place] + way) for way in (step, -step))
        slopes = np.column_stack([slopes, np.full(len(floors), (up - down) / (2 * step))])
        at.append(place)
    cov = fit.block.cov[np.ix_(at, at)]
    return np.asarray(np.sqrt(np.einsum("fi,ij,fj->f", slopes, cov, slopes)))


def _ratio_error(name: str, fit: KindFit, floors: tuple[str, ...], base: int) -> np.ndarray:
    """Standard error of the log of each floor's rate over the base floor's."""
    at = [fit.block.terms.index(rate_term(name, floor)) for floor in floors]
    cov = fit.block.cov[np.ix_(at, at)]
    variance = np.diag(cov) + cov[base, base] - 2 * cov[base]
    return np.asarray(np.sqrt(np.clip(variance, 0, None)))


def _basis(name: str, fit: KindFit, floors: tuple[str, ...], error: np.ndarray) -> np.ndarray:
    """Measured, blended or typical: by how much the data narrowed the prior."""
    if not fit.prior_variance:
        return np.full(len(floors), "measured", dtype=object)
    before = np.array([fit.prior_variance[rate_term(name, floor)] for floor in floors])
    left = error**2 / before
    words = np.select([left < MEASURED, left > TYPICAL], ["measured", "typical"], "blended")
    return words.astype(object)


def _counts(group: ClassSpells, params: ClassParams) -> dict[str, np.ndarray]:
    """Spells, worn, damaged and running ends by floor; a mixed spell is shared by its wear."""
    if not len(group.cause):
        none = np.zeros(group.hours.shape[1])
        return {"spells": none, "worn": none, "damaged": none, "running": none}
    share = wear_path(params.log_rates[0], params.effects[0], spells_for(group, "worn")).share
    counts = {"spells": share.sum(axis=0)}
    for cause in ("worn", "damaged", "running"):
        counts[cause] = (group.cause == CAUSE_CODES[cause]) @ share
    return counts


def hours_to_change(
    log_rates: np.ndarray, shape: float, spread: float, other_ends: np.ndarray
) -> np.ndarray:
    """Mean hours of an edge until it ends for any reason, over the machines' paces [h].

    Where nothing but wear ends an edge and machines differ too much for a mean, nan.

    Parameters
    ----------
    log_rates : array (floors,)
    shape, spread : float
    other_ends : array (floors,)
        Damage, planned and other ends a run hour [1/h].
    """
    if spread >= shape and not np.asarray(other_ends).all():
        return np.full(len(log_rates), np.nan)
    # E min(T, other) = E m(T), m(T) = (1 - exp(-o T)) / o. On the scale of log D^k the density of
    # the wear-out is smooth and falls off at both ends whatever the shape: the trapezoidal rule is
    # then as exact as the machine.
    if spread == 0:
        log_density = _LOG_LOAD - np.exp(_LOG_LOAD)
    else:
        log_density = _LOG_LOAD - (1 / spread + 1) * np.log1p(spread * np.exp(_LOG_LOAD))
    log_hours = _LOG_LOAD / shape - np.asarray(log_rates)[:, None]
    with np.errstate(divide="ignore"):
        risk = np.exp(np.minimum(log_hours + np.log(np.asarray(other_ends))[:, None], 700.0))
    cut_short = np.where(risk > 0, -np.expm1(-risk) / np.where(risk > 0, risk, 1.0), 1.0)
    weight = np.exp(np.minimum(log_density + log_hours, 700.0))
    return np.asarray((weight * cut_short).sum(axis=1) * _STEP)


def _blank_unknown(table: pd.DataFrame, name: str, fits: KindFits) -> pd.DataFrame:
    """No number where the data cannot tell one (data only)."""
    fit = fits.wear
    if not fit.unknown and not fits.damaged.unknown:
        return table
    untorn = [rate_term(name, floor) in fits.damaged.unknown for floor in table["floor"]]
    unknown = [rate_term(name, floor) in fit.unknown for floor in table["floor"]]
    blank = ["hours_per_edge", "low", "high", "median", "hours_to_change"]
    ratios = ["relative", "relative_low", "relative_high"]
    table = table.copy()
    table.loc[unknown, blank + ratios] = np.nan
    table.loc[unknown, "basis"] = ""
    table.loc[untorn, ["damaged_per_1000h", "hours_to_change"]] = np.nan
    if f"log shape[{name}]" in fit.unknown:
        table[["shape", "median"]] = np.nan
    if f"log spread[{name}]" in fit.unknown:
        table["pace_spread"] = np.nan
    return table
