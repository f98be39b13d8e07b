"""From the history's tables to the arrays of each wear class.

A spell counts here if the history says so (``in_fit``) and it has run at all; everything is put
into one order first, so that nothing depends on the order of rows.
"""

from collections.abc import Iterator
from typing import NamedTuple

import numpy as np
import pandas as pd

from wearcast.history.quarters import QUARTER_DAYS
from wearcast.history.story import History
from wearcast.logbook.findings.coded import coded
from wearcast.logbook.schema.tables import EDGES_BY_KIND
from wearcast.wear.causes import CODES, chances_of
from wearcast.wear.class_spells import no_spells, some_spells, stretch
from wearcast.wear.covariates import Places, Rows, class_design, place_values
from wearcast.wear.records import ClassSpells

LEAST_HOURS = 0.05
"""A spell shorter than this [h] says nothing about wear: two lines on one day."""


class Gathered(NamedTuple):
    """What the fit works on."""

    catalogue: pd.DataFrame
    """Index: wear class, sorted; kind, usual_hours (nan: none), edges."""
    kinds: dict[str, str]
    """Kind of each wear class, in order of class."""
    spells: dict[str, ClassSpells]
    firsts: dict[str, ClassSpells]
    """First spells of a position, whose start nobody knows, and edges that never ended."""
    places: Places
    floors: tuple[str, ...]


def wear_classes(history: History, parts: pd.DataFrame) -> pd.DataFrame:
    """One row a wear class (index, sorted): kind, usual_hours [h, nan: none given], edges.

    Where parts of one class give several usual hours, their geometric mean stands.
    """
    named = parts[["wears_as", "kind", "edges", "usual_hours"]]
    carried = [frame[["wears_as", "kind", "edges"]] for frame in (history.spells, history.running)]
    rows = pd.concat(
        [named, *[frame.assign(usual_hours=np.nan) for frame in carried if len(frame)]]
    )
    rows = rows.assign(log_hours=np.log(rows["usual_hours"].astype(float).where(lambda h: h > 0)))
    classes = rows.groupby("wears_as", sort=True).agg(
        kind=("kind", "first"), edges=("edges", "max"), log_hours=("log_hours", "mean")
    )
    classes["edges"] = classes["edges"].fillna(classes["kind"].map(EDGES_BY_KIND)).fillna(1)
    classes["usual_hours"] = np.exp(classes.pop("log_hours"))
    return classes


def gather(history: History, parts: pd.DataFrame) -> Gathered:
    """The spells in the fit, and the first ones of unknown start, class by class."""
    catalogue = wear_classes(history, parts)
    unchanged = _unchanged(history)
    floors = tuple(history.floors)
    names = catalogue.index.astype(str)
    spells = dict.fromkeys(names, no_spells(len(floors)))
    firsts = dict.fromkeys(names, no_spells(len(floors)))
    places: Places = {}
    quarters = shares_of_quarters(history)
    for name, here in _seen(history, unchanged):
        own = quarters[quarters["spell"].isin(here.index)]
        every = _class_spells(Rows(name, here, own), history, unchanged)
        whole = int(here["in_fit"].sum())
        spells[name] = stretch(every, slice(0, whole))
        firsts[name] = stretch(every, slice(whole, len(here)))
        places.update(place_values(name, here))
    kinds = dict(zip(spells, catalogue["kind"].astype(str), strict=True))
    return Gathered(catalogue, kinds, spells, firsts, places, floors)


def _seen(history: History, unchanged: pd.DataFrame) -> Iterator[tuple[str, pd.DataFrame]]:
    """Each class and what was watched of it at work.

    Spells with known start; with in_fit False first ones with a sure end, and `unchanged`
    positions, whose labels are negative, behind the others. Each sorted by machine, position and
    time.
    """
    frame = history.spells
    some = frame["in_fit"].astype(bool) | frame["forward"].astype(bool)
    some &= history.exposure.sum(axis=1).ge(LEAST_HOURS)
    found = coded(frame["wears_as"].to_numpy())
    for name in sorted({*found.seen(some.to_numpy()).tolist(), *unchanged["wears_as"]}):
        here = frame.loc[some & found.holds(name), list(_COLUMNS)]
        never = unchanged[unchanged["wears_as"].eq(name)]
        if len(never):
            here = pd.concat([here, never[list(_COLUMNS)].astype(here.dtypes)])
        here = here.assign(late=~here["in_fit"].astype(bool))
        order = ["late", "machine", "position", "start", "edge"]
        yield str(name), here.sort_values(order, kind="stable")


def _on_floors(
    history: History, unchanged: pd.DataFrame, labels: pd.Index
) -> tuple[np.ndarray, np.ndarray]:
    """Hours on each floor [h], and its share when the spell ended: arrays (spells, floors)."""
    late = labels.to_numpy() < 0
    hours, shares = np.empty((2, len(labels), len(history.floors)))
    for out, known in ((hours, history.exposure), (shares, history.end_mix)):
        out[~late] = known.loc[labels[~late], list(history.floors)]
    place = unchanged["place"].loc[labels[late]]
    hours[late] = history.running_exposure.loc[place, list(history.floors)]
    shares[late] = hours[late] / hours[late].sum(axis=1, keepdims=True)
    return hours, shares


_COLUMNS = (
    "machine", "site", "position", "wears_as", "kind", "edges", "edge", "start", "hours", "cause",
    "end_turns", "in_fit",
)  # fmt: skip
"""What a spell must tell here."""


def _unchanged(history: History) -> pd.DataFrame:
    """Positions of which nobody wrote a change while they were watched, as spells without start.

    The columns of `_COLUMNS`, and place, the label of the running position.
    """
    running = history.running
    hours = history.running_exposure.sum(axis=1)
    never = running[running["age"].eq("unknown") & hours.ge(LEAST_HOURS)]
    blank = pd.Series(pd.NaT, index=never.index, dtype="datetime64[ns]")
    made = never.assign(
        start=blank, hours=hours[never.index], cause="running", end_turns=0, in_fit=False
    )
    labels = -1 - np.arange(len(made))
    return made[list(_COLUMNS)].assign(place=made.index).set_axis(labels)


def shares_of_quarters(history: History) -> pd.DataFrame:
    """Each spell's share of its hours in each quarter: spell, quarter, share, last.

    A log begins in the middle of a quarter. Where less than half of that one is in it, it goes with
    the next: of a week in which by chance (or since changes are written at the month's end) nothing
    ended, one cannot say that everything wore slowly, and all other quarters fast.
    """
    table = history.spell_quarters
    if len(history.meters):
        days = (history.as_of - history.meters["date"].min()).days
        oldest = max(round(days / QUARTER_DAYS) - 1, 0)
        late = table["quarter"] > oldest
        if late.any():
            joined = table.assign(quarter=np.minimum(table["quarter"], oldest))
            table = joined.groupby(["spell", "quarter"], sort=False)[["hours"]].sum().reset_index()
    whole = table.groupby("spell")["hours"].transform("sum")
    table, whole = table[whole > 0], whole[whole > 0]
    share, quarter = table["hours"] / whole, table["quarter"]
    first = quarter.groupby(table["spell"]).transform("min")
    return pd.DataFrame(
        {"spell": table["spell"], "quarter": quarter, "share": share, "last": quarter.eq(first)}
    )


def _class_spells(rows: Rows, history: History, unchanged: pd.DataFrame) -> ClassSpells:
    """Arrays of one class, in the frame's order."""
    frame = rows.spells
    machines = coded(frame["machine"].to_numpy())
    design = class_design(rows)
    cause = frame["cause"].map(CODES).to_numpy(np.int8)
    hours, end_mix = _on_floors(history, unchanged, frame.index)
    return ClassSpells(
        machines=tuple(machines.names.tolist()),
        machine=machines.codes,
        hours=hours,
        end_mix=end_mix,
        effect_names=design.terms,
        effects=design.wear,
        end_effects=design.end,
        cause=cause,
        chances=chances_of(cause),
        site=frame["site"].astype(str).to_numpy(object),
        spell=frame.index.to_numpy(),
    )


def without(gathered: Gathered, left_out: pd.Index) -> Gathered:
    """The same less some spells, given by their labels."""
    if not len(left_out):
        return gathered
    spells = {
        name: some_spells(group, ~np.isin(group.spell, left_out))
        for name, group in gathered.spells.items()
    }
    return gathered._replace(spells=spells)
