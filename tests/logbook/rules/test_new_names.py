"""A position that gets another name during the log stays one position."""

import pandas as pd
import pytest

from tests.logbook.rules.test_names import drafts
from wearcast.logbook.rules.new_names import in_new_names, renamed_positions

RENAMED = [
    ("2025-01-06", "front blade"),
    ("2025-02-03", "front blade"),
    ("2025-03-03", "front squeegee"),
    ("2025-04-07", "front squeegee"),
]


def changes(rows, machines=("A",), part=""):
    lines = [
        {"machine": machine, "date": pd.Timestamp(day), "position": position, "action": "fit"}
        | ({"part": part} if part else {})
        for machine in machines
        for day, position in rows
    ]
    return drafts(changes=lines)


def renamed(new):
    return [(day, new if "squeegee" in name else name) for day, name in RENAMED]


def test_changes_under_both_names_are_read_as_one_position_and_told():
    made = in_new_names(changes(RENAMED))
    assert made["changes"].frame["position"].eq("front squeegee").all()
    (problem,) = made["changes"].told
    assert (problem.severity, problem.rows) == ("repaired", (2, 3))
    assert problem.wrong.startswith("front squeegee begins where front blade ends")


def test_the_name_that_the_table_lists_is_kept():
    made = changes(RENAMED)
    made |= {
        "positions": drafts(positions=[{"machine": "A", "position": "front blade", "part": "P"}])[
            "positions"
        ]
    }
    assert in_new_names(made)["changes"].frame["position"].eq("front blade").all()


@pytest.mark.parametrize("other", ["rear blade", "front brush", "side skirt"])
def test_another_position_that_begins_later_is_no_new_name(other):
    assert renamed_positions(changes(renamed(other))).empty


def test_whatever_the_new_name_the_same_part_on_three_machines_tells():
    three = changes(renamed("V1"), "ABC", "GUM")
    assert len(renamed_positions(three)) == 3
    assert renamed_positions(changes(renamed("V1"), "AB", "GUM")).empty
    assert renamed_positions(changes(renamed("V1"), "ABC")).empty


def test_where_the_old_name_goes_on_at_one_machine_both_are_kept():
    late = [*RENAMED, ("2025-05-05", "front blade")]
    both = drafts(
        changes=[
            {"machine": machine, "date": pd.Timestamp(day), "position": name, "action": "fit"}
            for machine, rows in (("A", RENAMED), ("B", late))
            for day, name in rows
        ]
    )
    assert renamed_positions(both)["machine"].tolist() == []


def test_two_positions_that_the_table_lists_are_two():
    made = changes(RENAMED)
    listed = [
        {"machine": "A", "position": one, "part": "P"} for one in ("front blade", "front squeegee")
    ]
    made |= {"positions": drafts(positions=listed)["positions"]}
    assert renamed_positions(made).empty
