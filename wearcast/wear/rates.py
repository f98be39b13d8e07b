"""The fitted wear as a document that can be saved, and back: what holds for a stranger, too.

The document holds plain lists, numbers and texts only, so that any JSON writer can write it. It
names no machine and no site: what was learnt of single ones is not for others, and how much they
differ is. What comes back draws the same numbers as the fit does for a stranger.
"""

import re
from dataclasses import asdict, replace
from typing import Any

import numpy as np
import pandas as pd

from wearcast.errors import UnreadableFile
from wearcast.told import Problem
from wearcast.wear.causes import LAWS
from wearcast.wear.covariates import PLACE_EFFECTS, Places
from wearcast.wear.fitting.off import mean_off
from wearcast.wear.priors import CellPrior, Centre
from wearcast.wear.rates_checks import refuse_unsound
from wearcast.wear.records import Block, EdgeHabit, OffLaw, Spread, Wear

FORMAT = 3
TABLES = ("floor_table", "effect_table")
_OWN_WORDS = ("log rate[", "log shape[", "log spread[", *(f"{name}[" for name in PLACE_EFFECTS))


def for_strangers(wear: Wear) -> Wear:
    """The wear without what it knows of single machines and sites.

    What is the same at every logged position of one name (front or rear, the usual turning) holds
    at a position of that name anywhere.
    """
    return replace(
        wear,
        worn=_own_terms(wear.worn),
        torn=_own_terms(wear.torn),
        off=OffLaw(wear.off.alpha, {name: mean_off(wear.off, name)[0] for name in wear.off.usual},
                   {}, {}, {}),
        habits={key: _anywhere(habit) for key, habit in wear.habits.items()},
        spells={},
        machine_table=wear.machine_table.iloc[:0],
        edge_table=wear.edge_table.iloc[:0],
        fits={},
        place_effects=_by_position(wear.place_effects),
    )  # fmt: skip


def _own_terms(block: Block) -> Block:
    """A block without the levels of sites and quarters: of a joint Gaussian, the rest."""
    keep = np.array([term.startswith(_OWN_WORDS) for term in block.terms], dtype=bool)
    at = np.flatnonzero(keep)
    terms = tuple(block.terms[place] for place in at)
    cov = block.cov[np.ix_(at, at)]
    return replace(block, terms=terms, mean=block.mean[at], cov=cov, given=())


def _anywhere(habit: EdgeHabit) -> EdgeHabit:
    """A habit without the sites' counts."""
    width = len(habit.usual)
    return replace(habit, site=(), replaced=np.zeros((0, width)), ends=np.zeros((0, width)))


def _by_position(places: Places) -> Places:
    """Mean effects of the logged positions of one name, for machine ""."""
    logged: dict[tuple[str, str, str], list[tuple[float, ...]]] = {}
    for (name, _, position), values in sorted(places.items()):
        logged.setdefault((name, "", position), []).append(values)
    return {place: tuple(np.mean(rows, axis=0).tolist()) for place, rows in logged.items()}


def rates_document(wear: Wear) -> dict[str, Any]:
    """The fitted wear as plain lists, numbers and texts.

    Findings that name a machine or a site are left out.
    """
    own = own_names(wear)
    wear = for_strangers(wear)
    return {
        "format": FORMAT,
        "classes": list(wear.classes),
        "kinds": list(wear.kinds),
        "floors": list(wear.floors),
        "worn": _block_document(wear.worn),
        "torn": _block_document(wear.torn),
        "off": {"alpha": wear.off.alpha, "usual": wear.off.usual},
        "habits": [
            {"wears_as": name, "law": law, "usual": list(habit.usual), "weight": habit.weight}
            for (name, law), habit in sorted(wear.habits.items())
        ],
        "paired": wear.paired,
        "place_effects": [
            [name, position, list(values)]
            for (name, _, position), values in sorted(wear.place_effects.items())
        ],
        "told": [list(problem) for problem in wear.told if not _names(problem, own)],
        **{name: _table_document(getattr(wear, name)) for name in TABLES},
    }


def own_names(wear: Wear) -> set[str]:
    """Machines and sites of the log that was learnt from."""
    groups = wear.spells.values()
    return {
        str(name) for group in groups for name in (*group.machines, *np.unique(group.site)) if name
    }


def _names(problem: Problem, own: set[str]) -> bool:
    text = " ".join(map(str, problem))
    return any(re.search(rf"(?<!\w){re.escape(name)}(?!\w)", text) for name in own)


def _block_document(block: Block) -> dict[str, Any]:
    """A block as plain lists."""
    return {
        "name": block.name,
        "terms": list(block.terms),
        "mean": block.mean.tolist(),
        "cov": block.cov.tolist(),
        "llf": block.llf,
        "shaped": block.shaped,
        "paced": block.paced,
        "cells": {kind: asdict(cells) for kind, cells in block.cells.items()},
        "centres": {name: list(centre) for name, centre in block.centres.items()},
        "spreads": {
            name: {"sds": list(spread.sds), "chances": list(spread.chances)}
            for name, spread in block.spreads.items()
        },
    }


def wear_of_rates(document: dict[str, Any]) -> Wear:
    """The fitted wear out of a document that `rates_document` made.

    Raises
    ------
    UnreadableFile
        If the document is something else, or of a version that is not known here.
    """
    if not isinstance(document, dict) or document.get("format") != FORMAT:
        raise UnreadableFile(
            "This is not a file of saved rates of this version: save the rates anew with "
            "`wearcast floors LOGBOOK --save-rates rates.json`."
        )
    try:
        wear = _wear(document)
        refuse_unsound(wear)
    except (KeyError, TypeError, ValueError, AttributeError) as error:
        raise UnreadableFile(
            f"The file of saved rates is damaged ({error}): save the rates anew with "
            "`wearcast floors LOGBOOK --save-rates rates.json`."
        ) from error
    return wear


def _wear(document: dict[str, Any]) -> Wear:
    """The record, without questions."""
    return Wear(
        classes=tuple(document["classes"]),
        kinds=tuple(document["kinds"]),
        floors=tuple(document["floors"]),
        worn=_block(document["worn"]),
        torn=_block(document["torn"]),
        off=OffLaw(float(document["off"]["alpha"]), dict(document["off"]["usual"]), {}, {}, {}),
        habits={(entry["wears_as"], _law(entry)): _habit(entry) for entry in document["habits"]},
        spells={},
        machine_table=pd.DataFrame(columns=["machine", "wears_as", "pace", "low", "high"]),
        edge_table=pd.DataFrame(columns=["site", "wears_as", "parts_spent"]),
        fits={},
        told=tuple(_problem(fields) for fields in document["told"]),
        place_effects={
            (name, "", position): tuple(values)
            for name, position, values in document["place_effects"]
        },
        paired=dict(document["paired"]),
        silent=(),
        unwritten=(),
        **{name: _table(document[name]) for name in TABLES},
    )


def _law(entry: dict[str, Any]) -> str:
    """The law of a habit, which must be one of ours."""
    return LAWS[LAWS.index(entry["law"])]


def _habit(entry: dict[str, Any]) -> EdgeHabit:
    width = len(entry["usual"])
    return EdgeHabit(
        tuple(map(float, entry["usual"])),
        float(entry["weight"]),
        (),
        np.zeros((0, width)),
        np.zeros((0, width)),
    )


def _problem(fields: list[Any]) -> Problem:
    """A finding out of its fields in order."""
    problem = Problem(*fields)
    return problem._replace(rows=tuple(problem.rows))


def _block(entry: dict[str, Any]) -> Block:
    """A block; its covariance is square even without terms."""
    size = len(entry["terms"])
    return Block(
        entry["name"],
        tuple(entry["terms"]),
        np.array(entry["mean"], dtype=float),
        np.array(entry["cov"], dtype=float).reshape(size, size),
        entry["llf"],
        bool(entry["shaped"]),
        bool(entry["paced"]),
        {kind: CellPrior(**cells) for kind, cells in entry["cells"].items()},
        {name: Centre(*centre) for name, centre in entry["centres"].items()},
        {
            name: Spread(tuple(spread["sds"]), tuple(spread["chances"]))
            for name, spread in entry["spreads"].items()
        },
    )


def _table_document(table: pd.DataFrame) -> dict[str, Any]:
    """A table by columns; missing numbers are null."""
    return {
        str(name): [None if pd.isna(value) else value for value in table[name].tolist()]
        for name in table.columns
    }


def _table(entry: dict[str, list[Any]]) -> pd.DataFrame:
    """A table out of its columns."""
    frame = pd.DataFrame({name: pd.Series(values, dtype=object) for name, values in entry.items()})
    for name in frame.columns.difference(["wears_as", "floor", "basis", "effect"]):
        frame[name] = frame[name].astype(float)
    return frame
