"""From where on something is odd; the bounds are ours."""

import pandas as pd
import pytest

from tests.logbook.rules.test_names import READ, drafts
from wearcast.logbook.rules.oddities import (
    counted_long_ago,
    counted_twice,
    crossed_words,
    due_far_ahead,
    free_parts,
    idle_orders,
    idle_stock,
    no_floors,
    outside_service,
    overlapping_plans,
    read_without_floors,
    unlike_kinds,
    wide_lead_times,
)

AS_OF = pd.Timestamp("2026-02-16")


def rows(rule, **tables):
    return [list(one.rows) for one in rule(drafts(**tables), AS_OF)]


def seen(*days):
    return [{"machine": "A", "date": day, "hours": 1.0} for day in days]


@pytest.mark.parametrize(
    ("column", "day", "odd"),
    [
        ("in_service", "2026-01-12", False),
        ("in_service", "2026-01-13", True),
        ("in_service", "2026-01-01", False),
        ("retired", "2026-02-02", False),
        ("retired", "2026-02-01", True),
        ("retired", "2026-03-01", False),
        ("in_service", None, False),
    ],
)
def test_a_machine_is_read_up_to_a_week_outside_its_service(column, day, odd):
    made = {"machines": [{"machine": "A", column: day}]}
    found = rows(outside_service, readings=seen("2026-01-05", "2026-01-19", "2026-02-09"), **made)
    assert found == ([[0]] if odd else [])


def test_changes_count_as_readings_do_when_a_machine_was_at_work():
    change = {"machine": "A", "date": "2026-03-01", "position": "front", "action": "fit"}
    machines = [{"machine": "B"}, {"machine": "A", "retired": "2026-02-01"}]
    (found,) = outside_service(drafts(machines=machines, changes=[change]), AS_OF)
    assert (list(found.rows), found.column) == ([1], "retired")
    assert found.wrong == "A has readings or changes until 2026-03-01, after it retired"


@pytest.mark.parametrize(
    ("rule", "table", "odd"),
    [
        # 366 and 367 days before as-of; 731 and 732 days after it.
        (counted_long_ago, {"stock": "part  counted | GB  2025-02-15 | GB  2025-02-14 | GB  -"}, 1),
        (due_far_ahead, {"on_order": "part  due | GB  2028-02-17 | GB  2028-02-18 | GB  -"}, 1),
        (wide_lead_times, {"parts": "part  lead_days  lead_days_sd | A  14  14 | A  14  14.5"}, 1),
        (wide_lead_times, {"parts": "part  lead_days  lead_days_sd | A  14  -"}, None),
        (free_parts, {"parts": "part  price | A  0 | A  0.01 | A  -"}, 0),
        # A word crosses where its part wears as another.
        (crossed_words, {"parts": "part  wears_as | A  B | B  C | D  E | E  E | F  G | G  -"}, 0),
    ],
)  # fmt: skip
def test_one_row_of_these_is_odd(rule, table, odd):
    assert rows(rule, **table) == ([] if odd is None else [[odd]])


def test_kinds_are_told_where_two_are_said_to_wear_alike():
    parts = """
        part  kind   wears_as
        A     blade  x
        B     brush  x
        C     -      x
        D     pad    y
        y     blade  -
        E     pad    -
    """
    found = unlike_kinds(drafts(parts=parts), AS_OF)
    assert [(list(one.rows), one.wrong) for one in found] == [
        (
            [0, 1, 2],
            "blade, brush do not wear alike: each kind is fitted by itself, as x, and the kind",
        ),
        ([3, 4], "blade, pad do not wear alike: each kind is fitted by itself, as y, and the kind"),
    ]


def test_a_shelf_in_two_rows_is_of_one_part_at_one_depot():
    stock = """
        part  depot  counted
        GB    x      -
        GB    y      -
        BR    -      -
        BR    -      -
        GB    x      -
        GB    y      2026-01-07
    """
    found = counted_twice(drafts(stock=stock), AS_OF)
    assert [(list(one.rows), one.wrong) for one in found] == [
        ([2, 3], "BR stands in 2 rows of one day; their pieces are added up"),
        ([0, 4], "GB at x stands in 2 rows of one day; their pieces are added up"),
    ]


@pytest.mark.parametrize(
    ("supplied", "kept", "idle"),
    [
        (["x"], ["x", ""], []),
        (["x", ""], ["x", "", "y"], [[2]]),
        (["x"], ["x", "", "y"], [[1], [2]]),
        (["x", "y"], ["", "x", "y"], [[0]]),
        ([], ["x", "y"], [[0], [1]]),
        ([], ["main", "y"], [[1]]),
        (["x"], [], []),
    ],
    ids=str,
)
def test_pieces_are_idle_at_a_depot_that_supplies_no_machine(supplied, kept, idle):
    machines = [{"machine": f"M{at}", "depot": name} for at, name in enumerate(supplied)]
    pieces = [{"part": "GB", "depot": name} for name in kept]
    tables = {"machines": machines} if machines else {}
    for rule, table in ((idle_stock, "stock"), (idle_orders, "on_order")):
        assert rows(rule, **tables, **({table: pieces} if pieces else {})) == idle


def plan(start, end=None, machine="A"):
    return {"machine": machine, "start": start, "end": end, "hours_per_week": 5.0}


@pytest.mark.parametrize(
    ("plans", "told"),
    [
        ([plan("2026-01-05", "2026-02-05"), plan("2026-02-05")], [[0, 1]]),
        ([plan("2026-01-05", "2026-02-05"), plan("2026-02-06")], []),
        ([plan("2026-01-05"), plan("2026-02-05")], []),
        ([plan("2026-02-05"), plan("2026-01-05", "2026-02-05")], [[0, 1]]),
        ([plan("2026-01-05", "2026-02-05"), plan("2026-02-05", machine="B")], []),
        ([plan("2026-01-05", "2026-01-09"), plan("2026-01-12", "2026-02-05"), plan("2026-02-01")],
         [[1, 2]]),
    ],
)  # fmt: skip
def test_plans_overlap_where_one_begins_before_another_s_last_day_is_over(plans, told):
    assert [sorted(one) for one in rows(overlapping_plans, plans=plans)] == told


FLOOR = {"machine": "A", "floor": "tile", "share": 1.0}


def read(*names):
    return [{"machine": name, **READ} for name in names]


def test_machines_that_are_read_and_have_no_floor_are_told_where_others_have_one():
    tables = {"machines": "machine | A | B | C", "readings": read("A", "B")}
    assert rows(no_floors, floors=[FLOOR], **tables) == [[1]]
    assert rows(read_without_floors, floors=[FLOOR], **tables) == []
    assert rows(read_without_floors, floors=[FLOOR], readings=read("A", "B", "B")) == [[1, 2]]
    assert rows(no_floors, **tables) == []
