"""What is worth knowing although every row is used."""

import pytest

from tests.logbook.rules.test_names import drafts
from wearcast.logbook.rules.notes import (
    blank_causes,
    machine_notes,
    near_names,
    part_notes,
    position_notes,
    stock_notes,
    with_notes,
)
from wearcast.logbook.schema.spelling import one_slip


def change(machine="M1", position="front", action="fit", day=5, **more):
    made = {"machine": machine, "position": position, "action": action, "part": "", "cause": ""}
    return {**made, "date": f"2026-01-{day:02d}", **more}


def said(findings):
    """Rows, words and remedy of findings, by table."""
    return {
        table: [(list(one.rows), one.wrong, one.remedy) for one in found]
        for table, found in findings.items()
        if found
    }


NO_ROW = "has no row in the table machines; counted as a machine of its own"


def test_a_row_set_aside_may_be_the_missing_one():
    rows = "machine  state | M1  used | -  set aside"
    assert machine_notes(drafts(machines=rows, readings="machine | X7")) == {}


def test_an_idle_line_near_a_name_without_one_is_the_slip():
    made = drafts(machines="machine | hall-one | spare", readings="machine | hall-onee")
    assert said(machine_notes(made)) == {
        "machines": [
            ([0], "no other table names it, and hall-onee has no row here",
             "Did you mean hall-onee? Correct the name")
        ]
    }  # fmt: skip


@pytest.mark.parametrize("table", ["changes", "floors", "plans"])
def test_a_line_that_any_table_uses_is_no_slip(table):
    one = "machine | hall-one"
    made = drafts(machines=one, readings="machine | hall-onee", **{table: one})
    cure = "Did you mean hall-one? Add it to the table machines, or correct the name"
    assert said(machine_notes(made)) == {"readings": [([0], NO_ROW, cure)]}


NO_LINE = "has no line in the table parts; forecast like any other, without a price"


def test_parts_without_a_line_are_told_in_changes_else_in_positions():
    made = drafts(
        parts="part | GB-1",
        changes=[change(part="GB-1"), change(part="XX-9", day=6)],
        positions="machine  position  part | M1  front  XX-9 | M1  rear  QQ-7",
    )
    cure = "Add it to the table parts, or correct the name"
    assert said(part_notes(made)) == {
        "changes": [([1], NO_LINE, cure)],
        "positions": [([1], NO_LINE, cure)],
    }


def test_without_any_catalogue_it_is_told_once():
    made = drafts(changes=[change(), change(part="GB-1", day=6), change(part="GB-2", day=7)])
    assert said(part_notes(made)) == {
        "changes": [
            ([1, 2], "there is no table parts with these in it; forecast without prices",
             "Add a table parts")
        ]
    }  # fmt: skip
    assert said(part_notes(drafts(changes=[change()]))) == {}


def test_parts_in_use_that_nobody_counted_are_told():
    made = drafts(
        parts="part | GB-1 | BR-2 | PD-3",
        changes=[change(part="GB-1"), change(part="BR-2", day=6)],
        stock="part  on_hand | GB-1  1",
    )
    assert said(stock_notes(made)) == {
        "parts": [
            ([1], "has no row in the table stock; none is taken to be on the shelf",
             "Count it and add the row")
        ]
    }  # fmt: skip
    one = {"parts": "part | GB-1", "changes": [change(part="GB-1")]}
    assert stock_notes(drafts(**one, stock="part | GB-1")) == stock_notes(drafts(**one)) == {}


CARRIED = "machine  position  part | M1  front  GB-1 | M2  left brush  BR-2"


def test_a_position_that_the_machine_does_not_list_is_told_once_a_name():
    made = drafts(
        positions=CARRIED,
        changes=[
            change(), change(position="rear"), change(position="rear", day=6),
            change(position="left brush"), change("M9", "rear"),
        ],
    )  # fmt: skip
    wrong = "the positions table lists no such position on that machine"
    cure = "Add it to the table positions, or correct the name"
    assert said(position_notes(made)) == {"changes": [([3], wrong, cure), ([1, 2], wrong, cure)]}


def floors(*names):
    return drafts(floors=[{"machine": "M1", "floor": name} for name in names])["floors"]


def test_the_rarer_of_two_near_names_is_told():
    found = near_names(floors("vinyl", "vinyl", "vinly", "tile", ""), "floor")
    assert [(list(one.rows), one.wrong) for one in found] == [
        ([2], "looks like vinyl; kept apart from it")
    ]
    assert near_names(floors("north", "morth"), "floor", one_slip) != []
    assert near_names(floors("granite x", "granite"), "floor", one_slip) == []


def test_so_many_names_are_compared_and_no_more():
    many = [f"floor {number}" for number in range(298)]
    assert len(near_names(floors(*many, "vinyl", "vinly"), "floor")) == 1
    assert near_names(floors(*many, "slate", "vinyl", "vinly"), "floor") == []


def test_causes_left_blank_are_counted_among_the_ends():
    made = drafts(
        changes="""
        machine  position  action  date        cause
        M1       front     fit     2026-01-09  -
        M1       front     turn    2026-01-12  -
        M1       front     turn    2026-01-15  worn
        M1       front     fit     2026-01-20  -
        M2       front     remove  2026-01-05  -
        M2       rear      fit     2026-01-03  -
    """
    )
    (found,) = blank_causes(made["changes"])
    assert found.wrong == "blank on 3 of 4 changes; read as worn"
    assert list(found.rows) == [1, 3, 4]
    assert blank_causes(drafts(changes=[change()])["changes"]) == []


def test_a_refused_catalogue_is_not_told_again():
    made = drafts(changes=[change(part="GB-1", cause="worn")])
    told = [len(with_notes(made, refused)["changes"].told) for refused in ((), ("parts",))]
    assert told == [1, 0]


@pytest.mark.parametrize(
    ("table", "column"),
    [("machines", "site"), ("machines", "depot"), ("parts", "supplier"), ("parts", "wears_as")],
)
def test_a_slip_in_a_column_of_names_is_told(table, column):
    name = "machine" if table == "machines" else "part"
    rows = [{name: f"X{at}", column: word} for at, word in enumerate(("north", "north", "nroth"))]
    told = with_notes(drafts(**{table: rows}))[table].told
    assert [(one.rows, one.column) for one in told if "looks like" in one.wrong] == [((4,), column)]


def test_of_two_lines_each_is_the_slip_of_a_name_of_its_own():
    idle = "machine | hall-onw | hall-ons | spare"
    found = machine_notes(drafts(machines=idle, readings="machine | hall-one"))
    assert [list(one.rows) for one in found["machines"]] == [[1]]
    assert found["readings"] == []


def test_hints_are_looked_for_fifty_times():
    names = [f"pump-{one}{other}" for one in "abcdef" for other in "abcdefghi"][:52]
    one = "machine | pump-zz"
    made = drafts(machines=one, changes=one, readings=" | ".join(["machine", *names]))
    found = machine_notes(made)["readings"]
    assert [one.remedy.startswith("Did you mean pump-zz?") for one in found] == (
        [True] * 50 + [False]
    )
    assert list(found[-1].rows) == [50, 51]
