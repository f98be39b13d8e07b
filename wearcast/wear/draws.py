"""Draws of the wear of what the machines carry now.

Each draw is one set of parameters for the whole fleet, and then, given that set, what each machine
and site does, one habit a site and the quarters ahead: so that what is shared moves together.
"""

from collections.abc import Mapping
from dataclasses import replace
from typing import NamedTuple

import numpy as np
import pandas as pd

from wearcast.wear.causes import LAWS
from wearcast.wear.covariates import OPERATOR, PLACE_EFFECTS
from wearcast.wear.fitting.off import draw_off
from wearcast.wear.habits import NO_HABIT, draw_habit
from wearcast.wear.pace import Exposure, common_rates, machine_exposure
from wearcast.wear.posterior import class_params, columns, draw_block
from wearcast.wear.records import Block, Wear, WearDraws
from wearcast.wear.streams import machine_stream
from wearcast.wear.unseen import Drawn, draw_operator, draw_sds, priced_sites, with_unseen

QUARTERS_AHEAD = 24
"""Quarters for which a stress is drawn; later ones repeat the last."""


class _Ask(NamedTuple):
    """What is drawn for."""

    wear: Wear
    seed: int
    draws: int
    floors: tuple[str, ...]
    worn: Drawn
    torn: Drawn

    def stream(self, machine: str, purpose: str) -> np.random.Generator:
        return machine_stream(self.seed, machine, purpose)


def draw_wear(
    wear: Wear,
    running: pd.DataFrame,
    running_exposure: pd.DataFrame,
    seed: int,
    draws: int,
    parts: pd.DataFrame | None = None,
    *,
    stranger: bool = False,
) -> WearDraws:
    """Wear of the running positions, one set of parameters a draw.

    Parameters
    ----------
    wear : Wear
    running : DataFrame
        Index 0..n-1: machine, site, position, wears_as, kind, edges. Machines, classes and sites
        that the fit has not seen draw from the fleet or from the priors.
    running_exposure : DataFrame
        Its columns are the floors of the result, in order.
    seed, draws : int
    parts : DataFrame, optional
        Catalogue (wears_as, usual_hours) for classes that the fit has not seen.
    stranger : bool
        Somebody else runs these machines: how operators differ is drawn, too.

    Returns
    -------
    WearDraws
        The floor axis follows the columns of `running_exposure`.
    """
    floors = tuple(map(str, running_exposure.columns))
    kinds = dict(zip(running["wears_as"].astype(str), running["kind"].astype(str), strict=True))
    kinds = {name: kinds[name] for name in sorted(kinds)}
    usual = _usual_hours(parts)
    worn, torn = (
        _draw_law(block, (kinds, floors), usual, seed, draws) for block in (wear.worn, wear.torn)
    )
    ask = _Ask(wear, seed, draws, floors, worn, torn)
    slots, size = len(running), len(floors)
    rate = np.empty((slots, draws, size), np.float32)
    damage = np.empty((slots, draws, size), np.float32)
    shape, pace, off_rate, off_shape = (np.empty((slots, draws)) for _ in range(4))
    site_lift, machine_lift = (np.empty((slots, draws), np.float32) for _ in range(2))
    sites = _site_draws(running, ask, stranger=stranger)
    tear = _tear_draws(running, ask)
    everywhere = _operator_draws(wear.worn, running, ask, stranger=stranger)
    tells = stranger and OPERATOR in wear.torn.spreads
    tearing = _operator_draws(wear.torn, running, ask, stranger=tells)
    paces = _machine_draws(running, ask)
    for (name, site), group in running.groupby(["wears_as", "site"], sort=True):
        at, name, site = group.index.to_numpy(), str(name), str(site)
        params = class_params(*ask.worn, name, floors, _place_terms(name))
        site_lift[at] = sites[name, site] + everywhere[name]
        machine_lift[at] = paces.common[paces.row[at]]
        lift = _place_rows(wear, name, group) @ params.effects.T + site_lift[at] + machine_lift[at]
        rate[at] = np.exp(params.log_rates[None] + lift[:, :, None])
        shape[at] = np.exp(params.log_shape)
        pace[at] = paces.own[name][paces.row[at]]
        torn_rates = class_params(*ask.torn, name, floors).log_rates
        damage[at] = np.exp(torn_rates + (tear[site] + tearing[name])[:, None])
        off_rate[at], off_shape[at] = draw_off(
            wear.off, name, site, ask.stream("", f"taken off {name} {site}"), draws
        )
    stress, site_of = _stress(running, ask)
    return WearDraws(
        rate, shape, pace, damage, off_rate, off_shape, *_habits(running, ask), stress, site_of,
        site_lift, machine_lift, _twins(running, wear),
    )  # fmt: skip


def _usual_hours(parts: pd.DataFrame | None) -> dict[str, float]:
    """Geometric mean of the usual hours by class."""
    if parts is None or not len(parts):
        return {}
    hours = parts["usual_hours"].astype(float)
    logs = pd.Series(np.log(hours.where(hours > 0)), index=parts.index)
    means = logs.groupby(parts["wears_as"]).mean()
    return {str(name): float(np.exp(mean)) for name, mean in means.items()}


def _draw_law(
    block: Block,
    wanted: tuple[Mapping[str, str], tuple[str, ...]],
    usual_hours: Mapping[str, float],
    seed: int,
    draws: int,
) -> Drawn:
    """Draws of a block, with what is unseen added."""
    values = draw_block(block, machine_stream(seed, "", f"parameters {block.name}"), draws)
    rng = machine_stream(seed, "", f"unseen {block.name}")
    return with_unseen(block, values, wanted, usual_hours, rng)


def _place_terms(name: str) -> tuple[str, ...]:
    """Names of what a place does, as in `Wear.place_effects`."""
    return tuple(f"{effect}[{name}]" for effect in PLACE_EFFECTS)


def _place_rows(wear: Wear, name: str, slots: pd.DataFrame) -> np.ndarray:
    """What each slot's place has of each effect: array (slots, effects)."""
    keys = zip(slots["machine"].astype(str), slots["position"].astype(str), strict=True)
    none = (0.0,) * len(PLACE_EFFECTS)
    found = [
        wear.place_effects.get((name, machine, position))
        or wear.place_effects.get((name, "", position), none)
        for machine, position in keys
    ]
    return np.array(found, dtype=float).reshape(-1, len(PLACE_EFFECTS))


def _site_draws(
    running: pd.DataFrame, ask: _Ask, *, stranger: bool
) -> dict[tuple[str, str], np.ndarray]:
    """What each site does to each class, as a log rate: by (class, site) an array (draws,).

    A site that the fit has not seen is drawn anew, with how much sites differ.
    """
    spreads, draws = ask.wear.worn.spreads, ask.draws
    if stranger:
        spreads = priced_sites(spreads)
    sds = {
        effect: draw_sds(spreads, effect, ask.stream("", f"spread of {effect}"), draws)
        for effect in ("site", "site own")
    }
    found = {}
    for name, site in _pairs(running):
        known = (f"site[{site}]", f"site own[{site}, {name}]")
        total = columns(*ask.worn, known).sum(axis=1)
        for effect, term in zip(sds, known, strict=True):
            if term not in ask.worn.terms and _has_sites(ask.wear):
                total = total + sds[effect] * ask.stream("", f"{term}").standard_normal(draws)
        found[name, site] = total
    return found


def _operator_draws(
    block: Block, running: pd.DataFrame, ask: _Ask, *, stranger: bool
) -> dict[str, np.ndarray]:
    """What the operator does to each class, as a log rate, by class an array (draws,).

    Nothing where it is the operator of the log.
    """
    names = sorted(set(running["wears_as"].astype(str)))
    if not stranger:
        return dict.fromkeys(names, np.zeros(ask.draws))

    def stream(purpose: str) -> np.random.Generator:
        return ask.stream("", purpose if block.name == "worn" else f"torn {purpose}")

    return draw_operator(block, names, stream, ask.draws)


def _has_sites(wear: Wear) -> bool:
    """Whether the fit knows of sites at all (data only does not)."""
    return bool(wear.worn.spreads) or not wear.worn.terms


def _tear_draws(running: pd.DataFrame, ask: _Ask) -> dict[str, np.ndarray]:
    """What each site does to damage, as a log: by site an array (draws,)."""
    spreads, draws = ask.wear.torn.spreads, ask.draws
    found = {}
    for site in sorted(set(running["site"].astype(str))):
        term = f"site[{site}]"
        if term in ask.torn.terms or not spreads:
            found[site] = columns(*ask.torn, (term,))[:, 0]
        else:
            sd = draw_sds(spreads, "site", ask.stream("", "spread of torn sites"), draws)
            found[site] = sd * ask.stream("", f"torn {term}").standard_normal(draws)
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


def _machine_draws(running: pd.DataFrame, ask: _Ask) -> _Paces:
    """One log rate a machine, one pace a machine and class, given the parameters."""
    machines, row = np.unique(running["machine"].to_numpy(str), return_inverse=True)
    names = tuple(machines.tolist())
    wear, draws = ask.wear, ask.draws
    exposures = {}
    for name in sorted({*wear.spells, *running["wears_as"].astype(str)}):
        group = wear.spells.get(name)
        if group is None or not set(group.machines) & set(names):
            continue
        params = class_params(*ask.worn, name, wear.floors, group.effect_names)
        exposures[name] = machine_exposure(group, params, names)
    common = np.zeros((len(names), draws))
    if "machine" in wear.worn.spreads or not wear.worn.terms:
        sd = draw_sds(wear.worn.spreads, "machine", ask.stream("", "spread of machine"), draws)
        given = common_rates(list(exposures.values()), sd, len(names))
        for at, title in enumerate(names):
            normal = ask.stream(title, "common").standard_normal(draws)
            common[at] = given.mean[at] + given.sd[at] * normal
    own = {
        name: _own_paces(name, names, exposures.get(name), common, ask)
        for name in sorted(set(running["wears_as"].astype(str)))
    }
    return _Paces(row, common, own)


def _own_paces(
    name: str, names: tuple[str, ...], exposure: Exposure | None, common: np.ndarray, ask: _Ask
) -> np.ndarray:
    """Array (machines, draws): pace z of each machine in one class."""
    params = class_params(*ask.worn, name, ())
    pace = np.ones((len(names), ask.draws))
    if not (params.spread > 0).all():
        return pace
    blank = np.zeros((len(names), 1))
    worn, summed = (exposure.worn, exposure.load) if exposure else (blank, blank)
    rate = 1 / params.spread + summed * np.exp(np.exp(params.log_shape) * common)
    for at, title in enumerate(names):
        rng = ask.stream(title, f"pace {name}")
        pace[at] = rng.standard_gamma(1 / params.spread + worn[at]) / rate[at]
    return pace


def _habits(running: pd.DataFrame, ask: _Ask) -> tuple[np.ndarray, np.ndarray]:
    """`WearDraws.habit` and `WearDraws.habit_of`: one value a site, class, law and edge."""
    keys = pd.MultiIndex.from_frame(running[["wears_as", "site"]].astype(str))
    pairs = pd.MultiIndex.from_tuples(_pairs(running), names=["wears_as", "site"])
    edges = running["edges"].groupby(running["wears_as"].astype(str)).max()
    most = max(int(edges.max()) if len(edges) else 1, 1)
    habit = np.ones((len(pairs), len(LAWS), most, ask.draws), np.float32)
    for at, (name, site) in enumerate(pairs):
        if edges[name] < 2:
            continue
        for number, law in enumerate(LAWS):
            known = ask.wear.habits.get((name, law), NO_HABIT)
            rng = ask.stream("", f"habit {name} {law} {site}")
            drawn = draw_habit(known, site, int(edges[name]), rng, ask.draws)
            habit[at, number, : len(drawn)] = drawn
    return habit, pairs.get_indexer(keys).astype(np.int64)


def _stress(running: pd.DataFrame, ask: _Ask) -> tuple[np.ndarray, np.ndarray]:
    """`WearDraws.stress` and `WearDraws.site_of`: quarters ahead, the fleet's and each site's."""
    sites, row = np.unique(running["site"].to_numpy(str), return_inverse=True)
    shape = (ask.draws, QUARTERS_AHEAD)
    spreads = ask.wear.worn.spreads
    if "quarter" not in spreads:
        return np.ones((len(sites), ask.draws, 1), np.float32), row
    sd = draw_sds(spreads, "quarter", ask.stream("", "spread of quarter"), ask.draws)
    log = np.repeat(
        (sd[:, None] * ask.stream("", "quarters").standard_normal(shape))[None], len(sites), axis=0
    )
    own = draw_sds(spreads, "site quarter", ask.stream("", "spread of site quarter"), ask.draws)
    for at, site in enumerate(sites.tolist()):
        log[at] += own[:, None] * ask.stream("", f"quarters {site}").standard_normal(shape)
    return np.exp(log).astype(np.float32), row


def _twins(running: pd.DataFrame, wear: Wear) -> np.ndarray:
    """Slots whose edges are handled together: the other position of a class on one machine."""
    twin = np.full(len(running), -1)
    paired = running["wears_as"].astype(str).map(wear.paired).fillna(0.0) > PAIRED
    groups = running[paired].groupby(["machine", "wears_as"], sort=True).indices
    place = running.index[paired].to_numpy()
    for at in groups.values():
        if len(at) == 2:
            twin[place[at[1]]] = place[at[0]]
    return twin


PAIRED = 0.5
"""Share of ends at which the partner is handled too, from which both are kept together ahead."""


def of_draws(wear: WearDraws, chosen: np.ndarray) -> WearDraws:
    """Some of the draws only."""
    return replace(
        wear,
        rate=wear.rate[:, chosen],
        shape=wear.shape[:, chosen],
        pace=wear.pace[:, chosen],
        damage=wear.damage[:, chosen],
        off_rate=wear.off_rate[:, chosen],
        off_shape=wear.off_shape[:, chosen],
        habit=wear.habit[:, :, :, chosen],
        stress=wear.stress[:, chosen],
        site_lift=wear.site_lift[:, chosen],
        machine_lift=wear.machine_lift[:, chosen],
    )


def of_slots(wear: WearDraws, slots: np.ndarray) -> WearDraws:
    """Some of the slots only."""
    return replace(
        wear,
        rate=wear.rate[slots],
        shape=wear.shape[slots],
        pace=wear.pace[slots],
        damage=wear.damage[slots],
        off_rate=wear.off_rate[slots],
        off_shape=wear.off_shape[slots],
        habit_of=wear.habit_of[slots],
        site_of=wear.site_of[slots],
        site_lift=wear.site_lift[slots],
        machine_lift=wear.machine_lift[slots],
        twin=wear.twin[slots],
    )
