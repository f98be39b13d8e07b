"""From what happened to how fast things wear: `fit_wear` tells the story of this room.

First a rough fit with every spell; then without the running edges that by that fit would hardly
have lasted so long, and at sites that seem to have stopped writing until their last written change.
"""

from collections.abc import Mapping
from dataclasses import replace
from typing import NamedTuple

import numpy as np
import pandas as pd

from wearcast.history.exposure import instead
from wearcast.history.holes import cut_at_holes, find_holes, silent_as_ever
from wearcast.history.story import History
from wearcast.history.unheard import machines_never_written, never_wrote, unheard
from wearcast.logbook.choices import Choices
from wearcast.told import Problem
from wearcast.wear.causes import CODES, LAWS
from wearcast.wear.class_spells import without_ends
from wearcast.wear.diagnostics.calendar import tell_calendar, tell_campaigns
from wearcast.wear.diagnostics.doubts import (
    Fitted,
    fitted_at,
    improbable_silences,
    lasting_too_long,
    not_written,
    tell_holes,
    tell_lasting,
    tell_not_written,
    tell_schedules,
    tell_short,
    tell_silences,
    tell_still_meters,
)
from wearcast.wear.diagnostics.lately import tell_few_lately
from wearcast.wear.diagnostics.level_shift import tell_level_shifts
from wearcast.wear.diagnostics.other_ends import tell_other_ends
from wearcast.wear.diagnostics.turn_shifts import as_now, tell_turn_shifts, turn_shifts
from wearcast.wear.diagnostics.turns import tell_missing_fits, tell_no_turns
from wearcast.wear.diagnostics.words import tell_bounds, tell_fit
from wearcast.wear.fitting.laws import Way
from wearcast.wear.fitting.masked import Laws, unmask
from wearcast.wear.fitting.results import LazyResults
from wearcast.wear.fitting.three_laws import Fits, fit_laws, fit_worn
from wearcast.wear.gather import Gathered, gather, without
from wearcast.wear.habits import fit_habits, paired_shares
from wearcast.wear.records import ClassSpells, Wear
from wearcast.wear.tables.edge_use import count_edges_used
from wearcast.wear.tables.effects import effect_rows
from wearcast.wear.tables.floors import floor_rows, planned_classes, with_bounds
from wearcast.wear.tables.paces import machine_paces


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
    alone, paced = choices.fit == "data only", choices.pace != "off"
    way: Way = "data only" if alone else "blended"
    gathered = gather(history, parts)
    believed = _Believed(history, gathered, [], None, (), ())
    if not alone:
        believed = _believable(history, gathered, parts, paced)
    history, gathered, told, rough, silent, unwritten = believed
    gathered = _unmasked(gathered, paced, "data only" if alone else "rough")
    fits = fit_laws(gathered, gathered.spells, paced, way, rough)
    fitted = fitted_at(_laws(fits), gathered.spells, gathered.floors)
    asked = history.spells.columns.difference(list(_UNASKED), sort=False)
    used = history.spells.loc[history.spells["in_fit"].astype(bool), asked]
    told = [
        *tell_fit(gathered, fits[0], fitted, choices),
        *tell_short(history),
        *tell_still_meters(history),
        *tell_no_turns(used),
        *tell_missing_fits(history.spells),
        *tell_calendar(used),
        *tell_campaigns(used, history.as_of),
        *tell_turn_shifts(turned := turn_shifts(used, history.as_of), history.as_of),
        *told,
        *tell_schedules(used),
    ]
    now = as_now(used, turned, history.as_of) if turned else used
    wear = _wear(gathered, fits, (history.running, used, now), told, paced, way)
    if not alone:
        shifts = [
            *tell_level_shifts(history, wear),
            *tell_other_ends(history, wear),
            *tell_few_lately(history, wear, silent),
        ]
        wear = replace(wear, told=(*shifts, *wear.told))
    return replace(wear, silent=silent, unwritten=unwritten)


_UNASKED = ("source", "row", "by", "shift", "part", "pieces", "silent_since", "end_quarter")
"""What neither habits nor findings ask of the spells in the fit; it would be copied."""


class _Believed(NamedTuple):
    """What can be believed of edges that still run, by a rough fit."""

    history: History
    gathered: Gathered
    told: list[Problem]
    rough: Fits | None
    silent: tuple[str, ...]
    """Sites that most likely did not write what they changed, up to as-of."""
    unwritten: tuple[str, ...]
    """Machines of which nobody wrote anything."""


def _believable(
    history: History, gathered: Gathered, parts: pd.DataFrame, paced: bool
) -> _Believed:
    holes = find_holes(history)
    if holes:
        history = cut_at_holes(history, holes)
        gathered = gather(history, parts)
    mute = never_wrote(history)
    if mute:
        heard = unheard(history, mute)
        without_them = gather(heard, parts)
        mute = not_written(gathered.firsts, mute, _rough(without_them, paced)[1])
        if mute:
            history = unheard(history, mute)
            gathered = gather(history, parts)
    quiet = machines_never_written(history)
    if quiet:
        others = _rough(gather(unheard(history, (), quiet), parts), paced)[1]
        quiet = not_written(gathered.firsts, quiet, others, "machine")
        if quiet:
            history = unheard(history, (), quiet)
            gathered = gather(history, parts)
    fits, fitted = _rough(gathered, paced)
    until = instead(history.exposure, history.until_silence)
    silent = improbable_silences(gathered.spells, until[list(history.floors)], fitted)
    if silent:
        usual = silent_as_ever(history, silent)
        silent = [site for site in silent if site not in usual]
    told = [*tell_holes(holes), *tell_not_written(mute, quiet), *tell_silences(silent, history)]
    if silent:
        at = history.spells["site"].isin(silent)
        exposure = history.exposure.where(~at, until)
        history = replace(unheard(history, silent), exposure=exposure)
        gathered = gather(history, parts)
        fits, fitted = _rough(gathered, paced, fits)
    too_long = lasting_too_long(gathered.spells, fitted)
    told += tell_lasting(history.spells.loc[too_long])
    believed = without(gathered, too_long)
    return _Believed(history, believed, told, fits, (*mute, *silent), tuple(quiet))


def _rough(gathered: Gathered, paced: bool, begin: Fits | None = None) -> tuple[Fits, Fitted]:
    """The laws by a quick fit."""
    worn, torn, off = fit_laws(gathered, gathered.spells, paced, "rough", begin)
    # Their models hold all spells again, and nobody asks for a summary of a rough fit.
    fits = worn._replace(estimates={}), torn._replace(estimates={}), off
    return fits, fitted_at(_laws(fits), gathered.spells, gathered.floors)


def _laws(fits: Fits) -> Laws:
    return fits[0].block, fits[1].block, fits[2]


def _unmasked(gathered: Gathered, paced: bool, way: Way) -> Gathered:
    """The spells with ends of unknown cause counted by their chances."""
    spells = unmask(
        gathered.spells,
        gathered.floors,
        lambda spells: _laws(fit_laws(gathered, spells, paced, way)),
    )
    return gathered._replace(spells=spells)


def _wear(
    gathered: Gathered,
    fits: Fits,
    frames: tuple[pd.DataFrame, pd.DataFrame, pd.DataFrame],
    told: list[Problem],
    paced: bool,
    way: Way,
) -> Wear:
    """The record, tables included.

    `frames`: what runs now, the spells in the fit, and those of them that tell today's habits.
    """
    running, used, now = frames
    kinds, spells, floors = gathered.kinds, gathered.spells, gathered.floors
    floor_table, bound = _floor_table(gathered, fits, paced, way)
    paces = machine_paces(spells, fits[0].block, floors, _carrying(running))
    return Wear(
        classes=tuple(kinds),
        kinds=tuple(kinds.values()),
        floors=floors,
        worn=fits[0].block,
        torn=fits[1].block,
        off=fits[2],
        habits=fit_habits(now, gathered.catalogue),
        spells={name: without_ends(group) for name, group in spells.items()},
        floor_table=floor_table,
        machine_table=paces.sort_values(["machine", "wears_as"], kind="stable", ignore_index=True),
        edge_table=count_edges_used(used, gathered.catalogue),
        fits=LazyResults(fits[0].estimates),
        told=(*tell_bounds(floor_table, bound), *told),
        effect_table=effect_rows((name, ("front", "turning"), fits[0].block) for name in kinds),
        place_effects=gathered.places,
        paired=paired_shares(used),
    )


def _floor_table(
    gathered: Gathered, fits: Fits, paced: bool, way: Way
) -> tuple[pd.DataFrame, list[str]]:
    """The rows of floors.csv, and the classes of which the log can tell bounds only."""
    table = _floor_rows(gathered, gathered.spells, fits)
    names = planned_classes(gathered.spells)
    if not names:
        return table, names
    as_worn = {
        name: _planned_as_worn(group) if name in names else group
        for name, group in gathered.spells.items()
    }
    other = (fit_worn(gathered, as_worn, paced, way), *fits[1:])
    table = with_bounds(table, _floor_rows(gathered, as_worn, other), names)
    return table, names


def _planned_as_worn(group: ClassSpells) -> ClassSpells:
    """A class whose planned ends count as worn."""
    chances = group.chances.copy()
    chances[group.cause == CODES["planned"]] = np.eye(len(LAWS))[LAWS.index("worn")]
    return replace(group, chances=chances)


def _floor_rows(gathered: Gathered, spells: Mapping[str, ClassSpells], fits: Fits) -> pd.DataFrame:
    """Rows of all classes."""
    floors = gathered.floors
    hours = sum((group.hours.sum(axis=0) for group in spells.values()), np.zeros(len(floors)))
    busiest = floors[int(np.argmax(hours))] if floors else ""
    rows = [floor_rows(name, spells[name], fits, floors, busiest) for name in gathered.kinds]
    return pd.concat(rows, ignore_index=True)


def _carrying(running: pd.DataFrame) -> dict[str, set[str]]:
    """The machines that carry each class now."""
    machines: dict[str, set[str]] = {}
    for name, machine in zip(running["wears_as"], running["machine"], strict=True):
        machines.setdefault(str(name), set()).add(str(machine))
    return machines
