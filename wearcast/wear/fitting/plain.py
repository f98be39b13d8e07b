"""Data only: each class alone, plain maximum likelihood, log rates directly.

What the data cannot tell has no estimate. So that a forecast can still be drawn, such a term
holds its typical value in the block, and `LawFit.unknown` names it: tables show nan there.
"""

from collections.abc import Mapping
from typing import NamedTuple

import numpy as np
from scipy.sparse import csr_array

from wearcast.wear.fitting.laws import LawFit
from wearcast.wear.fitting.model import WearModel
from wearcast.wear.fitting.prior_at import first_settings, prior_of
from wearcast.wear.fitting.results import Estimate
from wearcast.wear.maximise import Optimum
from wearcast.wear.priors import NEVER, CellPrior, Centre
from wearcast.wear.records import Block
from wearcast.wear.spells import Spells

NO_SPREAD = 1e-6
"""A spread of the pace under this is no pace."""
FLAT = 1e-3
"""Smallest curvature, relative to the parameters' own, that still counts as an estimate."""
NOTHING = 1e-3
"""Information on the log of a rate under which the rate is nothing."""
FAR = 4.5
"""Largest log shape (k of 90) or log spread that is an estimate; beyond, it runs off."""
FEWEST_ENDS = 2
"""A shape cannot be told from fewer ends than this."""


class PlainFit(NamedTuple):
    """The estimate of one class, in log rates."""

    model: WearModel
    params: np.ndarray
    cov: np.ndarray
    """array (terms, terms) 0 along what the likelihood cannot tell"""
    loose: np.ndarray
    """Boolean array (terms,): only a mixture with others can be told, not the term itself."""
    gone: np.ndarray
    """Boolean array (terms,): the likelihood wants a rate of nothing."""
    converged: bool


def known_floors(spells: Spells) -> np.ndarray:
    """Boolean array (floors,): floors that saw wear-out; elsewhere the likelihood wants rate 0."""
    return np.asarray((spells.ended @ spells.hours) > 0)


def only_floors(spells: Spells, floors: np.ndarray) -> Spells:
    """The spells with hours on some floors only; hours elsewhere wear nothing.

    `floors`: array (some,) of their numbers.
    """
    hours = spells.hours[:, floors]
    keep = hours.sum(axis=1) > 0
    machine = np.unique(spells.machine[keep], return_inverse=True)[1]
    none = csr_array((int(keep.sum()), 0))
    return Spells(
        hours[keep],
        spells.end_mix[keep][:, floors],
        spells.ended[keep],
        machine,
        none,
        none,
        np.zeros(0, dtype=int),
        np.zeros(int(keep.sum()), dtype=bool),
    )


def fit_plain_class(
    name: str, spells: Spells, floors: tuple[str, ...], *, paced: bool, shaped: bool = True
) -> PlainFit | None:
    """Maximum likelihood of one class; None if too few edges ended.

    With a pace, the fit without one is tried as well: the likelihood may be highest at v = 0,
    the edge of what is possible, where no slope vanishes.
    """
    known = known_floors(spells)
    if spells.ended.sum() < (FEWEST_ENDS if shaped else 1):
        return None
    chosen = tuple(floor for floor, yes in zip(floors, known, strict=True) if yes)
    data = only_floors(spells, known)
    fits = [
        _plain_optimum(WearModel({name: data}, chosen, paced=way, shaped=shaped))
        for way in ((False, True) if paced else (False,))
    ]
    model, best = fits[0]
    if paced and _has_pace(*fits[1]) and fits[1][1].here.value > best.here.value:
        model, best = fits[1]
    params = model.to_rates(best.params)
    return PlainFit(model, params, *_covariance(-model.hessian(params)), best.converged)


def _has_pace(model: WearModel, best: Optimum) -> bool:
    """Whether the fitted spread is more than nothing."""
    return model.paced and bool(np.exp(best.params[-1]) >= NO_SPREAD)


def _plain_optimum(model: WearModel) -> tuple[WearModel, Optimum]:
    """The maximum, sought from ends an hour, shape 1.5 and a small spread."""
    (spells,) = model.spells.values()
    start = np.zeros(len(model.terms))
    (place,) = model.places.values()
    start[place.rates] = np.log(spells.ended.sum() / spells.hours.sum())
    for at, value in ((place.shape, np.log(1.5)), (place.spread, np.log(0.1))):
        if at is not None:
            start[at] = value
    return model, model.optimum(start)


def _covariance(information: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Inverse of the information where it bends; which terms are loose, which are gone.

    A rate that runs off to nothing leaves no information on its log; each worn end leaves about 1.
    """
    gone = np.diag(information) < NOTHING
    kept = ~gone
    cov, loose = np.zeros_like(information), np.zeros(len(gone), dtype=bool)
    size = np.sqrt(np.diag(information)[kept])
    values, vectors = np.linalg.eigh(information[np.ix_(kept, kept)] / np.outer(size, size))
    flat = values < FLAT
    loose[kept] = np.abs(vectors[:, flat]).max(axis=1, initial=0.0) > 1e-3
    solid = vectors[:, ~flat]
    cov[np.ix_(kept, kept)] = (solid / values[~flat]) @ solid.T / np.outer(size, size)
    return cov, loose, gone


def fit_plain(
    name: str,
    spells: dict[str, Spells],
    floors: tuple[str, ...],
    typical: tuple[CellPrior, Mapping[str, Centre]],
    *,
    paced: bool = True,
    shaped: bool = True,
) -> LawFit:
    """One block out of the plain fits of its classes, typical values where there is none."""
    full = WearModel(spells, floors, paced=paced, shaped=shaped)
    cells, centres = typical
    settings = first_settings(cells, centres)
    prior = prior_of(full, centres, settings)
    jacobian = full.rates_jacobian(prior.mean)
    mean = full.to_rates(prior.mean)
    cov = jacobian @ np.linalg.inv(prior.weight.body) @ jacobian.T
    at = {term: place for place, term in enumerate(full.terms)}
    unknown, gone, not_converged, results, llf = set(full.terms), set(), [], {}, 0.0
    for owner, group in spells.items():
        fit = fit_plain_class(owner, group, floors, paced=paced, shaped=shaped)
        if fit is None:
            continue
        if not fit.converged or _runs_away(fit):
            not_converged.append(owner)
            continue
        results[owner] = Estimate(fit.model, fit.params, _shown(fit))
        llf += fit.model.loglike(fit.params)
        own = ~fit.gone
        told = [term for term, yes in zip(fit.model.terms, own, strict=True) if yes]
        spots = [at[term] for term in told]
        mean[spots] = fit.params[own]
        cov[spots, :] = cov[:, spots] = 0.0
        cov[np.ix_(spots, spots)] = fit.cov[np.ix_(own, own)]
        unknown -= set(np.array(fit.model.terms, dtype=object)[own & ~fit.loose])
        if paced and not fit.model.paced:
            gone.add(owner)
            unknown.discard(f"log spread[{owner}]")
    if not shaped:
        unknown -= _never(full, mean, cov, unknown)
    keep = [term not in {f"log spread[{owner}]" for owner in gone} for term in full.terms]
    terms = tuple(np.array(full.terms, dtype=object)[keep])
    block = Block(
        name,
        terms,
        mean[keep],
        cov[np.ix_(keep, keep)],
        llf,
        shaped,
        paced,
        dict(settings.cells),
        dict(centres),
    )
    return LawFit(block, results, {}, tuple(not_converged), frozenset(unknown), tuple(sorted(gone)))


def _runs_away(fit: PlainFit) -> bool:
    """Whether shape or spread left all bounds: too few ends for an estimate."""
    (place,) = fit.model.places.values()
    spots = [at for at in (place.shape, place.spread) if at is not None]
    return bool((fit.params[spots] > FAR).any())


def _shown(fit: PlainFit) -> np.ndarray:
    """The covariance with nan where there is no estimate."""
    cov = fit.cov.copy()
    blank = fit.loose | fit.gone
    cov[blank, :] = cov[:, blank] = np.nan
    return cov


def _never(model: WearModel, mean: np.ndarray, cov: np.ndarray, unknown: set[str]) -> set[str]:
    """Terms of a constant hazard that had hours but no end: the estimate is 0, written in place."""
    done = set()
    for name, place in model.places.items():
        hours = model.spells[name].hours.sum(axis=0)
        for at, ran in zip(range(len(mean))[place.rates], hours, strict=True):
            if ran > 0 and model.terms[at] in unknown:
                mean[at] = NEVER
                cov[at, :] = cov[:, at] = 0.0
                done.add(model.terms[at])
    return done
