"""What a proposal asks of the rates that they do not hold is told, with the name likely meant."""

from dataclasses import replace
from pathlib import Path

import pandas as pd
import pytest

from tests.conftest import table
from wearcast.decisions.quoting.proposal_findings import spelled_as_learnt, tell_proposal
from wearcast.logbook.book import Logbook, read_logbook

CATALOGUE = table("part  kind  wears_as  catalogued | GUM  blade  gum  yes")


FLOORS = table("""
    wears_as  floor  hours  spells
    gum       slate  0      0
    gum       tile   900    12
    gum       vinyl  500    4
    pad       tile   0      0
""")


class Learnt:
    """What the findings ask of a fit: gum measured on tile and vinyl, never on slate."""

    floors = ("slate", "tile", "vinyl")
    floor_table = FLOORS


@pytest.fixture
def proposal(tmp_path: Path) -> Logbook:
    for name, text in {
        "machines": "machine,site\nN1,new house\n",
        "floors": "machine,floor,share\nN1,tile,1\n",
        "positions": "machine,position,part\nN1,front blade,GUM\n",
        "plans": "machine,start,hours_per_week\nN1,2027-01-04,20\n",
        "parts": "part,kind,wears_as,price\nGUM,blade,gum,10\n",
    }.items():
        (tmp_path / f"{name}.csv").write_text(text, encoding="utf-8")
    return read_logbook(tmp_path, proposal=True)


def told(proposal: Logbook) -> list[tuple[str, str, str]]:
    found = tell_proposal(proposal, Learnt(), CATALOGUE)  # type: ignore[arg-type]
    return [(each.value, each.wrong, each.remedy) for each in found]


def edited(proposal: Logbook, **changed) -> Logbook:
    """Tables with other values in some columns, or with none of their rows."""
    tables = {name: getattr(proposal, name) for name in changed}
    made = {
        name: table.assign(**changed[name]) if changed[name] else table.iloc[:0]
        for name, table in tables.items()
    }
    return replace(proposal, **made)


GUMM = {"positions": {"part": "GUMM"}, "parts": {"part": "GUMM", "catalogued": False}}
GUESSED = "and the price is less sure for it"
UNMEASURED = (
    f"nobody has measured wear on this floor; what floors usually do is drawn for it, {GUESSED}"
)
HOW = "nobody has measured how these wear; a typical life is drawn for them,"


@pytest.mark.parametrize(
    ("changed", "found"),
    [
        ({}, []),
        (
            {"floors": {"floor": "tyle"}},
            [("tyle", UNMEASURED, "Did you mean tile? Floors measured are tile, vinyl")],
        ),
        (
            {"floors": {"floor": "slate"}},
            [("slate", UNMEASURED, "Floors measured are tile, vinyl")],
        ),
        (
            {"floors": {}},
            [("", f"no floor is given for N1; any floor is drawn for, {GUESSED}",
              "Add rows with their floors and shares")],
        ),
        (
            GUMM,
            [("GUMM", "no catalogue lists this part; its kind is read off its name",
              "Did you mean GUM? Correct it, or add it to parts")],
        ),
        (
            {"parts": {"wears_as": "pad"}},
            [("pad", f"{HOW} {GUESSED}", "Give usual_hours if you know better")],
        ),
    ],
    ids=["all known", "misspelled", "not measured", "no floor", "part", "wear class"],
)  # fmt: skip
def test_what_the_rates_do_not_hold_is_told_with_what_is_meant(proposal: Logbook, changed, found):
    assert told(edited(proposal, **changed)) == found


def test_a_floor_in_another_case_is_the_one_that_was_learnt(proposal: Logbook):
    other = edited(proposal, floors={"floor": "Tile"})
    read = spelled_as_learnt(other, Learnt())  # type: ignore[arg-type]
    assert list(read.floors["floor"]) == ["tile"]
    assert read.told[-1][4:] == ("Tile", "repaired", "the rates spell it tile; read as that", "", 0)


class Twice(Learnt):
    """Rates that spell a floor in two ways."""

    floors = ("Tile", "tile ")


@pytest.mark.parametrize(
    ("floor", "learnt"), [("tile", Learnt()), ("tyle", Learnt()), ("TILE", Twice())]
)
def test_floors_as_learnt_unknown_or_spelled_in_two_ways_stay(proposal: Logbook, floor, learnt):
    other = edited(proposal, floors={"floor": floor})
    assert spelled_as_learnt(other, learnt) is other


def test_findings_weigh_the_machines_or_the_one_name(proposal: Logbook):
    twice = replace(proposal, positions=proposal.positions.iloc[[0, 0]])
    where = {"machine": ["N1", "N2"], "part": "GUMM"}
    bare = edited(twice, **GUMM | {"floors": {}, "positions": where})
    found = tell_proposal(bare, Learnt(), CATALOGUE)  # type: ignore[arg-type]
    assert [(each.column, each.weight) for each in found] == [("floor", 2.0), ("part", 1.0)]


def test_a_listed_part_that_no_position_carries_is_not_looked_at(proposal: Logbook):
    other = proposal.parts.iloc[[0, 0]].assign(part=["GUM", "PAD"], wears_as=["gum", "felt"])
    assert told(replace(proposal, parts=other)) == []


def test_without_a_catalogue_no_part_is_meant(proposal: Logbook):
    (found,) = tell_proposal(edited(proposal, **GUMM), Learnt(), None)  # type: ignore[arg-type]
    assert found.remedy == "Correct it, or add it to parts"


def test_a_single_ended_edge_is_a_measure(proposal: Logbook):
    class Once(Learnt):
        floor_table = FLOORS.assign(spells=[0, 1, 0, 0])

    found = tell_proposal(proposal, Once(), CATALOGUE)  # type: ignore[arg-type]
    assert found == ()


def test_a_second_open_plan_takes_the_place_of_the_first_and_that_is_told(proposal: Logbook):
    again = proposal.plans.assign(start=proposal.plans["start"] + pd.Timedelta(days=30))
    both = replace(proposal, plans=pd.concat([proposal.plans, again], ignore_index=True))
    assert [wrong for _, wrong, _ in told(both)] == [
        "the later of two plans of N1 takes the place of the earlier one, which has no end; hours "
        "are not added"
    ]
