"""What slots share, by draw: their site, operator and machine, habits, the quarters ahead.

Every stream of chance has the name of what it is drawn for, so that no slot's numbers depend on
which others are drawn with it.
"""

from typing import NamedTuple

import numpy as np
import pandas as pd

from wearcast.wear.causes import LAWS
from wearcast.wear.covariates import RETURNS, STAYS, effect_of, quarter_of_term
from wearcast.wear.fitting.prior_at import kept_of
from wearcast.wear.habits import NO_HABIT, draw_habit
from wearcast.wear.life import steepness
from wearcast.wear.pace import Exposure, common_rates, machine_exposure
from wearcast.wear.posterior import class_params, columns
from wearcast.wear.records import Block, Wear
from wearcast.wear.streams import machine_stream
from wearcast.wear.unseen import Drawn, draw_operator, draw_sds

QUARTERS_AHEAD = 24
"""Quarters for which a stress is drawn; later ones repeat the last."""


class FleetDraws(NamedTuple):
    """The laws of the whole fleet, by draw."""

    wear: Wear
    seed: int
    draws: int
    floors: tuple[str, ...]
    worn: Drawn
    torn: Drawn
    edges: dict[str, int]
    """By class: the most edges that a part of it has."""

    def stream(self, machine: str, purpose: str) -> np.random.Generator:
        """The stream of chance of a machine, "" for the fleet, and a purpose."""
        return machine_stream(self.seed, machine, purpose)


def site_draws(running: pd.DataFrame, fleet: FleetDraws) -> dict[tuple[str, str], np.ndarray]:
    """What each site does to each class, as a log rate: by (class, site) an array (draws,).

    A site that the fit has not seen is drawn anew, with how much sites differ.
    """
    spreads, draws = fleet.wear.worn.spreads, fleet.draws
    sds = {
        effect: draw_sds(spreads, effect, fleet.stream("", f"spread of {effect}"), draws)
        for effect in ("site", "site own")
    }
    found = {}
    for name, site in _pairs(running):
        known = (f"site[{site}]", f"site own[{site}, {name}]")
        total = columns(*fleet.worn, known).sum(axis=1)
        for effect, term in zip(sds, known, strict=True):
            if term not in fleet.worn.terms and _has_sites(fleet.wear):
                total = total + sds[effect] * fleet.stream("", f"{term}").standard_normal(draws)
        found[name, site] = total
    return found


def operator_draws(
    block: Block, running: pd.DataFrame, fleet: FleetDraws, *, stranger: bool
) -> dict[str, np.ndarray]:
    """What the operator does to each class, as a log rate, by class an array (draws,).

    Nothing where it is the operator of the log.
    """
    names = sorted(set(running["wears_as"].astype(str)))
    if not stranger:
        return dict.fromkeys(names, np.zeros(fleet.draws))

    def stream(purpose: str) -> np.random.Generator:
        return fleet.stream("", purpose if block.name == "worn" else f"torn {purpose}")

    return draw_operator(block, names, stream, fleet.draws)


def _has_sites(wear: Wear) -> bool:
    """Whether the fit knows of sites at all (data only does not)."""
    return bool(wear.worn.spreads) or not wear.worn.terms


def tear_draws(running: pd.DataFrame, fleet: FleetDraws) -> dict[str, np.ndarray]:
    """What each site does to damage, as a log: by site an array (draws,)."""
    spreads, draws = fleet.wear.torn.spreads, fleet.draws
    found = {}
    for site in sorted(set(running["site"].astype(str))):
        term = f"site[{site}]"
        if term in fleet.torn.terms or not spreads:
            found[site] = columns(*fleet.torn, (term,))[:, 0]
        else:
            sd = draw_sds(spreads, "site", fleet.stream("", "spread of torn sites"), draws)
            found[site] = sd * fleet.stream("", f"torn {term}").standard_normal(draws)
    return found


def _pairs(running: pd.DataFrame) -> list[tuple[str, str]]:
    """Classes and sites that occur together."""
    pairs = running[["wears_as", "site"]].astype(str).drop_duplicates()
    return sorted(zip(pairs["wears_as"], pairs["site"], strict=True))


class _Paces(NamedTuple):
    """What machines do, by draw."""

    row: np.ndarray
    """int array (slots,) row of the slot's machine"""
    common: np.ndarray
    """array (machines, draws) log rate in common to all classes"""
    own: dict[str, np.ndarray]
    """By class: array (machines, draws) hazard multiplier z"""


def machine_draws(running: pd.DataFrame, fleet: FleetDraws) -> _Paces:
    """One log rate a machine, one pace a machine and class, given the parameters."""
    machines, row = np.unique(running["machine"].to_numpy(str), return_inverse=True)
    names = tuple(machines.tolist())
    wear, draws = fleet.wear, fleet.draws
    exposures = {}
    for name in sorted({*wear.spells, *running["wears_as"].astype(str)}):
        group = wear.spells.get(name)
        if group is None or not set(group.machines) & set(names):
            continue
        params = class_params(*fleet.worn, name, wear.floors, group.effect_names)
        exposures[name] = machine_exposure(group, params, names)
    common = np.zeros((len(names), draws))
    if "machine" in wear.worn.spreads or not wear.worn.terms:
        sd = draw_sds(wear.worn.spreads, "machine", fleet.stream("", "spread of machine"), draws)
        given = common_rates(list(exposures.values()), sd, len(names))
        for at, title in enumerate(names):
            normal = fleet.stream(title, "common").standard_normal(draws)
            common[at] = given.mean[at] + given.sd[at] * normal
    own = {
        name: _own_paces(name, names, exposures.get(name), common, fleet)
        for name in sorted(set(running["wears_as"].astype(str)))
    }
    return _Paces(row, common, own)


def _own_paces(
    name: str,
    names: tuple[str, ...],
    exposure: Exposure | None,
    common: np.ndarray,
    fleet: FleetDraws,
) -> np.ndarray:
    """Array (machines, draws): pace z of each machine in one class."""
    params = class_params(*fleet.worn, name, ())
    pace = np.ones((len(names), fleet.draws))
    if not (params.spread > 0).all():
        return pace
    blank = np.zeros((len(names), 1))
    worn, summed = (exposure.worn, exposure.load) if exposure else (blank, blank)
    rate = 1 / params.spread + summed * np.exp(steepness(params.log_shape) * common)
    for at, title in enumerate(names):
        rng = fleet.stream(title, f"pace {name}")
        pace[at] = rng.standard_gamma(1 / params.spread + worn[at]) / rate[at]
    return pace


def habit_draws(running: pd.DataFrame, fleet: FleetDraws) -> tuple[np.ndarray, np.ndarray]:
    """`WearDraws.habit` and `WearDraws.habit_of`: one value a site, class, law and edge.

    Arrays (sites and classes, laws, edges, draws) of chances, and (slots,) of rows in it.
    """
    keys = pd.MultiIndex.from_frame(running[["wears_as", "site"]].astype(str))
    pairs = pd.MultiIndex.from_tuples(_pairs(running), names=["wears_as", "site"])
    edges, most = fleet.edges, max([1, *fleet.edges.values()])
    habit = np.ones((len(pairs), len(LAWS), most, fleet.draws), np.float32)
    for at, (name, site) in enumerate(pairs):
        if edges[name] < 2:
            continue
        for number, law in enumerate(LAWS):
            known = fleet.wear.habits.get((name, law), NO_HABIT)
            rng = fleet.stream("", f"habit {name} {law} {site}")
            drawn = draw_habit(known, site, edges[name], rng, fleet.draws)
            habit[at, number, : len(drawn)] = drawn
    return habit, pairs.get_indexer(keys).astype(np.int64)


def quarter_draws(running: pd.DataFrame, fleet: FleetDraws) -> tuple[np.ndarray, np.ndarray]:
    """`WearDraws.stress` and `WearDraws.site_of`: quarters ahead, the fleet's and each site's.

    Arrays (sites, draws, quarters) of factors on hours, and (slots,) of rows in it.
    """
    sites, row = np.unique(running["site"].to_numpy(str), return_inverse=True)
    if "quarter" not in fleet.wear.worn.spreads or not len(sites):
        return np.ones((len(sites), fleet.draws, 1), np.float32), row
    everywhere = _ahead(fleet, "quarter", "quarters")
    log = np.stack([everywhere + _ahead(fleet, "site quarter", f"quarters {one}") for one in sites])
    return np.exp(log).astype(np.float32), row


def _ahead(fleet: FleetDraws, effect: str, purpose: str) -> np.ndarray:
    """Levels of an effect of quarters ahead: array (draws, quarters) of logs.

    Each has its own, what stays changed goes on from the newest quarter of the log, and what comes
    with the season comes again.
    """
    spreads, shape = fleet.wear.worn.spreads, (fleet.draws, QUARTERS_AHEAD)
    sd, stays, returns = (
        draw_sds(spreads, one, fleet.stream("", f"spread of {one}"), fleet.draws)[:, None]
        if one
        else np.zeros((fleet.draws, 1))
        for one in (effect, STAYS[effect], RETURNS.get(effect, ""))
    )
    own = sd / np.sqrt(1 + stays + returns)
    normal = fleet.stream("", purpose).standard_normal(shape)
    steps = fleet.stream("", f"{purpose} on").standard_normal(shape)
    fresh = normal + np.sqrt(stays) * np.cumsum(steps, axis=1)
    if effect not in RETURNS:
        return np.asarray(own * fresh)
    season = _seasons(fleet, effect, own, stays, returns)
    return np.asarray(own * fresh + season[:, -np.arange(1, QUARTERS_AHEAD + 1) % 4])


def _seasons(
    fleet: FleetDraws, effect: str, own: np.ndarray, stays: np.ndarray, returns: np.ndarray
) -> np.ndarray:
    """What returns with each season, given the quarters of the log: array (draws, 4) of logs.

    Season 0 is that of the newest quarter, 1 of the one before. Normal given normal; arrays
    (draws, 1): sd of what is a quarter's own, odds.
    """
    terms = tuple(term for term in fleet.worn.terms if effect_of(term) == effect)
    quarters = np.array([quarter_of_term(term)[0] for term in terms], dtype=int)
    kept = kept_of(quarters, effect)
    odds = {STAYS[effect]: stays[:, :, None], RETURNS[effect]: returns[:, :, None]}
    whole = np.eye(len(terms)) + sum(odds[name] * kept[name] for name in kept)
    with_season = odds[RETURNS[effect]] * np.equal.outer(np.arange(4), quarters % 4)
    gain = np.linalg.solve(whole, with_season.transpose(0, 2, 1)).transpose(0, 2, 1)
    left = returns[:, :, None] * np.eye(4) - gain @ with_season.transpose(0, 2, 1)
    level = columns(*fleet.worn, terms)
    normal = fleet.stream("", f"seasons of {effect}").standard_normal((fleet.draws, 4))
    by_chance = np.linalg.cholesky(left + 1e-9 * np.eye(4)) @ normal[:, :, None]
    return np.asarray((gain @ level[:, :, None] + own[:, :, None] * by_chance)[:, :, 0])


def class_draws(running: pd.DataFrame, fleet: FleetDraws) -> dict[str, np.ndarray]:
    """What the quarters ahead do to one kind of wear, as a log rate, by class an array (draws,).

    The mean over a year: a walk's mean over its first four quarters has a variance of 30/16 of a
    step's.
    """
    names = sorted(set(running["wears_as"].astype(str)))
    if "class quarter" not in fleet.wear.worn.spreads:
        return dict.fromkeys(names, np.zeros(fleet.draws))
    return {
        name: _ahead(fleet, "class quarter", f"quarters {name}")[:, :4].mean(axis=1)
        for name in names
    }
