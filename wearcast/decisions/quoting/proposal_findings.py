"""What a proposal asks of the rates that they cannot give: floors, parts and wear never seen.

Such a proposal still has a price, with what is usual and how widely that differs in place of what
was measured; the findings say so, and which name may have been meant.
"""

from collections.abc import Iterable
from dataclasses import replace

import pandas as pd

from wearcast.logbook.book import Logbook
from wearcast.logbook.schema.spelling import did_you_mean, fold, listed
from wearcast.told import Problem
from wearcast.wear.records import Wear

_LESS_SURE = "the price is less sure for it"


def spelled_as_learnt(proposal: Logbook, wear: Wear) -> Logbook:
    """The proposal, with floors that the rates spell otherwise in case or blanks spelled so."""
    by_key: dict[str, set[str]] = {}
    for floor in wear.floors:
        by_key.setdefault(fold(floor), set()).add(floor)
    respelled = {
        floor: min(by_key[fold(floor)])
        for floor in sorted(set(proposal.floors["floor"]) - set(wear.floors))
        if len(by_key.get(fold(floor), ())) == 1
    }
    if not respelled:
        return proposal
    told = [
        Problem("floors", "floors", (), "floor", floor, "repaired",
                f"the rates spell it {known}; read as that", "")
        for floor, known in respelled.items()
    ]  # fmt: skip
    floors = proposal.floors.assign(floor=proposal.floors["floor"].replace(respelled))
    return replace(proposal, floors=floors, told=(*proposal.told, *told))


def tell_proposal(
    proposal: Logbook, wear: Wear, catalogue: pd.DataFrame | None
) -> tuple[Problem, ...]:
    """Findings about what a proposal needs and the rates do not hold.

    Parameters
    ----------
    proposal : Logbook
        Its parts as priced: filled from the catalogue.
    wear : Wear
    catalogue : DataFrame, optional
        The parts of the logbook that the rates were learnt from.
    """
    known = [] if catalogue is None else list(catalogue["part"])
    return (
        *_tell_floors(proposal, wear),
        *_tell_parts(proposal, known),
        *_tell_classes(proposal, wear),
        *_tell_plans(proposal),
    )


def _tell_floors(proposal: Logbook, wear: Wear) -> list[Problem]:
    """Machines without floors, and floors that nobody has measured."""
    machines = sorted(set(proposal.positions["machine"]) - set(proposal.floors["machine"]))
    told = []
    if machines:
        told.append(_note(
            "floors", "floor", "", f"no floor is given for {listed(machines)}; any floor is drawn "
            f"for, and {_LESS_SURE}", "Add rows with their floors and shares", len(machines),
        ))  # fmt: skip
    table = wear.floor_table
    measured = sorted(set(table.loc[table["hours"].gt(0), "floor"]))
    for floor in sorted(set(proposal.floors["floor"]) - set(measured)):
        cure = f"Floors measured are {listed(measured)}"
        told.append(_note(
            "floors", "floor", floor, "nobody has measured wear on this floor; what floors usually "
            f"do is drawn for it, and {_LESS_SURE}", did_you_mean(floor, measured, cure), 1,
        ))  # fmt: skip
    return told


def _tell_parts(proposal: Logbook, known: Iterable[str]) -> list[Problem]:
    """Parts at positions that stand in no catalogue."""
    parts = proposal.parts
    bare = set(parts.loc[~parts["catalogued"].astype(bool), "part"])
    return [
        _note("positions", "part", part, "no catalogue lists this part; its kind is read off its "
              "name", did_you_mean(part, known, "Correct it, or add it to parts"), 1)
        for part in sorted(bare & set(proposal.positions["part"]))
    ]  # fmt: skip


def _tell_classes(proposal: Logbook, wear: Wear) -> list[Problem]:
    """Wear classes at positions of which nobody has measured an edge."""
    parts = proposal.parts
    listed_ones = parts[parts["catalogued"].astype(bool)]
    carried = listed_ones[listed_ones["part"].isin(proposal.positions["part"])]
    edges = wear.floor_table.groupby("wears_as")["spells"].sum()
    measured = sorted(edges.index[edges.gt(0)].astype(str))
    return [
        _note("parts", "wears_as", name, "nobody has measured how these wear; a typical life is "
              f"drawn for them, and {_LESS_SURE}",
              did_you_mean(name, measured, "Give usual_hours if you know better"), 1)
        for name in sorted(set(carried["wears_as"]) - set(measured))
    ]  # fmt: skip


def _tell_plans(proposal: Logbook) -> list[Problem]:
    """Open plans that a later one takes the place of: a second shift is not added to the first."""
    plans = proposal.plans.sort_values(["machine", "start"], kind="stable")
    after = plans.groupby("machine")["start"].shift(-1)
    names = sorted(set(plans.loc[plans["end"].isna() & after.notna(), "machine"]))
    if not names:
        return []
    return [_note(
        "plans", "start", "", f"the later of two plans of {listed(names)} takes the place of the "
        "earlier one, which has no end; hours are not added", "If two shifts are meant, write "
        "their hours together into one row", len(names),
    )]  # fmt: skip


def _note(table: str, column: str, value: str, wrong: str, remedy: str, weight: float) -> Problem:
    return Problem(table, table, (), column, value, "note", wrong, remedy, float(weight))
