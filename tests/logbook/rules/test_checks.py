"""Rows that stand twice, contradict each other or turn in a circle."""

import pytest

from tests.logbook.rules.test_names import drafts
from wearcast.errors import UnusableTable
from wearcast.logbook.rules.checks import (
    backward_dates,
    contradictions,
    duplicate_rows,
    replaced_in_circles,
)


def said(findings):
    return [(list(one.rows), one.column, one.wrong) for one in findings]


def test_a_change_that_stands_twice_may_be_two_brushes_of_one_name():
    change = {"machine": "A", "position": "brush", "action": "fit"}
    (found,) = duplicate_rows(drafts(changes=[change, change])["changes"])
    assert found.remedy == (
        "If two parts were changed, give each position a name, or write pieces 2"
    )


@pytest.mark.parametrize(
    ("table", "rows", "column", "wrong"),
    [
        ("parts", [{"part": "GB", "price": 4.0}, {"part": "GB", "price": 5.0}], "price",
         "rows 2-3 say different things about GB"),
        ("parts", [{"part": "GB", "price": 4.0}, {"part": "GB", "price": 3.0, "from_pieces": 1.0}],
         "price", "rows 2-3 say different things about GB"),
        ("positions",
         [{"machine": "A", "position": "front", "part": part} for part in ("GB", "BR")], "part",
         "rows 2-3 say different things about A front"),
        ("settings", [{"setting": "fit", "value": "a"}, {"setting": "fit", "value": "b"}], "value",
         "rows 2-3 say different things about fit"),
    ],
)  # fmt: skip
def test_rows_that_say_different_things_are_all_set_aside(table, rows, column, wrong):
    (found,) = contradictions(drafts(**{table: rows})[table])
    assert (list(found.rows), found.column, found.wrong) == ([0, 1], column, wrong)
    assert (found.outcome, found.remedy) == ("row", "Keep the right one")


@pytest.mark.parametrize(
    ("table", "rows"),
    [
        ("parts", [{"part": "GB", "price": 4.0},
                   {"part": "GB", "price": 3.0, "from_pieces": 20.0}]),
        ("plans", [{"machine": "A", "start": f"2026-0{month}-05"} for month in (1, 2)]),
        ("readings", [{"machine": "A", "hours": 1.0}, {"machine": "A", "hours": 2.0}]),
        ("parts", [{"part": "GB", "price": 4.0}]),
    ],
)  # fmt: skip
def test_rows_about_different_things_do_not_contradict(table, rows):
    assert contradictions(drafts(**{table: rows})[table]) == []


def test_contradictions_in_two_files_are_told_with_both():
    made = drafts(parts=[{"part": "GB", "price": 4.0}, {"part": "GB", "price": 5.0}])["parts"]
    made.frame["source"] = ["b.csv", "a.csv"]
    assert contradictions(made)[0].wrong.startswith("a.csv row 3 and b.csv row 2 say different")


def machines(*rows, sources=("a.csv", "b.csv")):
    made = drafts(machines=[{"machine": "A", **row} for row in rows])["machines"]
    made.frame["source"] = list(sources)
    return made


def test_one_machine_with_two_sites_in_two_files_is_refused():
    with pytest.raises(UnusableTable) as stopped:
        contradictions(machines({"site": "South"}, {"site": "North"}))
    assert str(stopped.value) == (
        "machines: A works at North in b.csv and South in a.csv; give each machine a name of its"
        " own, or a date under since if it moved, then run again."
    )


@pytest.mark.parametrize(
    ("rows", "sources"),
    [
        (({"site": "South"}, {"site": "North"}), ("a.csv", "a.csv")),
        (({"site": "South"}, {"site": "", "width_cm": 65.0}), ("a.csv", "b.csv")),
        (({"site": "South"}, {"site": "South", "width_cm": 65.0}), ("a.csv", "b.csv")),
    ],
)
def test_within_one_file_or_site_it_is_a_contradiction(rows, sources):
    (found,) = contradictions(machines(*rows, sources=sources))
    assert found.remedy == "Keep the right one, or give the later one a date under since"


def test_a_last_day_comes_on_or_after_the_first():
    plans = [
        {"machine": "A", "start": "2026-02-05", "end": "2026-02-04"},
        {"machine": "A", "start": "2026-02-05", "end": "2026-02-05"},
        {"machine": "A", "start": "2026-02-05"},
    ]
    found = backward_dates(drafts(plans=plans)["plans"], "start", "end")
    assert said(found) == [([0], "end", "end comes before start")]
    assert backward_dates(drafts(plans=plans[1:])["plans"], "start", "end") == []


def circles(**replaced):
    rows = [{"part": part, "replaced_by": by} for part, by in replaced.items()]
    return said(replaced_in_circles(drafts(parts=rows)["parts"]))


def test_parts_that_replace_each_other_in_a_circle_are_told_once():
    end = "the cell counts as blank"
    assert circles(A="A") == [([0], "replaced_by", f"A is replaced by itself; {end}")]
    assert circles(B="A", A="B") == [
        ([0, 1], "replaced_by", f"A and B replace each other in a circle; {end}")
    ]
    assert circles(A="B", B="C", C="A", D="A") == [
        ([0, 1, 2], "replaced_by", f"A, B, C replace each other in a circle; {end}")
    ]
    assert [rows for rows, _, _ in circles(A="B", B="A", C="D", D="C")] == [[0, 1], [2, 3]]


def test_a_way_that_ends_is_no_circle():
    assert circles(A="B", B="C", C="") == []
    assert circles(A="B", B="Z") == []
