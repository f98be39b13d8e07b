"""What acts on wear besides class and floor: one table of effects, and their columns.

The log of a wear rate is that of class and floor plus effects, each a column of one design matrix
with a Gaussian prior around 0:

- ``front`` is +1/2 at a front position and -1/2 at a rear one, so that a floor's rate is the middle
  of the two; ``turning`` says how regularly the part of a place is turned end for end, by turns a
  run hour: 0 (never) to 1 (about as often as is usual in this log), less its mean over the spells.
- ``site``: what a site does to all its parts; ``site own``: to one class beyond that.
- ``quarter``: a time in which the whole fleet wears faster; ``class quarter``: one kind of wear;
  ``site quarter``: one site. A spell that spans several quarters takes each by its share of the
  hours. What is true of one quarter only and what stays changed from then on are one column, see
  `STAYS`.
- ``machine``: what a machine does to all its parts. It is no column: every machine has a place of
  its own in the likelihood (`wearcast.wear.arrow`).

A new effect is a row in `EFFECTS` and a function that makes its columns.
"""

import re
from collections.abc import Callable
from typing import NamedTuple

import numpy as np
import pandas as pd
from scipy.sparse import csr_array, hstack

from wearcast.logbook.findings.coded import coded

MACHINE = "machine"
"""The effect that has no column."""
FRONT_WORDS = {"front", "fore"}
REAR_WORDS = {"rear", "back"}
FEWEST_ENDS = 5
"""Worn ends needed on each side before an effect is looked for."""
REGULAR = 0.7
"""Share of the usual number of turns an hour from which a place counts as regular: a life that is
no whole number of intervals has a turn less, and the shorter it is the more that weighs.
"""


class Levels(NamedTuple):
    """The columns of one effect for one class."""

    terms: tuple[str, ...]
    """Their names; classes that share an effect share its names."""
    wear: csr_array
    """array (spells, columns)"""
    end: csr_array
    """the same when the spell ended"""


class Rows(NamedTuple):
    """Spells of one class, and the quarters in which they ran."""

    name: str
    spells: pd.DataFrame
    """machine, site, position, kind, edges, hours, cause, end_turns"""
    quarters: pd.DataFrame
    """spell (a label of `spells`), quarter, share (of the spell's hours; sums to 1), last (bool:
    the quarter in which it ended)"""


class Effect(NamedTuple):
    """A row of the table of effects."""

    name: str
    levels: Callable[[Rows], Levels | None]
    typical: float
    """Sd of its log before any data; of what stays, odds. Common practice, no source: chosen here,
    tried on the worlds of ``tests/studies/worlds``."""
    unsure: float
    """Sd of the log of that; 0: held."""
    words: str


def _none(rows: Rows) -> Levels | None:  # noqa: ARG001 - these have no columns
    return None


def _column(effect: str, make: Callable[[pd.DataFrame], pd.Series | None]) -> Callable[
    [Rows], Levels | None
]:  # fmt: skip
    """An effect that is one column of a class."""

    def levels(rows: Rows) -> Levels | None:
        values = make(rows.spells)
        if values is None:
            return None
        column = csr_array(values.to_numpy(np.float32)[:, None])
        return Levels((f"{effect}[{rows.name}]",), column, column)

    return levels


def _site(rows: Rows) -> Levels | None:
    return _by(rows.spells["site"].astype(str), "site[{}]")


def _site_own(rows: Rows) -> Levels | None:
    return _by(rows.spells["site"].astype(str), f"site own[{{}}, {rows.name}]")


def _by(label: pd.Series, word: str) -> Levels:
    """A column a label."""
    found = coded(label.to_numpy())
    shape = (len(label), len(found.names))
    begins = np.arange(len(label) + 1, dtype=np.int32)
    flags = csr_array((np.ones(len(label), np.float32), found.codes, begins), shape=shape)
    return Levels(tuple(word.format(name) for name in found.names), flags, flags)


def _quarter(rows: Rows) -> Levels | None:
    return _by_quarter(rows, pd.Series("", rows.spells.index), "quarter[{}]")


def _class_quarter(rows: Rows) -> Levels | None:
    place = pd.Series(f", {rows.name}", rows.spells.index)
    return _by_quarter(rows, place, "class quarter[{}]")


def _site_quarter(rows: Rows) -> Levels | None:
    return _by_quarter(rows, ", " + rows.spells["site"].astype(str), "site quarter[{}]")


def _by_quarter(rows: Rows, place: pd.Series, word: str) -> Levels | None:
    """A column a quarter and place.

    A spell of which nobody knows when it ran takes every quarter of its place alike. Left without
    any it would set the quarters' common level against the rate itself: all quarters fast, the rate
    slow by as much, and the future, whose quarters are not known, as slow.
    """
    table = rows.quarters
    if not len(table):
        return None
    at, own = rows.spells.index.get_indexer(pd.Index(table["spell"])), coded(place.to_numpy())
    names, code = _labels(table["quarter"].to_numpy(np.int64), own.codes[at], own.names)
    known = pd.DataFrame(
        {"at": at, "code": code, "share": table["share"].to_numpy(float),
         "last": table["last"].to_numpy(float)}
    )  # fmt: skip
    bare = np.flatnonzero(np.bincount(at, minlength=len(place)) == 0)
    levels = pd.DataFrame({"place": own.codes[at], "code": code}).drop_duplicates()
    each = pd.DataFrame({"at": bare, "place": own.codes[bare]}).merge(levels, on="place")
    alike = 1.0 / each.groupby("at")["code"].transform("size")
    every = pd.concat([known, each[["at", "code"]].assign(share=alike, last=alike)])
    shape = (len(place), len(names))
    cell = (every["at"].to_numpy(np.int32), every["code"].to_numpy(np.int32))
    wear, end = (
        csr_array((every[of].to_numpy(np.float32), cell), shape=shape) for of in ("share", "last")
    )
    end.eliminate_zeros()
    return Levels(tuple(word.format(name) for name in names), wear, end)


def _labels(
    quarter: np.ndarray, place: np.ndarray, places: np.ndarray
) -> tuple[list[str], np.ndarray]:
    """The labels of quarters and places, sorted, and the number of each row's.

    Arrays (rows,) of int, and (places,) of their names.
    """
    size = max(len(places), 1)
    code, pairs = pd.factorize(quarter * size + place)
    found = coded(np.array([f"{one // size}{places[one % size]}" for one in pairs], object))
    return found.names.tolist(), found.codes[code]


class Design(NamedTuple):
    """All effects of one class."""

    terms: tuple[str, ...]
    wear: csr_array
    """array (spells, terms), in single precision and of short places, as the levels are: of
    millions of spells it is the largest thing"""
    end: csr_array


def class_design(rows: Rows) -> Design:
    """The columns of every effect that the log of a class can tell."""
    found = [levels for effect in EFFECTS if (levels := effect.levels(rows)) is not None]
    terms = tuple(term for levels in found for term in levels.terms)
    if not terms:
        blank = csr_array((len(rows.spells), 0))
        return Design((), blank, blank)
    columns = (
        hstack(blocks, format="csr")
        for blocks in ([levels.wear for levels in found], [levels.end for levels in found])
    )
    return Design(terms, *map(csr_array, columns))


def quarter_of_term(term: str) -> tuple[int, str]:
    """Quarter of a level of an effect of quarters, counted back from as-of, and its place."""
    quarter, _, place = term[term.index("[") + 1 : -1].partition(", ")
    return int(quarter), place


def effect_of(term: str) -> str:
    """Name of the effect that a term is a level of."""
    return term.split("[", 1)[0]


def _front(spells: pd.DataFrame) -> pd.Series | None:
    """Side of each spell's position; None unless both sides have worn ends."""
    names = spells["position"].unique().tolist()
    sides = {name: side_of(set(re.split(r"[^a-z]+", name.lower()))) for name in names}
    side = spells["position"].map(sides).astype(float)
    worn = spells["cause"].eq("worn")
    enough = all((worn & (side == way)).sum() >= FEWEST_ENDS for way in (0.5, -0.5))
    return side if enough else None


def side_of(words: set[str]) -> float:
    """Side of the machine that words speak of: +1/2 front, -1/2 rear, 0 neither or both."""
    return 0.5 * (bool(words & FRONT_WORDS) - bool(words & REAR_WORDS))


def _turning(spells: pd.DataFrame) -> pd.Series | None:
    """How regularly the parts of each place are turned end for end; None if not to be told.

    It is a habit of the place: turns against the chances that its run hours gave. Turns counted
    spell by spell would make long life seem due to turning, for a long spell has time for more.
    """
    if not (spells["edges"].eq(1).all() and spells["end_turns"].gt(0).any()):
        return None
    place = [spells["machine"], spells["position"]]
    turns, hours = (spells[name].groupby(place).transform("sum") for name in ("end_turns", "hours"))
    interval = float((hours / turns)[turns > 0].median())
    chances = REGULAR * hours / interval
    # A place that has hardly run leans on the fleet's habit by one chance.
    usual = float(spells["end_turns"].sum() / (REGULAR * spells["hours"].sum() / interval))
    regular = ((turns + min(usual, 1.0)) / (chances + 1)).clip(upper=1.0)
    worn = spells["cause"].eq("worn")
    enough = all((worn & side).sum() >= FEWEST_ENDS for side in (regular > 0.5, regular <= 0.5))
    return regular - regular.mean() if enough and np.ptp(regular) > 0 else None


Places = dict[tuple[str, str, str], tuple[float, ...]]
"""(wear class, machine, position) -> its values of `PLACE_EFFECTS`."""


def place_values(name: str, spells: pd.DataFrame) -> Places:
    """What stands for the places of a class from now on; 0 for an effect that cannot be told."""
    key = [spells["machine"].astype(str), spells["position"].astype(str)]
    blank = pd.Series(0.0, index=spells.index)
    made = [_PLACE_COLUMNS[effect](spells) for effect in PLACE_EFFECTS]
    last = [(blank if one is None else one).groupby(key).last() for one in made]
    index = last[0].index
    values = zip(*(one.reindex(index).astype(float).tolist() for one in last), strict=True)
    return {(name, *place): own for place, own in zip(index, values, strict=True)}


_PLACE_COLUMNS = {"front": _front, "turning": _turning}
PLACE_EFFECTS = tuple(_PLACE_COLUMNS)
EFFECTS = (
    Effect("front", _column("front", _front), 0.3, 0.0, "front or rear"),
    Effect("turning", _column("turning", _turning), 0.3, 0.0, "turned end for end"),
    Effect("site", _site, 0.15, 0.7, "the site, all its parts alike"),
    Effect("site own", _site_own, 0.04, 0.8, "the site, one kind of wear"),
    Effect("quarter", _quarter, 0.02, 1.0, "the quarter of the year, everywhere"),
    Effect(
        "class quarter", _class_quarter, 0.004, 0.8, "the quarter of the year, one kind of wear"
    ),
    Effect("site quarter", _site_quarter, 0.02, 0.8, "the quarter of the year, at one site"),
    Effect(
        "quarter stays",
        _none,
        0.3,
        1.5,
        "odds that what a quarter changes stays changed, everywhere",
    ),
    Effect("class quarter stays", _none, 0.15, 1.5, "the same, one kind of wear"),
    Effect("site quarter stays", _none, 0.15, 1.5, "the same, at one site"),
    Effect(
        "quarter returns",
        _none,
        0.05,
        2.5,
        "odds that what a quarter changes comes back a year later, everywhere",
    ),
    Effect("class quarter returns", _none, 0.05, 2.5, "the same, one kind of wear"),
    Effect("site quarter returns", _none, 0.05, 2.5, "the same, at one site"),
    Effect(MACHINE, _none, 0.08, 0.8, "the machine, all its parts alike"),
)
STAYS = {one: f"{one} stays" for one in ("quarter", "class quarter", "site quarter")}
"""Effects of quarters, each with the odds that what a quarter changes stays so (another make, floor
or way of cleaning) against that it is over with the quarter. What stays is a random walk that is 0
in the newest quarter, so that the rate itself is the one of now."""
RETURNS = {one: f"{one} returns" for one in STAYS}
"""The same of what comes back with the season: grit of winter, leaves, mud."""
OF_QUARTERS = {
    name: one for names in (STAYS, RETURNS) for one in names for name in (one, names[one])
}
"""The effect of quarters that a name is the sd or the odds of."""
OPERATOR_SD = 0.03
"""Sd of the log by which a stranger's way of working moves all wear; one log cannot tell it.
Common practice, no source."""
OPERATOR_TYPICAL, OPERATOR_UNSURE = 0.06, 1.2
"""Where several operators' logs are there to tell it: sd before any data, and sd of its log. Wider
than for one log, as the range is to hold each of the operators seen."""
OPERATOR, OPERATOR_OWN = "operator", "operator own"
"""What an operator does to all classes, and to one beyond that: effects of pooled rates only."""
