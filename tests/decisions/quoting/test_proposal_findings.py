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


def test_a_proposal_that_the_rates_know_has_no_finding(proposal: Logbook):
    assert told(proposal) == []


@pytest.mark.parametrize("floor", ["tyle", "slate"])
def test_a_floor_that_nobody_has_measured_is_told(proposal: Logbook, floor: str):
    other = replace(proposal, floors=proposal.floors.assign(floor=floor))
    hint = "Did you mean tile? " if floor == "tyle" else ""
    assert told(other) == [
        (floor, "nobody has measured wear on this floor; what floors usually do is drawn for it, "
         "and the price is less sure for it", f"{hint}Floors measured are tile, vinyl")
    ]  # fmt: skip


def test_machines_without_a_floor_are_told(proposal: Logbook):
    assert told(replace(proposal, floors=proposal.floors.iloc[:0])) == [
        ("", "no floor is given for N1; any floor is drawn for, and the price is less sure for it",
         "Add rows with their floors and shares")
    ]  # fmt: skip


def test_a_part_that_no_catalogue_lists_is_told_with_the_one_meant(proposal: Logbook):
    other = replace(
        proposal,
        positions=proposal.positions.assign(part="GUMM"),
        parts=proposal.parts.assign(part="GUMM", catalogued=False),
    )
    assert told(other) == [
        ("GUMM", "no catalogue lists this part; its kind is read off its name",
         "Did you mean GUM? Correct it, or add it to parts")
    ]  # fmt: skip


def test_a_wear_class_without_a_measured_edge_is_told(proposal: Logbook):
    assert told(replace(proposal, parts=proposal.parts.assign(wears_as="pad"))) == [
        ("pad", "nobody has measured how these wear; a typical life is drawn for them, and the "
         "price is less sure for it", "Give usual_hours if you know better")
    ]  # fmt: skip


def test_a_floor_in_another_case_is_the_one_that_was_learnt(proposal: Logbook):
    other = replace(proposal, floors=proposal.floors.assign(floor="Tile"))
    read = spelled_as_learnt(other, Learnt())  # type: ignore[arg-type]
    assert list(read.floors["floor"]) == ["tile"]
    assert read.told[-1][4:] == ("Tile", "repaired", "the rates spell it tile; read as that", "", 0)


def test_floors_spelled_as_learnt_stay_as_they_are(proposal: Logbook):
    assert spelled_as_learnt(proposal, Learnt()) is proposal  # type: ignore[arg-type]


def test_a_floor_that_the_rates_do_not_hold_stays_as_it_is(proposal: Logbook):
    other = replace(proposal, floors=proposal.floors.assign(floor="tyle"))
    assert spelled_as_learnt(other, Learnt()) is other  # type: ignore[arg-type]


def test_a_floor_that_the_rates_spell_in_two_ways_stays_as_it_is(proposal: Logbook):
    class Twice(Learnt):
        floors = ("Tile", "tile ")

    other = replace(proposal, floors=proposal.floors.assign(floor="TILE"))
    assert spelled_as_learnt(other, Twice()) is other  # type: ignore[arg-type]


def test_findings_weigh_the_machines_or_the_one_name(proposal: Logbook):
    bare = replace(
        proposal,
        floors=proposal.floors.iloc[:0],
        positions=proposal.positions.iloc[[0, 0]].assign(machine=["N1", "N2"], part="GUMM"),
        parts=proposal.parts.assign(part="GUMM", catalogued=False),
    )
    found = tell_proposal(bare, Learnt(), CATALOGUE)  # type: ignore[arg-type]
    assert [(each.column, each.weight) for each in found] == [("floor", 2.0), ("part", 1.0)]


def test_a_listed_part_that_no_position_carries_is_not_looked_at(proposal: Logbook):
    other = proposal.parts.iloc[[0, 0]].assign(part=["GUM", "PAD"], wears_as=["gum", "felt"])
    assert told(replace(proposal, parts=other)) == []


def test_without_a_catalogue_no_part_is_meant(proposal: Logbook):
    other = replace(
        proposal,
        positions=proposal.positions.assign(part="GUMM"),
        parts=proposal.parts.assign(part="GUMM", catalogued=False),
    )
    (found,) = tell_proposal(other, Learnt(), None)  # type: ignore[arg-type]
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
