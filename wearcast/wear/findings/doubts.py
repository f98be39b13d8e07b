"""What the fit makes one doubt: edges that lasted too long, ends that look like a schedule."""

import numpy as np
import pandas as pd

from wearcast.history.story import History
from wearcast.told import Problem
from wearcast.wear.blocks import class_params
from wearcast.wear.fitting.ends import ANYWHERE
from wearcast.wear.fitting.likelihood import wear_path
from wearcast.wear.gather import LEAST_HOURS, spells_for
from wearcast.wear.pace import machine_exposure
from wearcast.wear.records import CAUSE_CODES, Block, ClassSpells

LEAST_CHANCE = 0.01
"""A running edge with a smaller chance to have lasted so long is left out of the fit."""
SCHEDULE_CV = 0.5
"""Planned ends whose hours vary less than this (sd over mean) look like a schedule, if surely."""
RANDOM_CV = 1 / np.sqrt(3)
"""The least that hours of ends at random times can vary: see `_sure_of_schedule`."""
SURE = 3.09
"""Standard deviations (one in a thousand) that the hours must vary less than at random."""


def note(
    wrong: str, remedy: str = "", value: str = "", column: str = "", weight: float = 0.0
) -> Problem:
    """A finding about the wear that no single row is to blame for."""
    return Problem("", "changes", (), column, value, "note", wrong, remedy, weight)


def wear_residuals(
    name: str, group: ClassSpells, wear: Block, floors: tuple[str, ...]
) -> np.ndarray:
    """Hazard of wear-out that each spell ran through: -log of the chance to last so long.

    The machine's pace is integrated out, given the machine's other spells.
    """
    params = class_params(wear.terms, wear.mean[None], name, floors, group.effect_names)
    spells = spells_for(group, "worn")
    path = wear_path(params.log_rates[0], params.effects[0], spells)
    power = np.exp(np.minimum(np.exp(params.log_shape[0]) * path.log_wear, 300.0))
    spread = params.spread[0]
    if spread == 0:
        return np.asarray(power)
    worn, load = machine_exposure(group, params)
    others = load[group.machine, 0] - power
    count = worn[group.machine] - spells.ended
    return np.asarray((1 / spread + count) * np.log1p(power / (1 / spread + others)))


def survival_chances(
    name: str,
    group: ClassSpells,
    blocks: tuple[Block, Block, Block],
    floors: tuple[str, ...],
) -> np.ndarray:
    """Chance of each spell to have lasted as long as it did; damage and removals count too."""
    wear, damaged, removed = blocks
    worn = wear_residuals(name, group, wear, floors)
    tear = np.exp(class_params(damaged.terms, damaged.mean[None], name, floors).log_rates[0])
    off = np.exp(class_params(removed.terms, removed.mean[None], name, ANYWHERE).log_rates[0, 0])
    return np.asarray(np.exp(-worn - group.hours @ tear - off * group.hours.sum(axis=1)))


def lasting_too_long(
    name: str, group: ClassSpells, blocks: tuple[Block, Block, Block], floors: tuple[str, ...]
) -> np.ndarray:
    """Labels of running spells that most likely hide a change that was not written down."""
    if not len(group.cause):
        return np.empty(0, dtype=group.spell.dtype)
    chances = survival_chances(name, group, blocks, floors)
    running = group.cause == CAUSE_CODES["running"]
    return np.asarray(group.spell[running & (chances < LEAST_CHANCE)])


def told_of_short(history: History) -> list[Problem]:
    """Ended spells that ran no time at all: two lines on one day."""
    hours = history.exposure.sum(axis=1)
    short = history.spells["in_fit"].astype(bool) & history.spells["ended"].ne("running")
    count = int((short & hours.lt(LEAST_HOURS)).sum())
    if not count:
        return []
    return [
        note(
            f"{count} {'edge ends' if count == 1 else 'edges end'} within minutes of being put to "
            f"the floor; left out of the fit",
            "Look for lines written twice or with the wrong hours",
        )
    ]


def told_of_lasting(spells: pd.DataFrame) -> list[Problem]:
    """One finding an edge that was left out for lasting too long."""
    places = spells["machine"].astype(str) + ", " + spells["position"].astype(str)
    return [
        note(
            f"this edge would be at work for {hours:,.0f} h by now, which fewer than 1 in 100 "
            f"would last; it is left out of the fit",
            "Write down the change that was missed, if there was one",
            place,
            "position",
        )
        for place, hours in zip(places, spells["hours"], strict=True)
    ]


def told_of_schedules(spells: pd.DataFrame) -> list[Problem]:
    """Classes and sites whose planned ends cluster in hours."""
    planned = spells[spells["cause"].eq("planned") & spells["in_fit"].astype(bool)]
    hours = planned.groupby(["site", "wears_as"], sort=True)["hours"].agg(["mean", "std", "size"])
    found = hours[_sure_of_schedule(hours["std"] / hours["mean"], hours["size"])]
    return [
        note(
            f"{int(size)} planned ends of {name} at {site} lie close around {mean:,.0f} h: they "
            f"look like a schedule, while the forecast spreads them over all hours",
            value="planned",
            column="cause",
        )
        for (site, name), mean, size in zip(found.index, found["mean"], found["size"], strict=True)
    ]


def _sure_of_schedule(variation: pd.Series, ends: pd.Series) -> pd.Series:
    """Whether hours vary (sd over mean) less than those of so many ends at random times would.

    An end at a random time finds an edge at an age whose density falls, as the chance to be still
    good does. A falling density is a mixture of even ones that begin at 0, so its variation is at
    least that of one even density, 1/sqrt(3); over n ends that is seen with a standard deviation
    of sqrt(8 / 45 n) (delta method; n + 1 makes it hold for few ends too, found by simulation).
    """
    least = np.minimum(SCHEDULE_CV, RANDOM_CV - SURE * np.sqrt(8 / 45 / (ends + 1)))
    return variation.lt(least)
