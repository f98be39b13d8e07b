"""Draws of the wear of what the machines carry now.

Each draw is one set of parameters for the whole fleet, and then, given that set, one pace a
machine and wear class and one habit a site: so that what the fleet shares moves together.
"""

from typing import NamedTuple

import numpy as np
import pandas as pd

from wearcast.wear.blocks import ClassParams, class_params, draw_block
from wearcast.wear.fitting.ends import ANYWHERE
from wearcast.wear.gather import some_spells
from wearcast.wear.pace import machine_exposure
from wearcast.wear.records import ClassSpells, Wear, WearDraws
from wearcast.wear.streams import machine_stream
from wearcast.wear.tables.edge_use import CAUSE_GROUPS, fit_habit
from wearcast.wear.unseen import Drawn, empty_block, with_unseen


class _Ask(NamedTuple):
    """What is drawn for."""

    wear: Wear
    seed: int
    draws: int
    floors: tuple[str, ...]
    usual_hours: dict[str, float]


def draw_wear(
    wear: Wear,
    running: pd.DataFrame,
    running_exposure: pd.DataFrame,
    seed: int,
    draws: int,
    parts: pd.DataFrame | None = None,
) -> WearDraws:
    """Wear of the running positions, one set of parameters a draw.

    Parameters
    ----------
    wear : Wear
    running : DataFrame
        Index 0..n-1: machine, site, position, wears_as, kind. Machines, classes and sites that
        the fit has not seen draw from the fleet or from the priors.
    running_exposure : DataFrame
        Its columns are the floors of the result, in order.
    seed, draws : int
    parts : DataFrame, optional
        Catalogue (wears_as, usual_hours) for classes that the fit has not seen.

    Returns
    -------
    WearDraws
        The floor axis follows the columns of `running_exposure`.
    """
    floors = tuple(map(str, running_exposure.columns))
    ask = _Ask(wear, seed, draws, floors, _usual_hours(parts))
    slots, size = len(running), len(floors)
    rate = np.empty((slots, draws, size), np.float32)
    damage = np.empty((slots, draws, size), np.float32)
    shape, pace, removal = (np.empty((slots, draws)) for _ in range(3))
    for kind, group in running.groupby("kind", sort=True):
        names = tuple(sorted(map(str, group["wears_as"].unique())))
        drawn = _draw_kind(str(kind), names, ask)
        for name in names:
            at = group.index[group["wears_as"].eq(name)].to_numpy()
            effects = _effects_of(wear, name)
            params = class_params(*drawn["wear"], name, floors, effects)
            rate[at] = _rates(params, _place_rows(wear, name, running.loc[at], len(effects)))
            shape[at] = np.exp(params.log_shape)
            pace[at] = _paces(name, running.loc[at, "machine"], drawn["wear"], ask)
            damage[at] = np.exp(class_params(*drawn["damaged"], name, floors).log_rates)
            off = class_params(*drawn["removed"], name, ANYWHERE)
            removal[at] = np.exp(off.log_rates[:, 0])
    habits = [_habits(cause, running, ask) for cause in CAUSE_GROUPS]
    return WearDraws(rate, shape, pace, damage, removal, *habits)


def _usual_hours(parts: pd.DataFrame | None) -> dict[str, float]:
    """Geometric mean of the usual hours by class."""
    if parts is None or not len(parts):
        return {}
    hours = parts["usual_hours"].astype(float)
    logs = pd.Series(np.log(hours.where(hours > 0)), index=parts.index)
    means = logs.groupby(parts["wears_as"]).mean()
    return {str(name): float(np.exp(mean)) for name, mean in means.items()}


def _draw_kind(kind: str, names: tuple[str, ...], ask: _Ask) -> dict[str, Drawn]:
    """Draws of the three blocks of a kind, with what is unseen added."""
    known = {block.name: block for block in ask.wear.blocks}
    drawn = {}
    for what in ("wear", "damaged", "removed"):
        title = f"{what}: {kind}"
        block = known.get(title) or empty_block(title)
        values = draw_block(block, machine_stream(ask.seed, "", f"parameters {title}"), ask.draws)
        floors = ANYWHERE if what == "removed" else ask.floors
        rng = machine_stream(ask.seed, "", f"unseen {title}")
        drawn[what] = with_unseen(block, values, (names, floors), ask.usual_hours, rng)
    return drawn


def _effects_of(wear: Wear, name: str) -> tuple[str, ...]:
    """Effects of a class; none if it was not in the fit."""
    return wear.spells[name].effect_names if name in wear.spells else ()


def _place_rows(wear: Wear, name: str, slots: pd.DataFrame, effects: int) -> np.ndarray:
    """Effects of each slot's place: array (slots, effects), 0 for a place not in the fit."""
    if not effects:
        return np.zeros((len(slots), 0))
    keys = zip(slots["machine"].astype(str), slots["position"].astype(str), strict=True)
    none = (0.0,) * effects
    return np.array([wear.place_effects.get((name, *key), none) for key in keys], dtype=float)


def _rates(params: ClassParams, effects: np.ndarray) -> np.ndarray:
    """Array (slots, draws, floors): wear a run hour."""
    lift = effects @ params.effects.T
    return np.asarray(np.exp(params.log_rates[None] + lift[:, :, None]))


def _paces(name: str, machine: pd.Series, drawn: Drawn, ask: _Ask) -> np.ndarray:
    """Array (slots, draws): pace of each slot's machine in this class, one a machine."""
    machines, place = np.unique(machine.to_numpy(str), return_inverse=True)
    group = ask.wear.spells.get(name)
    load = np.zeros((len(machines), ask.draws))
    worn = np.zeros(len(machines))
    spread = class_params(*drawn, name, ()).spread
    if group is not None and len(group.machines):
        group = _only_machines(group, set(machines.tolist()))
        params = class_params(*drawn, name, ask.wear.floors, group.effect_names)
        seen = np.searchsorted(machines, np.array(group.machines, dtype=str))
        exposure = machine_exposure(group, params)
        load[seen], worn[seen] = exposure.load, exposure.worn
    pace = np.ones((len(machines), ask.draws))
    if (spread > 0).all():
        for row, title in enumerate(machines.tolist()):
            rng = machine_stream(ask.seed, title, f"pace {name}")
            pace[row] = rng.standard_gamma(1 / spread + worn[row]) / (1 / spread + load[row])
    return pace[place]


def _only_machines(group: ClassSpells, machines: set[str]) -> ClassSpells:
    """The spells of some machines of a class."""
    chosen = np.array([title in machines for title in group.machines], dtype=bool)
    return group if chosen.all() else some_spells(group, chosen[group.machine])


def _habits(cause: str, running: pd.DataFrame, ask: _Ask) -> np.ndarray:
    """Array (slots, draws): chance to replace early, one value a site and wear class."""
    out = np.zeros((len(running), ask.draws))
    nobody = np.zeros(0)
    for (name, site), group in running.groupby(["wears_as", "site"], sort=True):
        habit = ask.wear.habits.get((str(name), cause)) or fit_habit((), nobody, nobody)
        early = total = 0.0
        if str(site) in habit.site:
            at = habit.site.index(str(site))
            early, total = float(habit.replaced[at]), float(habit.ends[at])
        rng = machine_stream(ask.seed, "", f"habit {name} {cause} {site}")
        out[group.index] = rng.beta(habit.alpha + early, habit.beta + total - early, ask.draws)
    return out
