"""Wear as it holds for machines that nobody has measured, whatever their names.

A proposed machine may be called like one in the log that the rates were learnt from, and is still
another machine: it draws its pace from the spread of the fleet.
"""

from dataclasses import replace

import numpy as np
import pandas as pd

from wearcast.logbook.choices import Choices
from wearcast.wear.draws import draw_wear
from wearcast.wear.gather import some_spells
from wearcast.wear.records import Wear, WearDraws


def draw_strangers(
    wear: Wear,
    seats: pd.DataFrame,
    floors: tuple[str, ...],
    parts: pd.DataFrame,
    choices: Choices,
) -> WearDraws:
    """Wear at positions of machines that nobody has measured.

    Parameters
    ----------
    wear : Wear
    seats : DataFrame
        Index 0..n-1: machine, site, position, wears_as, kind. A site that the log knows keeps its
        habit of turning edges.
    floors : names
        The floor axis of the result.
    parts : DataFrame
        Catalogue: its usual_hours speak for classes that the fit has not seen.
    choices : Choices
    """
    unworn = pd.DataFrame(0.0, index=seats.index, columns=list(floors))
    known = forget_machines(wear, seats)
    return draw_wear(known, seats, unworn, choices.seed, choices.draws, parts)


def forget_machines(wear: Wear, seats: pd.DataFrame) -> Wear:
    """The wear without what it knows of single machines.

    What is the same at every logged position of one name (front or rear, the usual turning) holds
    at a seat of that name too.
    """
    spells = {
        name: some_spells(group, np.zeros(len(group.hours), dtype=bool))
        for name, group in wear.spells.items()
    }
    return replace(wear, spells=spells, place_effects=_usual_effects(wear, seats))


def _usual_effects(
    wear: Wear, seats: pd.DataFrame
) -> dict[tuple[str, str, str], tuple[float, ...]]:
    """Mean effects of the logged positions of each seat's name, by class, machine and position."""
    logged: dict[tuple[str, str], list[tuple[float, ...]]] = {}
    for (name, _, position), values in wear.place_effects.items():
        logged.setdefault((name, position), []).append(values)
    mean = {place: tuple(np.mean(rows, axis=0).tolist()) for place, rows in logged.items()}
    places = seats[["wears_as", "machine", "position"]].astype(str).drop_duplicates()
    return {
        (name, machine, position): mean[name, position]
        for name, machine, position in zip(*places.to_numpy().T, strict=True)
        if (name, position) in mean
    }
