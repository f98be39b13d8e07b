"""Wear as it holds for machines that nobody has measured, whatever their names.

A proposed machine may be called like one in the log that the rates were learnt from, and is still
another machine: it draws its pace from the spread of the fleet.
"""

import pandas as pd

from wearcast.logbook.choices import Choices
from wearcast.wear.draws import draw_wear
from wearcast.wear.rates import for_strangers
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
        Index 0..n-1: machine, site, position, wears_as, kind, edges. No site is taken for one of
        the log, whatever its name.
    floors : names
        The floor axis of the result.
    parts : DataFrame
        Catalogue: its usual_hours speak for classes that the fit has not seen.
    choices : Choices
    """
    unworn = pd.DataFrame(0.0, index=seats.index, columns=list(floors))
    return draw_wear(
        for_strangers(wear), seats, unworn, choices.seed, choices.draws, parts, stranger=True
    )
