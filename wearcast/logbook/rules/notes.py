"""What is worth knowing although every row is used: names without a line, near names, blanks.

Where a used name has no line and a like one has a line that nothing uses, the line is taken to
be the slip and is the one told.
"""

from collections.abc import Callable, Collection, Iterable, Sequence

import numpy as np
import pandas as pd

from wearcast.logbook.findings.drafts import (
    MOST_FINDINGS,
    Draft,
    Drafts,
    Finding,
    gathered,
    settle,
)
from wearcast.logbook.findings.places import among, place_keys
from wearcast.logbook.schema.spelling import did_you_mean, look_alike, nearest, one_slip

MOST_COMPARED = 300
"""More different names than this are not compared with each other."""
SLIPS = (("machines", "site"), ("machines", "depot"), ("parts", "supplier"), ("parts", "wears_as"))
"""Columns of names that are often alike for a reason: only a slip of the pen is told."""
MACHINE_TABLES = ("readings", "changes", "floors", "positions", "plans")
PART_TABLES = ("changes", "positions", "stock", "on_order")


def with_notes(drafts: Drafts, refused: Collection[str] = ()) -> Drafts:
    """The drafts with every note told; none that only says again what table was refused."""
    rules = [machine_notes, position_notes, stock_notes]
    if "parts" not in refused:
        rules.append(part_notes)
    for rule in rules:
        for table, findings in rule(drafts).items():
            drafts = {**drafts, table: settle(drafts[table], findings)}
    near = near_names(drafts["floors"], "floor")
    drafts = {**drafts, "floors": settle(drafts["floors"], near)}
    for table, column in SLIPS:
        near = near_names(drafts[table], column, one_slip)
        drafts = {**drafts, table: settle(drafts[table], near)}
    blank = blank_causes(drafts["changes"])
    return {**drafts, "changes": settle(drafts["changes"], blank)}


def machine_notes(drafts: Drafts) -> dict[str, list[Finding]]:
    """Machines that have readings but no row of their own although others have."""
    own = _names(drafts["machines"], "machine")
    if not own or _any_aside(drafts["machines"]):
        return {}
    idle = own - _used(drafts, MACHINE_TABLES, "machine")
    strange = _names(drafts["readings"], "machine") - own
    slips = _slips(idle, strange)
    wrong = "has no row in the table machines; counted as a machine of its own"
    cure = "Add it to the table machines, or correct the name"
    left = strange - set(slips.values())
    return {
        "machines": _slip_notes(drafts["machines"], "machine", slips),
        "readings": _each_name(drafts["readings"], "machine", left, own, wrong, cure),
    }


def part_notes(drafts: Drafts) -> dict[str, list[Finding]]:
    """Parts without a catalogue line, told where changes name them, else in positions."""
    own = _names(drafts["parts"], "part")
    if _any_aside(drafts["parts"]):
        return {}
    if not own:
        return _without_catalogue(drafts["changes"])
    idle = own - _used(drafts, PART_TABLES, "part")
    changed, carried = (_names(drafts[table], "part") for table in ("changes", "positions"))
    slips = _slips(idle, (changed | carried) - own)
    own |= set(slips.values())
    wrong = "has no line in the table parts; forecast like any other, without a price"
    cure = "Add it to the table parts, or correct the name"
    places = {"changes": changed - own, "positions": carried - changed - own}
    found = {
        table: _each_name(drafts[table], "part", names, own, wrong, cure)
        for table, names in places.items()
    }
    return {**found, "parts": _slip_notes(drafts["parts"], "part", slips)}


def _without_catalogue(changes: Draft) -> dict[str, list[Finding]]:
    used = changes.used
    rows = used.index[used["part"].ne("")]
    wrong = "there is no table parts with these in it; forecast without prices"
    finding = Finding(rows, "part", "note", "kept", wrong, "Add a table parts")
    return {"changes": [finding] if len(rows) else []}


def position_notes(drafts: Drafts) -> dict[str, list[Finding]]:
    """Positions in changes that the machine's rows in the positions table do not list."""
    known = _names(drafts["positions"], "position")
    if not known:
        return {"changes": near_names(drafts["changes"], "position")}
    carried, changes = drafts["positions"], drafts["changes"]
    listed, changed = place_keys(drafts)
    changed = changed[changes.used_rows]
    strange = changes.used[~among(changed, listed)]
    strange = strange[strange["machine"].isin(carried.coded("machine").seen())]
    idle = carried.frame.loc[~among(listed, changed), "position"]
    slips = _slips(
        set(idle) - {*changes.coded("position").seen(changes.used_rows)},
        set(strange["position"]) - {*carried.coded("position").seen()},
    )
    left = strange[~strange["position"].isin(slips.values())]
    wrong = "the positions table lists no such position on that machine"
    cure = "Add it to the table positions, or correct the name"
    told = []
    for at, (name, rows) in enumerate(left.groupby("position", sort=True)):
        others = known - {str(name)}
        hint = did_you_mean(str(name), others, cure) if at < MOST_FINDINGS else cure
        told.append(Finding(rows.index, "position", "note", "kept", wrong, hint))
    return {
        "positions": _slip_notes(drafts["positions"], "position", slips),
        "changes": gathered(told),
    }


def stock_notes(drafts: Drafts) -> dict[str, list[Finding]]:
    """Catalogue parts in use that the stock table does not name."""
    stocked = _names(drafts["stock"], "part")
    if not stocked or _any_aside(drafts["stock"]):
        return {}
    missing = _used(drafts, ("positions", "changes"), "part") - stocked
    parts = drafts["parts"].used
    rows = parts.index[parts["part"].isin(missing)]
    if rows.empty:
        return {}
    wrong = "has no row in the table stock; none is taken to be on the shelf"
    cure = "Count it and add the row"
    return {"parts": [Finding(rows, "part", "note", "kept", wrong, cure)]}


def near_names(
    draft: Draft, column: str, alike: Callable[[str, str], bool] = look_alike
) -> list[Finding]:
    """Names that look like slips of another name: kept apart, and told once a pair."""
    names = draft.used[column]
    counts = names[names.ne("")].value_counts()
    every = sorted(counts.index)
    if len(every) > MOST_COMPARED:
        return []
    pairs = [
        sorted((one, other), key=lambda name: (counts[name], len(name), name))
        for at, one in enumerate(every)
        for other in every[at + 1 :]
        if alike(one, other)
    ]
    return gathered([_near_pair(names, column, pair) for pair in pairs])


def _near_pair(names: pd.Series, column: str, pair: Sequence[str]) -> Finding:
    rare, usual = pair
    wrong = f"looks like {usual}; kept apart from it"
    cure = f"If {rare} is {usual}, write it so"
    return Finding(names.index[names.eq(rare)], column, "note", "kept", wrong, cure)


def blank_causes(draft: Draft) -> list[Finding]:
    """Turns, removals and later fits whose cause is blank: read as worn, and counted."""
    if "" not in draft.coded("cause").seen(draft.used_rows):
        return []
    changes = draft.used.sort_values("date", kind="stable")
    first = ~changes.duplicated(["machine", "position"])
    ends = changes["action"].ne("fit") | ~first
    blank = ends & changes["cause"].eq("")
    if not blank.any():
        return []
    wrong = f"blank on {int(blank.sum())} of {int(ends.sum())} changes; read as worn"
    rows = np.sort(changes.index[blank])
    return [Finding(rows, "cause", "note", "kept", wrong, "Write why the edge ended", "")]


def _names(draft: Draft, column: str) -> set[str]:
    """The names in a column; rows that were set aside for another cell count too."""
    return draft.names(column, draft.open_rows)


def _used(drafts: Drafts, tables: Sequence[str], column: str) -> set[str]:
    return set().union(*(_names(drafts[table], column) for table in tables))


def _any_aside(draft: Draft) -> bool:
    """Whether rows were set aside: what seems to be missing may stand in them."""
    return draft.any_aside


def _slips(idle: set[str], strange: set[str]) -> dict[str, str]:
    """Declared names that nothing uses -> the undeclared name in use that each is a slip of."""
    found: dict[str, str] = {}
    for name in sorted(idle)[:MOST_FINDINGS]:
        near = nearest(name, strange - set(found.values()))
        if near:
            found[name] = near[0]
    return found


def _slip_notes(draft: Draft, column: str, slips: dict[str, str]) -> list[Finding]:
    names = draft.used[column]
    return [
        Finding(
            names.index[names.eq(name)],
            column,
            "note",
            "kept",
            f"no other table names it, and {meant} has no row here",
            f"Did you mean {meant}? Correct the name",
        )
        for name, meant in slips.items()
    ]


def _each_name(
    draft: Draft, column: str, names: Iterable[str], known: set[str], wrong: str, cure: str
) -> list[Finding]:
    """One note a name, with the nearest of the known ones."""
    if draft.names(column).isdisjoint(names):
        return []
    here = draft.used[column]
    here = here[here.isin(list(names))]
    findings = []
    for at, (name, rows) in enumerate(here.groupby(here, sort=True)):
        hint = did_you_mean(str(name), known, cure) if at < MOST_FINDINGS else cure
        findings.append(Finding(rows.index, column, "note", "kept", wrong, hint))
    return gathered(findings)
