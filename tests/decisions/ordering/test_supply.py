"""Stock at as-of, open orders, delivery times."""

from dataclasses import replace

import numpy as np
import pandas as pd
import pytest

from tests.conftest import table
from tests.decisions.makers import book, choices, history
from wearcast.decisions.ordering.supply import coming_to, lead_days, on_order_by, read_supply
from wearcast.decisions.ordering.supply_findings import explained, tell_supply
from wearcast.told import Problem, Tally

PARTS = """
    part   price  lead_days  lead_days_sd
    blade  4      14         3
    pad    2      -          -
"""


def supply(
    stock="part  on_hand", on_order="part  pieces", uses="machine  depot  part  date  pieces"
):
    return read_supply(book(PARTS, stock, on_order), history(uses).uses, choices())


def problems(read, table):
    """What is told of a table."""
    told = tell_supply(read, book(PARTS), choices())
    return [problem for problem in told if problem.table == table]


def told(read, table):
    return [problem.wrong for problem in problems(read, table)]


USES = "depot  part  date  pieces"


@pytest.mark.parametrize(
    ("stock", "uses", "on_hand", "said"),
    [
        # The count of 10 December is of that day's end; other depots' and parts' uses do not count.
        (
            "20  2026-12-10",
            "main  blade  2026-12-10  2 | main  blade  2026-12-11  3"
            " | north  blade  2026-12-20  5 | main  pad  2026-12-20  7",
            17,
            "",
        ),
        ("20  -", "main  blade  2026-12-11  3", 20, ""),
        ("1  2026-12-01", "main  blade  2026-12-11  3", 0, "blade at main; taken as none left"),
        ("3  2026-12-10", "main  blade  2026-12-11  3", 0, ""),
        ("2  - | blade  3  -", "", 5, ""),
    ],
    ids=["since the count", "no day of count", "more than lay there", "just empty", "two rows"],
)
def test_what_was_fitted_since_the_count_is_off_the_shelf(stock, uses, on_hand, said):
    fitted = table(f"{USES} | {uses}" if uses else USES).assign(machine="M1")
    read = supply(f"part  on_hand  counted | blade  {stock}", uses=fitted)
    assert read.stock.loc[("main", "blade"), "on_hand"] == on_hand
    if said:
        said = f"more was fitted since the count than lay on the shelf: {said}"
    assert told(read, "stock") == [said] * bool(said)


COUNTED = """
    part   on_hand  counted
    blade  20       2026-12-10
"""


@pytest.mark.parametrize(
    ("due", "received", "on_hand", "coming", "fate"),
    [
        pytest.param("2026-12-01", "2026-12-20", 26.0, 0.0, "received", id="after the count"),
        pytest.param("2026-12-20", "2026-12-10", 20.0, 0.0, "in count", id="on its day"),
        pytest.param("2026-12-20", "yes", 26.0, 0.0, "received", id="due after it"),
        pytest.param("2026-12-01", "yes", 20.0, 0.0, "in count", id="due before it"),
        pytest.param("2027-02-01", "yes", 26.0, 0.0, "received", id="came early"),
        pytest.param("2026-12-20", "2027-01-05", 26.0, 0.0, "assumed", id="after as-of"),
        pytest.param("2026-12-20", "-", 26.0, 0.0, "assumed", id="due since the count"),
        pytest.param("2026-12-09", "-", 20.0, 0.0, "doubtful", id="counted later"),
        pytest.param("2026-12-10", "-", 20.0, 6.0, "late", id="counted on the due day"),
        pytest.param("2026-12-31", "-", 26.0, 0.0, "assumed", id="due on as-of"),
        pytest.param("2027-01-01", "-", 20.0, 6.0, "coming", id="due the day after"),
        pytest.param("2027-01-02", "-", 20.0, 6.0, "coming", id="to come"),
    ],
)
def test_every_order_stands_in_one_place(due, received, on_hand, coming, fate):
    day = pd.to_datetime(received, errors="coerce")
    orders = (
        f"part  pieces  due  received\n    blade  6  {due}  {'-' if pd.isna(day) else received}"
    )
    logbook = book(PARTS, COUNTED, orders)
    logbook.on_order["arrived"] = received != "-"
    read = read_supply(logbook, history().uses, choices())
    assert read.orders["fate"].tolist() == [fate]
    assert read.stock.loc[("main", "blade"), "on_hand"] == on_hand
    assert read.coming["pieces"].sum() == coming
    assert read.coming["late"].tolist() == [fate == "late"] * (coming > 0)


def test_an_order_past_due_of_a_shelf_that_was_counted_later_is_told():
    read = supply(COUNTED, "part  pieces  due\n    blade  6  2026-12-01")
    assert told(read, "on_order") == [
        "1 open order is past due, and the shelf was counted later; it is not counted in: "
        "blade at main"
    ]


def test_the_count_before_says_how_many_should_have_been_counted():
    read = supply(
        stock="part  on_hand  counted | blade  40  2026-12-01 | blade  24  2026-12-20",
        on_order="part  pieces  due  received | blade  3  2026-12-05  2026-12-06",
        uses="""
            machine  depot  part   date        pieces
            M1       main   blade  2026-12-01  5
            M1       main   blade  2026-12-11  12
            M1       main   blade  2026-12-21  1
        """,
    )
    # 40, with 3 received and 12 fitted between the counts, leave 31; 24 - 1 are there at as-of.
    about = read.stock.loc[("main", "blade")]
    assert (about["expected"], about["found"], about["on_hand"]) == (31.0, 24.0, 23.0)


def test_a_count_before_the_log_began_is_held_against_nothing():
    logbook = book(PARTS, COUNTED + "    blade  30  2025-01-01\n", "part  pieces")
    first = pd.DataFrame({"machine": ["M1"], "date": [pd.Timestamp("2026-01-01")], "hours": 1.0})
    # Both of one type, as the reader makes them.
    first, none = (each.astype({"date": "datetime64[ns]"}) for each in (first, logbook.changes))
    logbook = replace(logbook, readings=first, changes=none)
    read = read_supply(logbook, history().uses, choices())
    assert np.isnan(read.stock.loc[("main", "blade"), "expected"])


def test_a_delivery_time_has_the_catalogues_mean_and_spread():
    days = lead_days(supply(), "main", "blade", choices(draws=40_000))
    # Rounded up to whole days: half a day more. Standard error of the mean: 3 / 200 = 0.015.
    assert days.mean() == pytest.approx(14.5, abs=0.06)
    assert days.std() == pytest.approx(np.hypot(3, np.sqrt(1 / 12)), abs=0.06)


def test_a_part_without_a_delivery_time_takes_the_setting_and_it_is_told():
    read = supply()
    assert lead_days(read, "main", "pad", choices(draws=3)).tolist() == [14, 14, 14]
    assert told(read, "parts") == ["no delivery time is given for pad; 14 days are assumed"]


def read_parts(parts, *sheets):
    return read_supply(book(parts, *sheets), history().uses, choices())


def test_another_part_in_the_catalogue_leaves_the_delivery_times_alone():
    alone, both = (
        lead_days(read_parts(PARTS + more), "main", "blade", choices())
        for more in ("", "    brush  9  30  9\n")
    )
    assert (alone == both).all()


@pytest.mark.parametrize(
    ("mean", "sd", "days"), [(0, 3, 0), (5, 0, 5), (-1, 0, 0), (13.5, "-", 14)]
)
def test_without_a_mean_or_a_spread_every_delivery_takes_as_many_whole_days(mean, sd, days):
    read = read_parts(f"part  price  lead_days  lead_days_sd | blade  4  {mean}  {sd}")
    assert lead_days(read, "main", "blade", choices(draws=2)).tolist() == [days, days]


@pytest.mark.parametrize(("lead", "day"), [(0, 1), (1, 1), (7, 4)])
def test_what_is_past_due_comes_after_half_a_lead_time_but_not_before_tomorrow(lead, day):
    sheets = ("part  on_hand", "part  pieces  due | blade  6  2026-12-01")
    read = read_parts(f"part  price  lead_days | blade  4  {lead}", *sheets)
    assert read.coming["day"].tolist() == [day]


COMING = """
    part   pieces  due         depot
    blade  6       2026-12-01  main
    blade  5       2026-12-02  main
    blade  4       2027-01-20  main
    blade  3       2027-03-01  main
    blade  2       2027-01-25  north
    pad    1       2027-01-25  main
"""


@pytest.mark.parametrize(
    ("depot", "part", "days", "last"),
    [
        # Past due: on day 7. 20 January is day 20, 1 March day 60.
        pytest.param("main", "blade", 6, (0, 0.0), id="none yet"),
        pytest.param("main", "blade", 7, (7, 11.0), id="the late ones"),
        pytest.param("main", "blade", 20, (20, 11.0), id="on the day"),
        pytest.param("main", "blade", 59, (20, 11.0), id="a day before the last"),
        pytest.param("main", "blade", 99, (60, 11.0), id="all"),
        pytest.param("north", "blade", 99, (25, 0.0), id="another depot"),
        pytest.param("south", "blade", 99, (0, 0.0), id="no order there"),
    ],
)
def test_the_last_open_order_within_so_many_days(depot, part, days, last):
    assert coming_to(supply(on_order=COMING), depot, part, days) == last


def test_deliveries_are_those_of_the_depot_and_the_part():
    read = supply(on_order=COMING)
    assert on_order_by(read, "north", "blade", 30)[[24, 25, 30]].tolist() == [0, 2, 2]
    assert on_order_by(read, "main", "pad", 30)[-1] == 1
    blades = on_order_by(read, "main", "blade", 30)
    assert blades[[6, 7, 19, 20, 30]].tolist() == [0, 11, 11, 15, 15]


def test_late_orders_are_told_together_with_their_pieces():
    late = problems(supply(on_order=COMING), "on_order")
    assert [(each.wrong, each.remedy, each.weight) for each in late] == [
        (
            "2 open orders are past due; they are expected after half a lead time: blade at main, "
            "blade at main",
            "Ask the supplier for a new date, or write under received when it came",
            11.0,
        )
    ]


def test_shelves_used_up_are_told_with_the_pieces_that_lack():
    read = supply(
        stock="part  on_hand  counted | blade  1  2026-12-01 | pad  2  2026-12-01",
        uses="""
            machine  depot  part   date        pieces
            M1       main   blade  2026-12-11  4
            M1       main   pad    2026-12-31  4
            M1       main   pad    2027-01-01  9
        """,
    )
    (used_up,) = problems(read, "stock")
    assert used_up.wrong.endswith("blade at main, pad at main; taken as none left")
    assert used_up.weight == 3.0 + 2.0


@pytest.mark.parametrize(
    ("table", "severity", "column", "rows_lost", "parts"),
    [
        ("parts", "set aside", "price", 0, {"pad"}),
        ("parts", "set aside", "part", 1, {"new"}),
        ("parts", "set aside", "part", 0, set()),
        ("parts", "repaired", "price", 1, set()),
        ("stock", "set aside", "price", 1, set()),
    ],
)
def test_a_part_is_explained_by_its_cell_or_by_a_line_that_was_set_aside(
    table, severity, column, rows_lost, parts
):
    made = book(PARTS + "new    1      14         -\n")
    made = replace(
        made,
        parts=made.parts.assign(catalogued=made.parts["part"] != "new"),
        told=(Problem("parts.csv", table, (3,), column, "x", severity, "odd", ""),),
        tallies=(Tally("parts.csv", "parts", 3, 3 - rows_lost, rows_lost, 0),),
    )
    assert explained(made, "price") == parts
