"""Many sites: some tell the laws, and each of the others what is its own, given these.

Sites touch each other through the laws only. So in a large fleet the laws are fitted on some of its
sites, and what every other site does (its levels of the effects) on its own spells, the laws known:
the cost grows with the fleet and not with a power of it. What the laws leave open moves all sites
together, for a site's levels are kept as a Gaussian given them (`wearcast.wear.records.Given`).
"""

from collections import Counter
from collections.abc import Callable, Mapping
from dataclasses import replace
from functools import lru_cache
from hashlib import sha256
from typing import NamedTuple

import numpy as np

from wearcast.wear.arrow import raised
from wearcast.wear.class_spells import joined, rows_by, some_spells
from wearcast.wear.covariates import effect_of
from wearcast.wear.fitting.laws import LawFit, fit_law
from wearcast.wear.fitting.marginal import bias_correction
from wearcast.wear.fitting.model import Prior, WearModel
from wearcast.wear.fitting.prior_at import prior_of
from wearcast.wear.priors import CellPrior, Centre
from wearcast.wear.records import Block, ClassSpells, Given

MANY_SITES = 45
"""A fleet of more sites than this is fitted on some of them."""
SOME_SITES = 30
"""So many tell the laws: how far sites differ is then known to an eighth."""
ENOUGH_SPELLS = 1000
"""Of a class that has fewer at those sites, more sites are taken while there are any."""
AT_ONCE = 8
"""Sites whose own levels are found together."""
STEPS = 30

Both = tuple[ClassSpells, ClassSpells]
"""Spells of a class, and those that began before anybody watched."""
Groups = Mapping[str, tuple[ClassSpells, np.ndarray]]
"""By class: both together, and which are first ones, bool array (spells,)."""
Where = Mapping[str, tuple[Mapping[str, np.ndarray], ...]]
"""By class: the places of both by site."""
Build = Callable[[Groups], WearModel]


def fit_by_sites(
    name: str,
    every: Mapping[str, Both],
    build: Build,
    cells: CellPrior,
    centres: Mapping[str, Centre],
    sds: Mapping[str, float] | None = None,
    begin: Mapping[str, float] | None = None,
    *,
    rough: bool = False,
) -> LawFit:
    """One law, as `fit_law` of all spells at once, or of some sites where there are many.

    Parameters
    ----------
    name : str
        Of the block.
    every : mapping
        By wear class, see `Both`. They are put together for the sites that are fitted at once: all
        of a large fleet would stand in memory twice.
    build : callable
        Groups to the likelihood model.
    cells, centres, sds, begin, rough
        As for `fit_law`.
    """
    where = {name: tuple(rows_by(one.site) for one in both) for name, both in every.items()}
    telling, others = telling_sites(where)
    if others:
        model = build(at_sites(every, where, telling))
    else:
        model = build({name: joined(*both) for name, both in every.items()})
    law = fit_law(name, model, cells, centres, sds, begin, rough=rough)
    found = []
    for first in range(0, len(others), AT_ONCE):
        model = build(at_sites(every, where, others[first : first + AT_ONCE]))
        found.append(_levels(law, model, centres, begin or {}, rough=rough))
    return _with_levels(law, found) if found else law


def telling_sites(where: Where) -> tuple[list[str], list[str]]:
    """The sites that tell the laws (all, or of many some, always the same), and the others.

    Parameters
    ----------
    where : mapping
        By wear class and site: places of the spells, see `Where`.
    """
    counts = {
        name: sum(
            (Counter({site: len(at) for site, at in rows.items()}) for rows in both), Counter()
        )
        for name, both in where.items()
    }
    names = {site for known in counts.values() for site in known}
    # An order that has nothing to do with the names.
    sites = sorted(names, key=lambda site: sha256(site.encode()).digest())
    if len(sites) <= MANY_SITES:
        return sites, []
    chosen = dict.fromkeys(sites[:SOME_SITES])
    for here in counts.values():
        known = sum(here[site] for site in chosen)
        for site in (site for site in sites if site in here and site not in chosen):
            if known >= ENOUGH_SPELLS:
                break
            chosen[site] = None
            known += here[site]
    return list(chosen), [site for site in sites if site not in chosen]


def at_sites(every: Mapping[str, Both], where: Where, sites: list[str]) -> Groups:
    """The spells at some sites, without the levels of the others.

    A machine that moved is another one at each site: what it brings along is small.
    """
    found = {}
    for name, both in every.items():
        some, first = joined(
            *(
                some_spells(one, _at(rows, sites))
                for one, rows in zip(both, where[name], strict=True)
            )
        )
        seen = np.concatenate([some.effects.indices, some.end_effects.indices])
        keep = np.union1d(seen, _shared(some.effect_names)).astype(int)
        some = replace(
            some,
            effect_names=tuple(some.effect_names[at] for at in keep),
            effects=some.effects[:, keep],
            end_effects=some.end_effects[:, keep],
        )
        found[name] = (some, first)
    return found


def _at(rows: Mapping[str, np.ndarray], sites: list[str]) -> np.ndarray:
    """Places of the spells at some sites, ascending; `rows` by site."""
    at = [rows[site] for site in sites if site in rows]
    return np.sort(np.concatenate([*at, np.empty(0, dtype=int)]))


@lru_cache(maxsize=100)
def _shared(terms: tuple[str, ...]) -> np.ndarray:
    """Places of the effects that are no site's."""
    return np.flatnonzero([not is_own(term) for term in terms])


def is_own(term: str) -> bool:
    """Whether a term is a level of what one site does."""
    return effect_of(term).startswith("site")


class _Levels(NamedTuple):
    """What some sites do, given the law."""

    terms: tuple[str, ...]
    values: np.ndarray
    """array (terms,)"""
    given: Given
    llf: float


def _levels(
    law: LawFit,
    model: WearModel,
    centres: Mapping[str, Centre],
    begin: Mapping[str, float],
    *,
    rough: bool,
) -> _Levels:
    """The levels of some sites, the law being known; `model` is of the spells there."""
    if law.settings is None or law.settled is None:
        raise ValueError("the levels of sites need a law that was fitted with priors")
    own = np.array([is_own(term) for term in model.terms], dtype=bool)
    prior = prior_of(model, centres, law.settings)
    params = prior.mean.copy()
    for at, term in enumerate(model.terms):
        params[at] = law.settled.get(term, begin.get(term, params[at]))
    params = model.optimum(params, prior, ~own, STEPS).params
    if not rough:
        params[: model.size] += bias_correction(model, params, prior, ~own)
    return _Levels(
        tuple(term for term, mine in zip(model.terms, own, strict=True) if mine),
        params[: model.size][own],
        _given(model, params, prior, own, law.block),
        model.loglike(model.to_rates(params)),
    )


def _with_levels(law: LawFit, found: list[_Levels]) -> LawFit:
    """A law with what was found of the sites that did not tell it."""
    terms = tuple(term for one in found for term in one.terms)
    values = np.concatenate([one.values for one in found])
    block = replace(
        law.block,
        terms=(*law.block.terms, *terms),
        mean=np.concatenate([law.block.mean, values]),
        llf=law.block.llf + sum(one.llf for one in found),
        given=tuple(one.given for one in found),
    )
    settled = {**(law.settled or {}), **dict(zip(terms, values.tolist(), strict=True))}
    return law._replace(block=block, settled=settled)


def _given(
    model: WearModel, params: np.ndarray, prior: Prior, own: np.ndarray, block: Block
) -> Given:
    """How the levels of some sites (`own`, bool array (terms,)) lie around what was found."""
    steep = model.derivatives(params, life_scale=True).hessian.minus()
    solved = raised(steep.without(~own), prior.weight.without(~own))
    across = steep.body[np.ix_(own, ~own)] - (solved.arms / solved.tips) @ steep.arms[~own].T
    cov = solved.body_cov()
    # The jacobian is 1 and something that, applied twice, is nothing: its inverse is 2 less it.
    back = 2 * np.eye(model.size) - model.rates_jacobian(params)
    place = {term: at for at, term in enumerate(block.terms)}
    shared = [term for term, mine in zip(model.terms, own, strict=True) if not mine]
    on = np.array([place[term] for term in shared], dtype=int)
    return Given(on, -cov @ across @ back[np.ix_(~own, ~own)], cov)
