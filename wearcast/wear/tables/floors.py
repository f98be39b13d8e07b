"""Wear by class and floor, as a table: what the fit says in hours."""

import numpy as np
import pandas as pd

from wearcast.wear.causes import CODES
from wearcast.wear.covariates import effect_of
from wearcast.wear.fitting.laws import LawFit
from wearcast.wear.fitting.off import mean_off
from wearcast.wear.life import (
    hazard_variance,
    log_mean_factor,
    log_wear_at,
    mean_hazard,
    mean_life,
    median_wear,
    steepness,
)
from wearcast.wear.posterior import ClassParams, Drawn, at_estimate, columns, rate_term
from wearcast.wear.priors import NEVER, Z90
from wearcast.wear.records import Block, ClassSpells, OffLaw

MEASURED, TYPICAL = 0.1, 0.9
"""Share of the prior variance of log hours_per_edge that is left: under, over."""
FEWEST_WORN = 10
"""Worn ends on a floor, below which nothing there counts as measured."""

_NO_END = np.log(1e6)
"""A range that reaches a million times beyond the estimate is none (data only)."""
_STEP = 0.1
_LOG_LOAD = np.arange(-45.0, 90.0, _STEP)
"""Where the mean over the lives is summed up: logs of the hazard that is run through."""


def floor_rows(
    name: str,
    group: ClassSpells,
    fits: tuple[LawFit, LawFit, OffLaw],
    floors: tuple[str, ...],
    busiest: str,
) -> pd.DataFrame:
    """Rows of floors.csv of one class, all floors.

    Parameters
    ----------
    name : str
        Wear class.
    group : ClassSpells
    fits : the laws of wear, damage and being taken off
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
    worn, torn, off = fits
    block = worn.block
    params = at_estimate(block, name, floors, group.effect_names)
    shape = float(np.exp(params.log_shape[0]))
    # Pace 1 is the machine of mean hazard; the rates are those of the one in the middle.
    here = _only_site(name, block)
    lift = columns(Drawn(block.terms, block.mean[None]), here).sum()
    steep = float(steepness(params.log_shape[0]))
    rates = params.log_rates[0] + lift + mean_hazard(block.machine_variance, steep)
    spread = hazard_variance(block.machine_variance, steep, float(params.spread[0]))
    life = mean_life(rates, params.log_shape[0])
    error = _life_error(name, block, floors, here)
    hours = group.hours.sum(axis=0)
    base = int(np.argmax(hours)) if hours.sum() > 0 else floors.index(busiest)
    ratio_error = _ratio_error(name, block, floors, base)
    tear = _ends_an_hour(name, torn.block, floors)
    counts = _counts(group, params)
    table = pd.DataFrame(
        {
            "wears_as": name,
            "floor": floors,
            "hours_per_edge": life,
            "low": life / _reach(error),
            "high": life * _reach(error),
            "median": median_wear(np.array(shape), np.array(1.0)) * np.exp(-rates),
            "shape": shape,
            "relative": np.exp(rates - rates[base]),
            "relative_low": np.exp(rates - rates[base]) / _reach(ratio_error),
            "relative_high": np.exp(rates - rates[base]) * _reach(ratio_error),
            "damaged_per_1000h": 1000 * tear,
            **counts,
            "hours": hours,
            "pace_spread": spread,
            "basis": _basis(name, worn, floors, error, counts["worn"]),
            "hours_to_change": hours_to_change(rates, shape, spread, tear + mean_off(off, name)[0]),
        }
    )
    return _blank_unknown(table, name, worn, torn)


def _reach(error: np.ndarray) -> np.ndarray:
    """Factor from an estimate to the end of its 90 % range; nan where that would say nothing."""
    far = Z90 * error
    return np.exp(np.where(far < _NO_END, far, np.nan))


def _ends_an_hour(name: str, block: Block, floors: tuple[str, ...]) -> np.ndarray:
    """Ends a run hour by floor [1/h]; exactly 0 where there were hours and no end (data only)."""
    log_rates = at_estimate(block, name, floors).log_rates[0]
    return np.where(log_rates <= NEVER, 0.0, np.exp(log_rates))


def _only_site(name: str, block: Block) -> tuple[str, ...]:
    """Names of what the only site of a log does to a class; none where there are several.

    One site cannot tell what is usual elsewhere, but it tells well what is usual there.
    """
    sites = [term for term in block.terms if effect_of(term) == "site"]
    own = sites[0].replace("site[", "site own[")[:-1] + f", {name}]" if len(sites) == 1 else ""
    return tuple(term for term in (*sites, own) if term in block.terms) if own else ()


def _life_error(
    name: str, block: Block, floors: tuple[str, ...], here: tuple[str, ...]
) -> np.ndarray:
    """Standard error of log hours_per_edge, by floor; with some effects in it."""
    terms = block.terms
    at = [terms.index(term) for term in (*(rate_term(name, one) for one in floors), *here)]
    slopes = -np.hstack([np.eye(len(floors)), np.ones((len(floors), len(here)))])
    term = f"log shape[{name}]"
    if term in terms:
        place, step = terms.index(term), 1e-5
        up, down = (log_mean_factor(block.mean[place] + way) for way in (step, -step))
        slopes = np.column_stack([slopes, np.full(len(floors), (up - down) / (2 * step))])
        at.append(place)
    cov = block.cov[np.ix_(at, at)]
    return np.asarray(np.sqrt(np.einsum("fi,ij,fj->f", slopes, cov, slopes)))


def _ratio_error(name: str, block: Block, floors: tuple[str, ...], base: int) -> np.ndarray:
    """Standard error of the log of each floor's rate over the base floor's."""
    at = [block.terms.index(rate_term(name, floor)) for floor in floors]
    cov = block.cov[np.ix_(at, at)]
    variance = np.diag(cov) + cov[base, base] - 2 * cov[base]
    return np.asarray(np.sqrt(np.clip(variance, 0, None)))


def _basis(
    name: str, fit: LawFit, floors: tuple[str, ...], error: np.ndarray, worn: np.ndarray
) -> np.ndarray:
    """Measured, blended or typical: by how much the data narrowed the prior, and worn ends.

    Where lives are much alike a few ends narrow it far, yet no few ends show that they are.
    """
    if not fit.prior_variance:
        return np.full(len(floors), "measured", dtype=object)
    before = np.array([fit.prior_variance[rate_term(name, floor)] for floor in floors])
    left = error**2 / before
    words = np.select(
        [(left < MEASURED) & (worn >= FEWEST_WORN), left > TYPICAL],
        ["measured", "typical"],
        "blended",
    )
    return words.astype(object)


def _counts(group: ClassSpells, params: ClassParams) -> dict[str, np.ndarray]:
    """Spells, worn, damaged and running ends by floor; a mixed spell is shared by its wear."""
    if not len(group.cause):
        none = np.zeros(group.hours.shape[1])
        return {"spells": none, "worn": none, "damaged": none, "running": none}
    rates = np.exp(params.log_rates[0])
    share = group.hours * rates
    share /= (group.hours @ rates)[:, None]
    counts = {"spells": share.sum(axis=0)}
    for cause in ("worn", "damaged", "running"):
        counts[cause] = (group.cause == CODES[cause]) @ share
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
    if spread >= steepness(np.log(shape)) and not np.asarray(other_ends).all():
        return np.full(len(log_rates), np.nan)
    # E min(T, other) = E m(T), m(T) = (1 - exp(-o T)) / o. On the scale of the load the density of
    # the wear-out is smooth and falls off at both ends whatever the shape: the trapezoidal rule is
    # then as exact as the machine.
    if spread == 0:
        log_density = _LOG_LOAD - np.exp(_LOG_LOAD)
    else:
        log_density = _LOG_LOAD - (1 / spread + 1) * np.log1p(spread * np.exp(_LOG_LOAD))
    log_hours = log_wear_at(_LOG_LOAD, 1 / shape) - np.asarray(log_rates)[:, None]
    with np.errstate(divide="ignore"):
        risk = np.exp(np.minimum(log_hours + np.log(np.asarray(other_ends))[:, None], 700.0))
    cut_short = np.where(risk > 0, -np.expm1(-risk) / np.where(risk > 0, risk, 1.0), 1.0)
    weight = np.exp(np.minimum(log_density + log_hours, 700.0))
    return np.asarray((weight * cut_short).sum(axis=1) * _STEP)


def _blank_unknown(table: pd.DataFrame, name: str, fit: LawFit, torn: LawFit) -> pd.DataFrame:
    """No number where the data cannot tell one (data only)."""
    if not fit.unknown and not torn.unknown:
        return table
    untorn = [rate_term(name, floor) in torn.unknown for floor in table["floor"]]
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


PLANNED_SHARE = 1 / 3
"""Share of planned ends among worn and planned ones from which the log alone cannot tell a life."""
APART = 1.1
"""Two readings that differ by less than this factor are one."""


def planned_classes(spells: dict[str, ClassSpells]) -> list[str]:
    """Classes whose life the log cannot tell: too many of their ends were planned."""
    found = []
    for name, group in spells.items():
        planned = int((group.cause == CODES["planned"]).sum())
        worn = group.chances[:, 0].sum()
        if planned > PLANNED_SHARE * (planned + worn):
            found.append(name)
    return found


def with_bounds(table: pd.DataFrame, as_worn: pd.DataFrame, names: list[str]) -> pd.DataFrame:
    """The rows of some classes as bounds: planned ends read as worn, and as no sign of wear.

    Parameters
    ----------
    table : DataFrame
        Rows as `floor_rows` gives them: planned ends censor wear.
    as_worn : DataFrame
        The same rows of a fit in which planned ends count as worn.
    names : list of str
        Wear classes.

    Returns
    -------
    DataFrame
        Where the two readings differ, ``low`` and ``high`` reach from the lower end of one to the
        upper end of the other, ``hours_per_edge`` lies midway (on a log scale) and ``basis`` is
        ``bounds``.
    """
    asked = table["wears_as"].isin(names)
    other = as_worn.set_index(["wears_as", "floor"]).reindex(
        pd.MultiIndex.from_frame(table[["wears_as", "floor"]])
    )
    ends = other[["low", "high"]].to_numpy()
    low = np.fmin(table["low"].to_numpy(), ends[:, 0])
    high = np.fmax(table["high"].to_numpy(), ends[:, 1])
    apart = np.abs(np.log(table["hours_per_edge"].to_numpy() / other["hours_per_edge"].to_numpy()))
    bound = asked.to_numpy() & (apart > np.log(APART))
    middle = np.sqrt(table["hours_per_edge"].to_numpy() * other["hours_per_edge"].to_numpy())
    return table.assign(
        hours_per_edge=np.where(bound, middle, table["hours_per_edge"]),
        low=np.where(bound, low, table["low"]),
        high=np.where(bound, high, table["high"]),
        basis=np.where(bound, "bounds", table["basis"]),
    )
