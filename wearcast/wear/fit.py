"""From what happened to how fast things wear: `fit_wear` tells the story of this room.

Classes of one kind are fitted together: first with every spell, then without the running edges
that by that fit would hardly have lasted so long.
"""

import numpy as np
import pandas as pd

from wearcast.history.story import History
from wearcast.logbook.choices import Choices
from wearcast.told import Problem
from wearcast.wear.findings.doubts import (
    lasting_too_long,
    told_of_lasting,
    told_of_schedules,
    told_of_short,
)
from wearcast.wear.findings.words import told_of_fit
from wearcast.wear.fitting.ends import fit_ends
from wearcast.wear.fitting.kinds import Centre, KindFit, Way, fit_kind
from wearcast.wear.fitting.model import WearModel
from wearcast.wear.fitting.plain import fit_plain
from wearcast.wear.fitting.priors import WEAR, typical_hours
from wearcast.wear.gather import Gathered, gather, spells_for, without
from wearcast.wear.pace import machine_paces
from wearcast.wear.records import ClassSpells, Wear
from wearcast.wear.tables.edge_use import count_edges_used, fit_habits
from wearcast.wear.tables.effects import effect_rows
from wearcast.wear.tables.floors import KindFits, floor_rows

Fits = dict[str, KindFits]


def fit_wear(history: History, parts: pd.DataFrame, choices: Choices) -> Wear:
    """How fast each wear class wears on each floor, with all that is uncertain about it.

    Parameters
    ----------
    history : History
    parts : DataFrame
        The catalogue: part, kind, wears_as, edges, usual_hours.
    choices : Choices
        ``fit`` (blended, data only) and ``pace`` (machine, off) steer the fit.
    """
    gathered = gather(history, parts)
    alone, paced = choices.fit == "data only", choices.pace != "off"
    rough = fit_kinds(gathered, paced, "data only" if alone else "rough")
    too_long = _too_long(gathered, rough)
    gathered = without(gathered, too_long)
    fits = fit_kinds(gathered, paced, "data only" if alone else "blended")
    used = history.spells[history.spells["in_fit"].astype(bool)]
    told = [
        *told_of_fit(gathered, fits, choices),
        *told_of_short(history),
        *told_of_lasting(history.spells.loc[too_long]),
        *told_of_schedules(used),
    ]
    return _wear(gathered, fits, (history.running, used), told)


def fit_kinds(gathered: Gathered, paced: bool, way: Way) -> Fits:
    """The blocks of each kind."""
    kinds = gathered.kinds
    return {
        kind: _fit_one_kind(
            kind, [name for name in kinds if kinds[name] == kind], gathered, paced, way
        )
        for kind in sorted(set(kinds.values()))
    }


def _fit_one_kind(
    kind: str, names: list[str], gathered: Gathered, paced: bool, way: Way
) -> KindFits:
    """Wear, damage and removal of one kind."""
    members = {name: gathered.spells[name] for name in names}
    damaged, removed = fit_ends(kind, members, gathered.floors, way)
    return KindFits(_fit_wear_out(kind, members, gathered, paced, way), damaged, removed)


def _fit_wear_out(
    kind: str, members: dict[str, ClassSpells], gathered: Gathered, paced: bool, way: Way
) -> KindFit:
    """The block ``wear: kind``."""
    spells = {name: spells_for(group, "worn") for name, group in members.items()}
    usual = gathered.catalogue["usual_hours"]
    centres = {name: Centre(*typical_hours(kind, float(usual[name]))) for name in members}
    block = f"wear: {kind}"
    if way == "data only":
        return fit_plain(block, spells, gathered.floors, (WEAR, centres), paced=paced)
    effects = {name: group.effect_names for name, group in members.items()}
    model = WearModel(spells, gathered.floors, effects, paced=paced)
    return fit_kind(block, model, WEAR, centres, rough=way == "rough")


def _too_long(gathered: Gathered, fits: Fits) -> pd.Index:
    """Labels of running spells that lasted longer than the fit can believe."""
    found = [
        lasting_too_long(name, gathered.spells[name], fits[kind].blocks, gathered.floors)
        for name, kind in gathered.kinds.items()
    ]
    return pd.Index(np.concatenate([*found, np.empty(0)])).sort_values()


def _wear(
    gathered: Gathered,
    fits: Fits,
    frames: tuple[pd.DataFrame, pd.DataFrame],
    told: list[Problem],
) -> Wear:
    """The record, tables included; `frames` are what runs now and the spells in the fit."""
    running, used = frames
    kinds, spells, floors = gathered.kinds, gathered.spells, gathered.floors
    hours = sum((group.hours.sum(axis=0) for group in spells.values()), np.zeros(len(floors)))
    busiest = floors[int(np.argmax(hours))] if floors else ""
    rows = [
        floor_rows(name, spells[name], fits[kind], floors, busiest) for name, kind in kinds.items()
    ]
    carrying = _carrying(running)
    met = [name for name in kinds if spells[name].machines or name in carrying]
    paces = [
        machine_paces(
            name,
            spells[name],
            fits[kinds[name]].wear.block,
            floors,
            tuple(sorted(carrying.get(name, set()) - set(spells[name].machines))),
        )
        for name in met or [*kinds][:1]  # an empty table has its columns, too
    ]
    effects = effect_rows(
        (name, spells[name].effect_names, fits[kind].wear.block) for name, kind in kinds.items()
    )
    return Wear(
        classes=tuple(kinds),
        kinds=tuple(kinds.values()),
        floors=floors,
        blocks=tuple(fit.block for kind in sorted(fits) for fit in fits[kind]),
        habits=fit_habits(used, gathered.catalogue),
        spells=spells,
        floor_table=pd.concat(rows, ignore_index=True),
        machine_table=pd.concat(paces, ignore_index=True)
        .sort_values(["machine", "wears_as"], kind="stable")
        .reset_index(drop=True),
        edge_table=count_edges_used(used, gathered.catalogue),
        fits={name: fit for kind in fits for name, fit in fits[kind].wear.results.items()},
        told=tuple(told),
        effect_table=effects,
        place_effects=gathered.places,
    )


def _carrying(running: pd.DataFrame) -> dict[str, set[str]]:
    """The machines that carry each class now."""
    machines: dict[str, set[str]] = {}
    for name, machine in zip(running["wears_as"], running["machine"], strict=True):
        machines.setdefault(str(name), set()).add(str(machine))
    return machines
