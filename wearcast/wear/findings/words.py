"""What is told about a fit: what it could not tell, and what it leans on."""

import numpy as np
import pandas as pd

from wearcast.logbook.choices import Choices
from wearcast.told import Problem
from wearcast.wear.blocks import rate_term
from wearcast.wear.findings.doubts import note, wear_residuals
from wearcast.wear.findings.shape_check import shape_words
from wearcast.wear.gather import Gathered
from wearcast.wear.records import CAUSE_CODES, Block, ClassSpells
from wearcast.wear.tables.effects import effect_rows
from wearcast.wear.tables.floors import KindFits

ALWAYS_MIXED = 0.02
"""Floors whose shares of the wear move less than this against each other cannot be told apart."""


def told_of_fit(gathered: Gathered, fits: dict[str, KindFits], choices: Choices) -> list[Problem]:
    """Findings by wear class, in order of class."""
    told = []
    for name, kind in gathered.kinds.items():
        group, fit = gathered.spells[name], fits[kind].wear
        if name in fit.stuck:
            told.append(note(f"the fit of {name} did not settle", _MORE, name))
        if name in fit.paceless:
            told.append(note(f"{name}: the data show no difference between machines", "", ""))
        told += _told_of_few(name, group)
        if len(group.cause):
            told += _told_of_mixed(name, group, gathered.floors)
            told += _told_of_shape(name, group, fit.block, gathered.floors)
        if group.effect_names:
            told += _told_of_effects(effect_rows([(name, group.effect_names, fit.block)]))
        if choices.fit == "data only":
            told += _told_of_unknown(name, group, fit.unknown, gathered.floors)
    return told


_MORE = "Look at its spells; more worn ends settle it"


def _told_of_few(name: str, group: ClassSpells) -> list[Problem]:
    """A class without a worn end stands on typical lives."""
    if (group.cause == CAUSE_CODES["worn"]).any():
        return []
    seen = "no spell" if not len(group.cause) else "no worn end"
    leans = "a typical life is forecast with, not a measured one"
    return [note(f"{name} has {seen} in the log: {leans}", "Give usual_hours if you know better")]


def _told_of_mixed(name: str, group: ClassSpells, floors: tuple[str, ...]) -> list[Problem]:
    """Floors that the class always sees in the same mixture: only their sum can be told."""
    share = group.hours / group.hours.sum(axis=1, keepdims=True)
    seen = np.flatnonzero(share.sum(axis=0) > 0)
    if len(seen) < 2:
        return []
    values, vectors = np.linalg.eigh(share[:, seen].T @ share[:, seen] / len(share))
    loose = np.abs(vectors[:, values < ALWAYS_MIXED**2]) > 0.1
    tied = [floors[floor] for floor in seen[loose.any(axis=1)]]
    if len(tied) < 2:
        return []
    return [
        note(
            f"{name} runs on {' and '.join(tied)} in nearly the same shares everywhere: the log "
            f"tells their sum, not each by itself, so each one's hours are wide",
            "Note the floors of single machines more finely if you can",
        )
    ]


def _told_of_shape(
    name: str, group: ClassSpells, block: Block, floors: tuple[str, ...]
) -> list[Problem]:
    """A class whose ends do not lie as a Weibull's would."""
    worn = group.cause == CAUSE_CODES["worn"]
    words = shape_words(wear_residuals(name, group, block, floors), worn)
    if not words:
        return []
    return [
        note(
            f"{name} does not look Weibull: {words}; its forecast may be off in spread",
            "Look whether different parts, a schedule or mistyped hours are mixed in it",
        )
    ]


_EFFECT_WORDS = {
    "front": "a front {name} lasts {ratio} times as long as a rear one",
    "turning": "a {name} turned end for end regularly lasts {ratio} times as long as one "
    "never turned",
}


def _told_of_effects(effects: pd.DataFrame) -> list[Problem]:
    """Effects on life that are surely there: the 90 % interval leaves 1 out."""
    sure = effects[(effects["low"] > 1) | (effects["high"] < 1)]
    return [
        note(
            _EFFECT_WORDS[effect].format(name=name, ratio=f"{ratio:.2f}")
            + f" in this log (90 % interval {low:.2f} to {high:.2f})"
        )
        for name, effect, ratio, low, high in zip(
            *(sure[column] for column in sure.columns), strict=True
        )
    ]


def _told_of_unknown(
    name: str, group: ClassSpells, unknown: frozenset[str], floors: tuple[str, ...]
) -> list[Problem]:
    """Floors with hours but no estimate (data only)."""
    ran = group.hours.sum(axis=0) > 0
    missing = [
        floor
        for floor, yes in zip(floors, ran, strict=True)
        if yes and rate_term(name, floor) in unknown
    ]
    if not missing:
        return []
    return [
        note(
            f"{name}: the data alone give no hours on {', '.join(missing)}; the forecast takes a "
            f"typical life there",
            "Set fit to blended, or wait for worn ends there",
        )
    ]
