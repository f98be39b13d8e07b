"""What is told about a fit: what it could not tell, and what it leans on."""

import numpy as np
import pandas as pd

from wearcast.logbook.choices import Choices
from wearcast.told import GRAVE, Problem
from wearcast.wear.causes import CODES
from wearcast.wear.covariates import PLACE_EFFECTS
from wearcast.wear.diagnostics.doubts import Fitted, end_residuals, note, wear_residuals
from wearcast.wear.diagnostics.shape_check import shape_words
from wearcast.wear.fitting.laws import LawFit
from wearcast.wear.gather import Gathered
from wearcast.wear.posterior import rate_term
from wearcast.wear.records import Block, ClassSpells
from wearcast.wear.tables.effects import effect_rows

NEVER_CHANGED = 30.0
"""Ends of a class, by a typical life, that cannot all have stayed away; chosen here."""
ALWAYS_MIXED = 0.02
"""Floors whose shares of the wear move less than this against each other cannot be told apart."""


def tell_fit(gathered: Gathered, worn: LawFit, fitted: Fitted, choices: Choices) -> list[Problem]:
    """Findings by wear class, in order of class."""
    told = _tell_one_site(gathered) if choices.fit != "data only" else []
    told += tell_some_sites(worn.block)
    for name in gathered.kinds:
        group = gathered.spells[name]
        if name in worn.not_converged:
            told.append(tell_unsettled(name, blended=choices.fit != "data only"))
        if name in worn.paceless:
            told.append(note(f"{name}: the data show no difference between machines", "", ""))
        told += tell_few(name, group, _expected(name, gathered.firsts[name], fitted))
        if len(group.cause):
            told += _tell_mixed(name, group, gathered.floors)
            told += _tell_shape(name, group, fitted)
        told += _tell_effects(effect_rows([(name, PLACE_EFFECTS, worn.block)]))
        if choices.fit == "data only":
            told += _tell_unknown(name, group, worn.unknown, gathered.floors)
    return told


def _tell_one_site(gathered: Gathered) -> list[Problem]:
    """How sites differ cannot be told from one."""
    sites = sorted({site for group in gathered.spells.values() for site in group.site.tolist()})
    if len(sites) != 1:
        return []
    return [
        note(
            "the log is of one site, so it cannot tell how sites differ: hours per edge are that "
            "site's, and for another site a usual difference is allowed for",
            value=sites[0],
            column="site",
        )
    ]


def tell_some_sites(block: Block) -> list[Problem]:
    """In a large fleet some sites told the law of wear."""
    joint = len(block.cov)
    count = [sum(term.startswith("site[") for term in some) for some in
             (block.terms[:joint], block.terms)]  # fmt: skip
    if not block.given:
        return []
    return [
        note(
            f"how long things last on each floor was learnt at {count[0]} of {count[1]} sites; "
            "what each other site does to wear was learnt from its own changes",
            "So large a fleet is fitted so; ranges are a little wider than all could make them",
            column="site",
        )
    ]


def tell_unsettled(name: str, *, blended: bool) -> Problem:
    """A fit that stopped on its way: blended, its figures can be anything; else it gives none."""
    wrong, remedy = f"the fit of {name} did not settle", "Look at its spells; more worn ends help"
    if not blended:
        return note(wrong, remedy, name)
    return note(f"{wrong}: no figure that rests on it can be trusted", remedy, name, weight=GRAVE)


def _expected(name: str, firsts: ClassSpells, fitted: Fitted) -> float:
    """Ends that positions without a change would have had; as if once, however long they ran."""
    return float(end_residuals(name, firsts, fitted).sum()) if len(firsts.cause) else 0.0


def tell_few(name: str, group: ClassSpells, expected: float) -> list[Problem]:
    """A class without a worn end stands on typical lives."""
    if np.isin(group.cause, [CODES["worn"], CODES["unknown"]]).any():
        return []
    seen = "no spell" if not len(group.cause) else "no worn end"
    leans = "a typical life is forecast with, not a measured one"
    if not len(group.cause) and expected > NEVER_CHANGED:
        wrong = (
            f"no change of {name} is written, though its machines ran on: {leans}, and it may be "
            "wrong by several times"
        )
        return [note(wrong, "Write its changes too", name, "position", GRAVE)]
    return [note(f"{name} has {seen} in the log: {leans}", "Give usual_hours if you know better")]


def _tell_mixed(name: str, group: ClassSpells, floors: tuple[str, ...]) -> list[Problem]:
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


def _tell_shape(name: str, group: ClassSpells, fitted: Fitted) -> list[Problem]:
    """A class whose ends do not lie as a Weibull's would."""
    worn = group.cause == CODES["worn"]
    words = shape_words(wear_residuals(name, group, fitted), worn)
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


def _tell_effects(effects: pd.DataFrame) -> list[Problem]:
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


def _tell_unknown(
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


def tell_bounds(floors: pd.DataFrame, names: list[str]) -> list[Problem]:
    """Classes of which the log can only tell bounds: their ends were planned."""
    bound = floors[floors["basis"].eq("bounds") & floors["wears_as"].isin(names)]
    told = []
    for name, rows in bound.groupby("wears_as", sort=True):
        row = rows.loc[rows["hours"].idxmax()]
        told.append(
            note(
                f"{name}: more than a third of the ends were planned, so the log cannot tell how "
                f"long an edge would last: on {row['floor']} between {row['low']:,.0f} h (were "
                f"they worn) and {row['high']:,.0f} h (were they not)",
                "Write worn where a part was worn when it was taken off",
                str(name),
                "cause",
                3.0,
            )
        )
    return told
