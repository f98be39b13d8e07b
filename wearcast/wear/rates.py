"""The fitted wear as a document that can be saved, and back: the whole posterior.

The document holds plain lists, numbers and texts only, so that any JSON writer can write it. What
comes back draws the same numbers; only the fitting library's results stay behind.
"""

from dataclasses import asdict
from typing import Any

import numpy as np
import pandas as pd

from wearcast.errors import UnreadableFile
from wearcast.told import Problem
from wearcast.wear.records import Block, ClassSpells, EdgeHabit, Wear

FORMAT = 1
TABLES = ("floor_table", "machine_table", "edge_table", "effect_table")


def rates_document(wear: Wear) -> dict[str, Any]:
    """The fitted wear as plain lists, numbers and texts."""
    return {
        "format": FORMAT,
        "classes": list(wear.classes),
        "kinds": list(wear.kinds),
        "floors": list(wear.floors),
        "blocks": [_plain(asdict(block)) for block in wear.blocks],
        "habits": [
            {"wears_as": name, "cause": cause, **_plain(asdict(habit))}
            for (name, cause), habit in sorted(wear.habits.items())
        ],
        "spells": {name: _plain(asdict(group)) for name, group in wear.spells.items()},
        "place_effects": [
            [*place, list(values)] for place, values in sorted(wear.place_effects.items())
        ],
        "told": [list(problem) for problem in wear.told],
        **{name: _table_document(getattr(wear, name)) for name in TABLES},
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
        return _wear(document)
    except (KeyError, TypeError, ValueError) as error:
        raise UnreadableFile(
            f"The file of saved rates is damaged ({error}): save the rates anew with "
            "`wearcast floors LOGBOOK --save-rates rates.json`."
        ) from error


def _wear(document: dict[str, Any]) -> Wear:
    """The record, without questions."""
    return Wear(
        classes=tuple(document["classes"]),
        kinds=tuple(document["kinds"]),
        floors=tuple(document["floors"]),
        blocks=tuple(_block(entry) for entry in document["blocks"]),
        habits={
            (entry["wears_as"], entry["cause"]): EdgeHabit(
                entry["alpha"],
                entry["beta"],
                tuple(entry["site"]),
                np.array(entry["replaced"], dtype=float),
                np.array(entry["ends"], dtype=float),
            )
            for entry in document["habits"]
        },
        spells={name: _spells(entry) for name, entry in document["spells"].items()},
        fits={},
        told=tuple(_problem(fields) for fields in document["told"]),
        place_effects={
            (name, machine, position): tuple(values)
            for name, machine, position, values in document["place_effects"]
        },
        **{name: _table(document[name]) for name in TABLES},
    )


def _problem(fields: list[Any]) -> Problem:
    """A finding out of its fields in order."""
    problem = Problem(*fields)
    return problem._replace(rows=tuple(problem.rows))


def _plain(record: dict[str, Any]) -> dict[str, Any]:
    """Arrays as nested lists with their shape kept, tuples as lists."""
    return {name: _plain_value(value) for name, value in record.items()}


def _plain_value(value: Any) -> Any:
    """One field."""
    if isinstance(value, np.ndarray):
        return value.tolist()
    return list(value) if isinstance(value, tuple) else value


def _block(entry: dict[str, Any]) -> Block:
    """A block; its covariance is square even without terms."""
    size = len(entry["terms"])
    return Block(
        entry["name"],
        tuple(entry["terms"]),
        np.array(entry["mean"], dtype=float),
        np.array(entry["cov"], dtype=float).reshape(size, size),
        entry["llf"],
        dict(entry["prior"]),
    )


def _spells(entry: dict[str, Any]) -> ClassSpells:
    """Spells of a class; tables keep their width even without a row."""
    size = len(entry["machine"])
    names = tuple(entry["effect_names"])
    hours = np.array(entry["hours"], dtype=float)
    return ClassSpells(
        machines=tuple(entry["machines"]),
        machine=np.array(entry["machine"], dtype=int),
        hours=hours.reshape(size, -1) if size else np.zeros((0, 0)),
        end_mix=np.array(entry["end_mix"], dtype=float).reshape(hours.shape if size else (0, 0)),
        effects=np.array(entry["effects"], dtype=float).reshape(size, len(names)),
        effect_names=names,
        cause=np.array(entry["cause"], dtype=np.int8),
        spell=np.array(entry["spell"], dtype=int),
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
    texts = {"wears_as", "floor", "basis", "machine", "look", "site", "effect"}
    for name in frame.columns.difference(list(texts)):
        frame[name] = frame[name].astype(int if name == "parts_spent" else float)
    return frame
