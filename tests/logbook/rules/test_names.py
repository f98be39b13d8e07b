"""One spelling for a name through all tables, and names that nobody knows."""

from collections import Counter

import pandas as pd
import pytest

from tests.conftest import table
from wearcast.errors import UnusableTable
from wearcast.logbook.findings.drafts import Draft
from wearcast.logbook.rules.names import (
    check_names,
    known_machines,
    known_parts,
    one_spelling,
    spellings,
)
from wearcast.logbook.schema.tables import TABLES
from wearcast.logbook.sheets.reading import empty_draft


def drafts(**tables):
    """Drafts of the tables given as text tables or lists of rows (dicts), the rest empty."""
    made = {one.name: empty_draft(one) for one in TABLES}
    for name, given in tables.items():
        rows = table(given).to_dict("records") if isinstance(given, str) else given
        states = [row.get("state") or "used" for row in rows]
        given = pd.DataFrame([{key: row[key] for key in row if key != "state"} for row in rows])
        empty = made[name].frame
        frame = given.reindex(columns=empty.columns)
        for column, dtype in empty.dtypes.items():
            if dtype.kind == "O":
                frame[column] = frame[column].astype(object).where(frame[column].notna(), "")
            elif dtype.kind == "M":
                frame[column] = pd.to_datetime(frame[column]).astype(dtype)
            elif dtype.kind == "b":
                frame[column] = frame[column].eq(True)
            elif dtype.kind == "f":
                frame[column] = frame[column].astype(float)
        frame = frame.assign(source=f"{name}.csv", row=range(2, len(rows) + 2), origin=0,
                             state=states, run=False)  # fmt: skip
        written = frame[made[name].written.columns].astype(str).astype(object)
        made[name] = Draft(made[name].table, frame, written, columns=frozenset(given.columns))
    return made


def told(found):
    return [
        (one.table, one.rows, one.column, one.severity, one.wrong)
        for draft in found.values()
        for one in draft.told
    ]


def test_of_equally_many_the_declared_one_then_the_first_by_letters():
    counts = Counter({"M-1": 2, "m1": 2})
    assert spellings(counts, [{"m1"}]).meant["M-1"] == "m1"
    assert spellings(counts, []).meant["m1"] == "M-1"
    # One used more goes before the declared one.
    assert spellings(Counter({"M-1": 3, "m1": 2}), [{"m1"}]).meant["m1"] == "M-1"


@pytest.mark.parametrize("elsewhere", [[], [{"M 1"}]], ids=["one file", "another file's too"])
def test_two_spellings_that_one_file_declares_are_two_names_and_a_third_fits_neither(elsewhere):
    counts = Counter({"M-1": 1, "m1": 1, "M 1": 5, "N2": 1})
    found = spellings(counts, [{"M-1", "m1"}, *elsewhere])
    assert found.meant == {"M-1": "M-1", "m1": "m1", "N2": "N2"}
    assert found.unsure == {"M 1": ["M-1", "m1"]}


READ = {"date": "2026-01-05", "hours": 7.0}


def test_a_spelling_that_fits_two_machines_is_set_aside():
    found = one_spelling(drafts(machines="machine | M-1 | m1", readings="machine | M 1 | m1"))
    assert found["readings"].frame["state"].tolist() == ["set aside", "used"]
    assert [one[-1] for one in told(found)] == [
        "M-1 and m1 differ in their spelling alone; each counts for itself",
        "could be M-1 or m1",
    ]


def test_blanks_left_out_are_told_and_a_number_typed_with_a_point_is_not():
    made = drafts(readings=[{"machine": "M 1", **READ}, {"machine": "7", **READ}])
    made["readings"].written["machine"] = ["M  1", "7.0"]
    assert told(one_spelling(made)) == [
        ("readings", (2,), "machine", "repaired",
         "blanks or hidden characters in the name were left out")
    ]  # fmt: skip


def test_names_that_are_written_as_they_are_read_change_nothing():
    made = drafts(readings=[{"machine": "M-1", **READ}])
    assert one_spelling(made)["readings"] is made["readings"]


def test_spellings_in_rows_that_are_passed_over_do_not_count():
    rows = "machine  state | M-1  used | m1  ignored | m1  ignored"
    found = one_spelling(drafts(readings=rows))
    assert found["readings"].frame["machine"].iloc[0] == "M-1"


def test_machines_are_those_of_the_readings_and_of_their_own_table():
    carried = "machine  position  part | P  front  GB"
    made = drafts(
        machines="machine  state | A  used | X  ignored",
        readings="""
            machine    date        hours  state
            B          2026-01-05  7      used
            C          2026-01-05  -      set aside
            J. Miller  -           -      set aside
        """,
        positions=carried,
    )
    assert known_machines(made, False) == known_machines(made, True) == {"A", "B", "C"}
    # In a proposal without machines positions tell them.
    made = drafts(positions=carried)
    assert known_machines(made, True) == {"P"}
    assert known_machines(made, False) == set()


def test_parts_are_those_of_the_catalogue_the_positions_and_the_changes():
    made = drafts(
        parts="part  state | P1  used | P9  ignored",
        positions="machine  position  part | A  front  P2",
        changes="machine  position  part | A  front  P3 | A  front  -",
        stock="part  on_hand | P4  1",
    )
    assert known_parts(made) == {"P1", "P2", "P3"}


@pytest.mark.parametrize("table", ["floors", "positions", "plans", "changes"])
def test_rows_of_machines_that_nobody_knows_are_set_aside(table):
    read = [{"machine": "M-014", **READ}]
    found = check_names(drafts(readings=read, **{table: "machine | M-14 | M-014"}), False)
    assert found[table].frame["state"].tolist() == ["set aside", "used"]
    assert told(found)[0] == (
        table, (2,), "machine", "set aside", "no machine of that name is known",
    )  # fmt: skip
    assert found[table].told[0].remedy == (
        "Did you mean M-014? Correct the name, or add it to the table machines"
    )


def test_stock_of_parts_that_nobody_knows_is_set_aside():
    found = check_names(
        drafts(parts="part | P1", stock="part  on_hand | P1  1 | Q  1 | -  1"), False
    )
    assert found["stock"].frame["state"].tolist() == ["used", "set aside", "used"]


def test_a_successor_that_nobody_knows_counts_as_blank():
    found = check_names(drafts(parts="part  replaced_by | P1  Q | P2  P1"), False)
    assert found["parts"].frame["replaced_by"].tolist() == ["", "P1"]
    assert found["parts"].frame["state"].tolist() == ["used", "used"]
    assert told(found)[0][-1] == "no part of that name is known; the cell counts as blank"


def named(column, count):
    return [{"machine": "M-1", column: f"n{place}", **READ} for place in range(count)]


@pytest.mark.parametrize(
    ("table", "column", "most"),
    [("changes", "position", 500), ("readings", "machine", 100_000), ("changes", "part", 20_000)],
)
def test_so_many_names_of_a_sort_can_be_forecast_at_once(table, column, most):
    one_spelling(drafts(**{table: named(column, most)}))
    words = f"^{most + 1:,} different {column}s are named, more "
    with pytest.raises(UnusableTable, match=words):
        one_spelling(drafts(**{table: named(column, most + 1)}))


@pytest.mark.parametrize(("count", "aside"), [(100, 0), (101, 101)])
def test_a_table_that_brings_too_many_names_is_left_out(count, aside):
    found = one_spelling(drafts(floors=named("floor", count)))["floors"]
    assert found.frame["state"].eq("set aside").sum() == aside
    if aside:
        (problem,) = found.told
        assert problem.wrong == (
            "101 different floors are named, more than the 100 that can be forecast at once; the"
            " whole table was left out"
        )
        assert problem.remedy.startswith("See that the right column is headed floor, or give fewer")


def test_too_many_wear_classes_are_called_so():
    rows = [{"part": "P-1", "wears_as": f"n{place}"} for place in range(20_001)]
    (problem,) = one_spelling(drafts(parts=rows))["parts"].told
    assert problem.wrong.startswith("20,001 different wear classes are named")


def test_cells_of_rows_passed_over_or_blank_are_not_told_as_spelled_otherwise():
    rows = "machine  state | M-1  used | M-1  used | m1  set aside | m1  used | -  used"
    made = drafts(readings=rows)
    assert told(one_spelling(made)) == [
        ("readings", (5,), "machine", "repaired",
         "spelled otherwise than elsewhere; read as M-1")
    ]  # fmt: skip


def test_a_cell_spelled_otherwise_is_not_told_for_its_blanks_too():
    made = drafts(readings="machine | M-1 | M-1 | m1")
    made["readings"].written["machine"] = ["M-1", "M-1 ", " m1"]
    assert [(rows, wrong) for _, rows, _, _, wrong in told(one_spelling(made))] == [
        ((4,), "spelled otherwise than elsewhere; read as M-1"),
        ((3,), "blanks or hidden characters in the name were left out"),
    ]


def test_names_that_could_be_two_are_told_each_by_itself():
    made = drafts(machines="machine | B-1 | b1 | A-1 | a1", readings="machine | B 1 | A 1 | A-1")
    found = [(rows, wrong) for _, rows, _, _, wrong in told(one_spelling(made))]
    assert [one for one in found if "could be" in one[1]] == [
        ((3,), "could be A-1 or a1"), ((2,), "could be B-1 or b1"),
    ]  # fmt: skip


def test_numbers_get_back_the_zeros_that_a_spreadsheet_took_from_them():
    made = drafts(
        readings=[{"machine": "41"}, {"machine": "41"}, {"machine": "0042"}],
        changes=[{"machine": "0041"}],
    )
    fixed = one_spelling(made)
    assert fixed["readings"].frame["machine"].tolist() == ["0041", "0041", "0042"]
    assert fixed["readings"].told[0].severity == "repaired"


def test_a_number_cut_short_by_a_spreadsheet_names_no_machine():
    made = drafts(readings=[{"machine": "1.00235E+12"}, {"machine": "E12"}])
    told = check_names(made, proposal=False)["readings"].told
    assert [(one.severity, one.rows) for one in told] == [("set aside", (2,))]
