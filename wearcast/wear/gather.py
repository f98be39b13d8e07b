"""From the history's tables to the arrays of each wear class.

A spell counts here if the history says so (``in_fit``) and it has run at all; everything is put
into one order first, so that nothing depends on the order of rows.
"""

from typing import NamedTuple

import numpy as np
import pandas as pd

from wearcast.history.story import History
from wearcast.logbook.schema.tables import EDGES_BY_KIND
from wearcast.wear.fitting.likelihood import Spells
from wearcast.wear.records import CAUSE_CODES, ClassSpells
from wearcast.wear.tables.effects import Places, find_effects

LEAST_HOURS = 0.05
"""A spell shorter than this [h] says nothing about wear: two lines on one day."""


class Gathered(NamedTuple):
    """What the fit works on."""

    catalogue: pd.DataFrame
    """Index: wear class, sorted; kind, usual_hours (nan: none), edges."""
    kinds: dict[str, str]
    """Kind of each wear class, in order of class."""
    spells: dict[str, ClassSpells]
    places: Places
    floors: tuple[str, ...]


def wear_classes(history: History, parts: pd.DataFrame) -> pd.DataFrame:
    """One row a wear class (index, sorted): kind, usual_hours [h, nan: none given], edges.

    Where parts of one class give several usual hours, their geometric mean stands.
    """
    named = parts[["wears_as", "kind", "edges", "usual_hours"]]
    carried = [frame[["wears_as", "kind", "edges"]] for frame in (history.spells, history.running)]
    rows = pd.concat(
        [named, *[frame.assign(usual_hours=np.nan) for frame in carried if len(frame)]]
    )
    rows = rows.assign(log_hours=np.log(rows["usual_hours"].astype(float).where(lambda h: h > 0)))
    classes = rows.groupby("wears_as", sort=True).agg(
        kind=("kind", "first"), edges=("edges", "max"), log_hours=("log_hours", "mean")
    )
    classes["edges"] = classes["edges"].fillna(classes["kind"].map(EDGES_BY_KIND)).fillna(1)
    classes["usual_hours"] = np.exp(classes.pop("log_hours"))
    return classes


def gather(history: History, parts: pd.DataFrame) -> Gathered:
    """The spells in the fit, class by class."""
    catalogue = wear_classes(history, parts)
    frame = history.spells
    used = frame["in_fit"].astype(bool) & history.exposure.sum(axis=1).ge(LEAST_HOURS)
    order = ["wears_as", "machine", "position", "start", "edge"]
    frame = frame[used].sort_values(order, kind="stable")
    columns, places = find_effects(frame)
    floors = tuple(history.floors)
    spells = dict.fromkeys(catalogue.index.astype(str), _no_spells(len(floors)))
    for name, here in frame.groupby("wears_as", sort=False):
        spells[str(name)] = _class_spells(here, history, columns.get(str(name), pd.DataFrame()))
    kinds = dict(zip(spells, catalogue["kind"].astype(str), strict=True))
    return Gathered(catalogue, kinds, spells, places, floors)


def _class_spells(frame: pd.DataFrame, history: History, effects: pd.DataFrame) -> ClassSpells:
    """Arrays of one class, in the frame's order (machine first)."""
    floors = list(history.floors)
    machines, machine = np.unique(frame["machine"].to_numpy(str), return_inverse=True)
    return ClassSpells(
        machines=tuple(machines.tolist()),
        machine=machine,
        hours=history.exposure.loc[frame.index, floors].to_numpy(float),
        end_mix=history.end_mix.loc[frame.index, floors].to_numpy(float),
        effects=effects.reindex(frame.index).to_numpy(float).reshape(len(frame), -1),
        effect_names=tuple(effects.columns),
        cause=frame["cause"].map(CAUSE_CODES).to_numpy(np.int8),
        spell=frame.index.to_numpy(),
    )


def _no_spells(floors: int) -> ClassSpells:
    """A class that the log has no spell of."""
    none, flat = np.zeros(0, np.int64), np.zeros((0, floors))
    return ClassSpells((), none, flat, flat, np.zeros((0, 0)), (), none.astype(np.int8), none)


def without(gathered: Gathered, left_out: pd.Index) -> Gathered:
    """The same less some spells, given by their labels."""
    if not len(left_out):
        return gathered
    spells = {
        name: some_spells(group, ~np.isin(group.spell, left_out))
        for name, group in gathered.spells.items()
    }
    return gathered._replace(spells=spells)


def some_spells(group: ClassSpells, keep: np.ndarray) -> ClassSpells:
    """The chosen spells of a class; machines without one are gone."""
    machines, machine = np.unique(group.machine[keep], return_inverse=True)
    return ClassSpells(
        tuple(group.machines[place] for place in machines),
        machine,
        group.hours[keep],
        group.end_mix[keep],
        group.effects[keep],
        group.effect_names,
        group.cause[keep],
        group.spell[keep],
    )


def spells_for(group: ClassSpells, *causes: str) -> Spells:
    """A class's spells as the likelihood takes them; `causes` are the ends that are fitted."""
    ended = np.isin(group.cause, [CAUSE_CODES[cause] for cause in causes])
    return Spells(group.hours, group.end_mix, group.effects, ended.astype(float), group.machine)
