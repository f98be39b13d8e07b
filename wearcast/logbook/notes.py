"""What is worth knowing although every row is used: names without a line, near names, blanks."""

from collections.abc import Iterable, Sequence

import numpy as np
import pandas as pd

from wearcast.logbook.drafts import Draft, Drafts, Finding, settle
from wearcast.logbook.spelling import look_alike, nearest

MOST_COMPARED = 300
"""More different names than this are not compared with each other."""
MOST_HINTED = 50


def with_notes(drafts: Drafts) -> Drafts:
    """The drafts with every note told."""
    notes = {
        "readings": undeclared_machines(drafts),
        "changes": [*_uncatalogued(drafts, "changes"), *_places(drafts), *blank_causes(drafts)],
        "positions": _uncatalogued(drafts, "positions"),
        "floors": near_names(drafts["floors"], "floor"),
        "parts": without_stock(drafts),
    }
    return {name: settle(draft, notes.get(name, [])) for name, draft in drafts.items()}


def _each_name(
    draft: Draft, column: str, names: Iterable[str], known: Iterable[str], wrong: str, remedy: str
) -> list[Finding]:
    """One note a name, with the nearest of the known ones."""
    here = draft.used[column]
    known = list(known)
    found = []
    for at, name in enumerate(sorted(names)):
        near = nearest(name, known) if at < MOST_HINTED else []
        hint = f"{remedy}; did you mean {near[0]}?" if near else remedy
        found.append(Finding(here.index[here.eq(name)], column, "note", "kept", wrong, hint))
    return found


def undeclared_machines(drafts: Drafts) -> list[Finding]:
    """Machines that have readings but no row of their own although others have."""
    own = set(drafts["machines"].frame["machine"]) - {""}
    if not own:
        return []
    strange = set(drafts["readings"].used["machine"]) - own
    wrong = "has no row in the table machines; counted as a machine of its own"
    remedy = "Add it to the table machines, or correct the name"
    return _each_name(drafts["readings"], "machine", strange, own, wrong, remedy)


def _uncatalogued(drafts: Drafts, table: str) -> list[Finding]:
    """Parts without a catalogue line; those in changes are told there."""
    own = set(drafts["parts"].frame["part"]) - {""}
    strange = set(drafts[table].used["part"]) - own - {""}
    if table != "changes":
        strange -= set(drafts["changes"].used["part"])
    wrong = "has no line in the table parts: forecast like any other, without a price"
    remedy = "Add it to the table parts"
    return _each_name(drafts[table], "part", strange, own, wrong, remedy)


def _places(drafts: Drafts) -> list[Finding]:
    """Positions in changes that the machine's rows in the positions table do not list."""
    carried = drafts["positions"].frame
    changes = drafts["changes"].used
    listed = changes["machine"].isin(set(carried["machine"]))
    pairs = pd.MultiIndex.from_frame(changes[["machine", "position"]])
    known = pairs.isin(pd.MultiIndex.from_frame(carried[["machine", "position"]]))
    strange = changes[listed & ~known]
    if strange.empty:
        names = set(carried["position"]) - {""}
        return near_names(drafts["changes"], "position") if not names else []
    wrong = "the positions table lists no such position on that machine"
    remedy = "Add it to the table positions, or correct the name"
    found = []
    for name, rows in strange.groupby("position", sort=True):
        near = nearest(str(name), set(carried["position"]) - {"", str(name)})
        hint = f"{remedy}; did you mean {near[0]}?" if near else remedy
        found.append(Finding(rows.index, "position", "note", "kept", wrong, hint))
    return found


def near_names(draft: Draft, column: str) -> list[Finding]:
    """Names that look like slips of another name: kept apart, and told once a pair."""
    names = draft.used[column]
    counts = names[names.ne("")].value_counts()
    every = sorted(counts.index)
    if len(every) > MOST_COMPARED:
        return []
    pairs = [
        (one, other)
        for at, one in enumerate(every)
        for other in every[at + 1 :]
        if look_alike(one, other)
    ]
    return [_near_pair(names, column, _rarer_first(pair, counts)) for pair in pairs]


def _rarer_first(pair: Sequence[str], counts: "pd.Series[int]") -> list[str]:
    return sorted(pair, key=lambda name: (counts[name], name))


def _near_pair(names: pd.Series, column: str, pair: Sequence[str]) -> Finding:
    rare, usual = pair
    wrong = f"looks like {usual}; kept apart from it"
    remedy = f"If {rare} is {usual}, write it so"
    return Finding(names.index[names.eq(rare)], column, "note", "kept", wrong, remedy)


def blank_causes(drafts: Drafts) -> list[Finding]:
    """Turns, removals and later fits whose cause is blank: read as worn, and counted."""
    changes = drafts["changes"].used.sort_values("date", kind="stable")
    first = ~changes.duplicated(["machine", "position"])
    ends = changes["action"].ne("fit") | ~first
    blank = ends & changes["cause"].eq("")
    if not blank.any():
        return []
    wrong = f"blank on {int(blank.sum())} of {int(ends.sum())} changes; read as worn"
    rows = np.sort(changes.index[blank])
    return [Finding(rows, "cause", "note", "kept", wrong, "Write why the edge ended", "")]


def without_stock(drafts: Drafts) -> list[Finding]:
    """Catalogue parts that the stock table does not name: none is taken to be on the shelf."""
    stocked = set(drafts["stock"].frame["part"]) - {""}
    parts = drafts["parts"].used
    in_use = set(drafts["positions"].used["part"]) | set(drafts["changes"].used["part"])
    rows = parts.index[parts["part"].isin(in_use - stocked)]
    if not stocked or rows.empty:
        return []
    wrong = "has no row in the table stock; none is taken to be on the shelf"
    return [Finding(rows, "part", "note", "kept", wrong, "Count it and add the row")]
