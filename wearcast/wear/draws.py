"""Draws of the wear of what the machines carry now.

Each draw is one set of parameters for the whole fleet, and then, given that set, what each machine
and site does, one habit a site and the quarters ahead: so that what is shared moves together.
"""

from collections.abc import Mapping
from dataclasses import replace

import numpy as np
import pandas as pd

from wearcast.wear.covariates import OPERATOR, PLACE_EFFECTS
from wearcast.wear.fitting.off import draw_off
from wearcast.wear.posterior import Drawn, class_params, draw_block
from wearcast.wear.records import Block, Wear, WearDraws
from wearcast.wear.shared_draws import (
    FleetDraws,
    habit_draws,
    machine_draws,
    operator_draws,
    quarter_draws,
    site_draws,
    tear_draws,
    whole_fleet,
)
from wearcast.wear.streams import machine_stream
from wearcast.wear.unseen import with_unseen


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
    fleet = draw_fleet(wear, running, floors, seed, draws, parts)
    return draw_slots(fleet, running, stranger=stranger)


def draw_fleet(
    wear: Wear,
    running: pd.DataFrame,
    floors: tuple[str, ...],
    seed: int,
    draws: int,
    parts: pd.DataFrame | None = None,
) -> FleetDraws:
    """What all positions share, drawn once; see `draw_wear` for what is taken."""
    kinds = dict(zip(running["wears_as"].astype(str), running["kind"].astype(str), strict=True))
    kinds = {name: kinds[name] for name in sorted(kinds)}
    usual = _usual_hours(parts)
    worn, torn = (
        _draw_law(block, (kinds, floors), usual, seed, draws) for block in (wear.worn, wear.torn)
    )
    most = running.groupby(running["wears_as"].astype(str))["edges"].max()
    edges = {str(name): int(number) for name, number in most.items()}
    return whole_fleet(wear, (worn, torn), edges, floors, seed)


def draw_slots(fleet: FleetDraws, running: pd.DataFrame, *, stranger: bool = False) -> WearDraws:
    """Wear of some running positions (index 0..n-1), by the fleet's draws.

    What comes out for a position is the same whichever others it is drawn with.
    """
    wear, draws = fleet.wear, fleet.draws
    slots, size = len(running), len(fleet.floors)
    rate = np.empty((slots, draws, size), np.float32)
    damage = np.empty((slots, draws, size), np.float32)
    shape, pace, off_rate, off_shape = (np.empty((slots, draws)) for _ in range(4))
    site_lift, machine_lift = (np.empty((slots, draws), np.float32) for _ in range(2))
    sites = site_draws(running, fleet)
    tear = tear_draws(running, fleet)
    everywhere = operator_draws(wear.worn, running, fleet, stranger=stranger)
    tells = stranger and OPERATOR in wear.torn.spreads
    tearing = operator_draws(wear.torn, running, fleet, stranger=tells)
    paces = machine_draws(running, fleet)
    for (name, site), group in running.groupby(["wears_as", "site"], sort=True):
        at, name, site = group.index.to_numpy(), str(name), str(site)
        params = class_params(fleet.worn, name, fleet.floors, _place_terms(name))
        site_lift[at] = sites[name, site] + everywhere[name]
        machine_lift[at] = paces.common[paces.row[at]]
        lift = _place_rows(wear, name, group) @ params.effects.T + site_lift[at] + machine_lift[at]
        rate[at] = np.exp(params.log_rates[None] + lift[:, :, None])
        shape[at] = np.exp(params.log_shape)
        pace[at] = paces.own[name][paces.row[at]]
        torn_rates = class_params(fleet.torn, name, fleet.floors).log_rates
        damage[at] = np.exp(torn_rates + (tear[site] + tearing[name])[:, None])
        off_rate[at], off_shape[at] = draw_off(
            wear.off, name, site, fleet.stream("", f"taken off {name} {site}"), draws
        )
    return WearDraws(
        rate, shape, pace, damage, off_rate, off_shape, *habit_draws(running, fleet),
        quarter_draws(running, fleet), site_lift, machine_lift, _twins(running, wear),
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
    """Some of the draws only.

    `chosen`: array (some,) of numbers of draws.
    """
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
    """Some of the slots only.

    `slots`: array (some,) of places of slots, or (slots,) of bool: True is kept.
    """
    return replace(
        wear,
        rate=wear.rate[slots],
        shape=wear.shape[slots],
        pace=wear.pace[slots],
        damage=wear.damage[slots],
        off_rate=wear.off_rate[slots],
        off_shape=wear.off_shape[slots],
        habit_of=wear.habit_of[slots],
        site_lift=wear.site_lift[slots],
        machine_lift=wear.machine_lift[slots],
        twin=wear.twin[slots],
    )
