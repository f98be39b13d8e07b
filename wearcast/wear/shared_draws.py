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
from wearcast.wear.pace import (
    Exposure,
    MachineRows,
    common_rates,
    machine_exposure,
    machine_rows,
    of_machines,
)
from wearcast.wear.posterior import Drawn, class_params, columns
from wearcast.wear.records import Block, Wear
from wearcast.wear.streams import machine_stream
from wearcast.wear.unseen import draw_operator, draw_sds

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
    quarters: dict[str, np.ndarray]
    """By class: what the quarters ahead do to it everywhere, arrays (draws, quarters) of logs;
    empty where the fit knows of no quarters"""

    known_quarters: dict[tuple[str, str], list[tuple[str, int]]]
    """By effect of quarters and place: its terms in the fit, and the quarter of each"""
    rows: dict[str, MachineRows]
    """By class: where the spells of each machine stand"""

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
        total = columns(fleet.worn, known).sum(axis=1)
        for effect, term in zip(sds, known, strict=True):
            if term not in fleet.worn.places and _has_sites(fleet.wear):
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
        if term in fleet.torn.places or not spreads:
            found[site] = columns(fleet.torn, (term,))[:, 0]
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
    for name in sorted(wear.spells):
        group = of_machines(wear.spells[name], fleet.rows[name], names)
        if group.machines:
            params = class_params(fleet.worn, name, wear.floors, group.effect_names)
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
    params = class_params(fleet.worn, name, ())
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


def quarter_draws(running: pd.DataFrame, fleet: FleetDraws) -> np.ndarray:
    """`WearDraws.stress`: what the quarters ahead do everywhere, to a kind of wear and at a site.

    Array (sites and classes, draws, quarters) of factors on hours.
    """
    pairs = _pairs(running)
    if not fleet.quarters or not pairs:
        return np.ones((len(pairs), fleet.draws, 1), np.float32)
    sites = {site: _ahead(fleet, "site quarter", site) for site in {site for _, site in pairs}}
    log = np.array([fleet.quarters[name] + sites[site] for name, site in pairs])
    return np.asarray(np.exp(log), np.float32)


def whole_fleet(
    wear: Wear, laws: tuple[Drawn, Drawn], edges: dict[str, int], floors: tuple[str, ...], seed: int
) -> FleetDraws:
    """What all slots share; `laws` are drawn of wear and damage, `edges` as in `FleetDraws`."""
    worn, torn = laws
    known: dict[tuple[str, str], list[tuple[str, int]]] = {}
    for term in worn.terms:
        if (effect := effect_of(term)) in STAYS:
            quarter, place = quarter_of_term(term)
            known.setdefault((effect, place), []).append((term, quarter))
    rows = {name: machine_rows(group) for name, group in wear.spells.items()}
    draws = len(worn.values)
    fleet = FleetDraws(wear, seed, draws, floors, worn, torn, edges, {}, known, rows)
    return fleet._replace(quarters=_quarters_ahead(fleet))


def _quarters_ahead(fleet: FleetDraws) -> dict[str, np.ndarray]:
    """`FleetDraws.quarters`: by class arrays (draws, quarters) of logs."""
    if "quarter" not in fleet.wear.worn.spreads:
        return {}
    everywhere = _ahead(fleet, "quarter", "")
    return {name: everywhere + _ahead(fleet, "class quarter", name) for name in fleet.edges}


def _ahead(fleet: FleetDraws, effect: str, place: str) -> np.ndarray:
    """Levels of an effect of quarters ahead at a place: array (draws, quarters) of logs.

    Each has its own, what stays changed goes on from the newest quarter of the log, and what comes
    with the season comes again.
    """
    sd, stays, returns = (
        draw_sds(fleet.wear.worn.spreads, one, fleet.stream("", f"spread of {one}"), fleet.draws)
        for one in (effect, STAYS[effect], RETURNS[effect])
    )
    own, shape = sd / np.sqrt(1 + stays + returns), (fleet.draws, QUARTERS_AHEAD)
    normal = fleet.stream("", f"{effect} {place}").standard_normal(shape)
    steps = fleet.stream("", f"{effect} {place} on").standard_normal(shape)
    fresh = normal + np.sqrt(stays)[:, None] * np.cumsum(steps, axis=1)
    season = _seasons(fleet, effect, place, (own, stays, returns))
    coming = -np.arange(1, QUARTERS_AHEAD + 1) % 4
    return np.asarray(own[:, None] * fresh + season[:, coming])


def _seasons(
    fleet: FleetDraws, effect: str, place: str, drawn: tuple[np.ndarray, np.ndarray, np.ndarray]
) -> np.ndarray:
    """What returns with each season, given the quarters of the log: array (draws, 4) of logs.

    Season 0 is that of the newest quarter, 1 of the one before. Normal given normal; `drawn` are
    arrays (draws,): the sd of what is a quarter's own, the odds of what stays and what returns.
    """
    own, stays, returns = (one[:, None, None] for one in drawn)
    known = fleet.known_quarters.get((effect, place), [])
    quarters = np.array([quarter for _, quarter in known], dtype=int)
    kept = kept_of(quarters, effect)
    odds = {STAYS[effect]: stays, RETURNS[effect]: returns}
    whole = np.eye(len(known)) + sum(odds[name] * kept[name] for name in kept)
    shared = returns * np.equal.outer(quarters % 4, np.arange(4))
    gain = np.linalg.solve(whole, shared).transpose(0, 2, 1)
    left = np.linalg.cholesky(returns * np.eye(4) - gain @ shared + 1e-9 * np.eye(4))
    level = columns(fleet.worn, tuple(term for term, _ in known))
    normal = fleet.stream("", f"seasons of {effect} {place}").standard_normal((fleet.draws, 4))
    return np.asarray((gain @ level[:, :, None] + own * left @ normal[:, :, None])[:, :, 0])
