"""A position that was given another name during the log.

Left alone, the old name would be at work for ever and the new one beside it: twice the use. Where
one name ends and another begins on all their machines, and both are of one part or differ in their
noun alone, they are one position.
"""

import re
from dataclasses import replace
from typing import Literal

import numpy as np
import pandas as pd

from wearcast.logbook.findings.drafts import Drafts, Finding, settle
from wearcast.logbook.findings.places import place_keys
from wearcast.logbook.schema.names import kind_of
from wearcast.logbook.schema.spelling import tidy
from wearcast.logbook.schema.vocabulary import KIND_NOUNS

FEWEST = 2
"""Changes under either name from which one may have become the other."""
FEWEST_MACHINES, MOSTLY = 3, 0.8
"""Machines, and share of them, on which the part stays the same: names alone need not be alike. All
three are chosen here."""


def in_new_names(drafts: Drafts) -> Drafts:
    """The drafts with changes under an old name under the one that the positions table knows.

    That is the new one where it knows neither.
    """
    found = renamed_positions(drafts)
    if found.empty:
        return drafts
    listed = set(drafts["positions"].used["position"])
    changes = drafts["changes"]
    names = changes.frame["position"].copy()
    findings = []
    for (old, new), machines in found.groupby(["old", "new"], sort=True)["machine"]:
        kept, other = (old, new) if old in listed and new not in listed else (new, old)
        rows = changes.used_rows & names.eq(str(other)) & changes.frame["machine"].isin(machines)
        names[rows] = kept
        wrong = f"{new} begins where {old} ends, on every machine; both are read as {kept}"
        cure = "If they are two, list both in the table positions"
        at = changes.frame.index[rows]
        findings.append(Finding(at, "position", "repaired", "kept", wrong, cure))
    changes = settle(changes, findings)
    return {**drafts, "changes": replace(changes, frame=changes.frame.assign(position=names))}


def renamed_positions(drafts: Drafts) -> pd.DataFrame:
    """Names of which the second took the place of the first: machine, old, new; a row each."""
    places = _places(drafts)
    pairs = places.merge(places, on="machine", suffixes=("_old", "_new"))
    pairs = pairs[pairs["position_old"].ne(pairs["position_new"])]
    after = pairs["last_old"].lt(pairs["first_new"]) & ~(pairs["listed_old"] & pairs["listed_new"])
    both = ["position_old", "position_new"]
    of = pairs.assign(after=after).groupby(both, as_index=False).agg(
        machines=("machine", "size"), after=("after", "all"),
        olds=("size_old", "sum"), news=("size_new", "sum"),
    )  # fmt: skip
    of = of[of["after"] & of[["olds", "news"]].min(axis=1).ge(FEWEST)]
    of = of[2 * of["machines"] > of["position_new"].map(places["position"].value_counts())]
    named = pairs.merge(of[both])
    if named.empty:
        return pd.DataFrame(columns=["machine", "old", "new"])
    parts = named["place_old"].map(_parts(drafts, named["place_old"], "last"))
    same = parts.eq(named["place_new"].map(_parts(drafts, named["place_new"], "first")))
    of = of.merge(named.assign(same=same).groupby(both, as_index=False)["same"].mean())
    names = drafts["changes"].coded("position").names
    alike = [_alike(names[new], names[old]) for old, new in of[both].to_numpy()]
    stays = of["same"].ge(MOSTLY) & of["machines"].ge(FEWEST_MACHINES)
    of = of[np.array(alike, bool) | stays]
    once = ~(of.duplicated(both[0], keep=False) | of.duplicated(both[1], keep=False))
    named = named.merge(of.loc[once, both])
    machines = drafts["changes"].coded("machine").names
    columns = [machines[named["machine"]], *(names[named[one]] for one in both)]
    return pd.DataFrame(dict(zip(("machine", "old", "new"), columns, strict=True)))


def _places(drafts: Drafts) -> pd.DataFrame:
    """Every position of a machine that dated changes name.

    Columns: place, machine, position (codes), first, last (dates), size (changes), listed (in the
    table positions).
    """
    changes = drafts["changes"]
    dated = changes.used_rows & changes.frame["date"].notna().to_numpy()
    carried, changed = place_keys(drafts)
    rows = pd.DataFrame(
        {
            "place": changed[dated],
            "machine": changes.coded("machine").codes[dated],
            "position": changes.coded("position").codes[dated],
            "date": changes.frame["date"].to_numpy()[dated],
        }
    )
    places = rows.groupby("place", as_index=False).agg(
        machine=("machine", "first"), position=("position", "first"),
        first=("date", "min"), last=("date", "max"), size=("date", "size"),
    )  # fmt: skip
    return places.assign(listed=places["place"].isin(carried[drafts["positions"].used_rows]))


def _parts(drafts: Drafts, places: pd.Series, which: Literal["first", "last"]) -> pd.Series:
    """The first or last part written at some places, by place."""
    changes = drafts["changes"]
    here = changes.used_rows & np.isin(place_keys(drafts)[1], places)
    rows = changes.frame.loc[here, ["date", "part"]].assign(place=place_keys(drafts)[1][here])
    rows = rows[rows["part"].ne("") & rows["date"].notna()].sort_values("date", kind="stable")
    parts: pd.Series = rows.groupby("place")["part"].agg(which)
    return parts


def _alike(new: str, old: str) -> bool:
    """Whether two names differ in their noun alone."""
    kind = kind_of(new)
    return _placement(new) == _placement(old) and kind == kind_of(old) != "other"


def _placement(name: str) -> list[str]:
    """The words of a position but for its nouns, in any order: front, left."""
    nouns = {noun for _, names in KIND_NOUNS for noun in names}
    words = re.findall(r"[^\W_]+", tidy(name).casefold())
    return sorted(word for word in words if word.removesuffix("s") not in nouns)
