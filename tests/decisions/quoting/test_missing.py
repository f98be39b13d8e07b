"""What a price lacks or guesses: named, with its share of the money where that can be said."""

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pandas as pd

from tests.conftest import assert_table
from tests.decisions.makers import AS_OF, book, choices, filled
from tests.decisions.quoting.test_spent import walked
from wearcast.decisions.quoting.missing import UNREAD, rows_set_aside, tell_missing, what_is_missing
from wearcast.decisions.quoting.spent import spent_in
from wearcast.reports.incomplete import incomplete_words, lacks, notice
from wearcast.told import Problem

MEASURED = pd.DataFrame(
    [("gum", "tile", 900.0, "measured"), ("gum", "vinyl", 5.0, "typical"),
     ("brush", "tile", 0.0, "")],
    columns=["wears_as", "floor", "hours", "basis"],
)  # fmt: skip
ASIDE = Problem("plans.csv", "plans", (3, 4), "hours", "x", "set aside", "not a number", "")


PLANS = "machine  start  hours_per_week | M1  2027-01-01  10 | M2  2027-01-01  10"


def missing(parts, running=(10.0, 10.0), told=(), bare=(), plans=None, **asked):
    chosen = choices(draws=2, **asked)
    logbook = replace(book(parts), plans=filled("plans", plans or PLANS))
    hours = np.repeat(np.array(running), 2 * 105).reshape(2, 2, 105)
    fleet = SimpleNamespace(
        book=logbook,
        choices=chosen,
        days=730,
        history=SimpleNamespace(
            running=pd.DataFrame({"machine": ["M1", "M2"]}),
            machines=pd.DataFrame(
                {"in_service": pd.NaT, "retired": pd.NaT}, index=["M1", "M2", *bare]
            ),
            as_of=AS_OF,
        ),
        hours=SimpleNamespace(machines=("M1", "M2"), hours=hours),
    )
    spent = [(drawn, spent_in(one, logbook, chosen, 2)) for drawn, one in walked()]
    return what_is_missing(fleet, spent, SimpleNamespace(floor_table=MEASURED), told)


def test_wear_that_nobody_measured_is_named_with_its_share():
    found = missing("part  price  kind\n gum  10  blade\n brush  50  brush")
    # 50 of 80 for the brush, all on tile; three quarters of the gum's 30 on vinyl.
    assert_table(
        found,
        """
        what                         where          count  share
        "wear that nobody measured"  "brush on tile"  -      0.625
        "wear that nobody measured"  "gum on vinyl"   -      0.28125
        """,
    )
    assert not lacks(found)
    assert notice(found).startswith("Partly guessed")
    assert incomplete_words(found) == [
        "Less sure: 91 % of the money is for wear that nobody measured: brush on tile (62 %), gum "
        "on vinyl (28 %)."
    ]


def test_what_is_left_out_is_named_with_what_it_would_be():
    found = missing(
        "part  price  kind\n gum  -  blade\n brush  50  brush", (10.0, 0.0), [ASIDE],
        labour_rate=30.0,
    )  # fmt: skip
    left_out = found[found["what"].ne("wear that nobody measured")]
    assert_table(
        left_out,
        """
        what                               where  count  share
        "part without a price"             gum    0.75   -
        "part without minutes"             brush  0.25   -
        "part without minutes"             gum    0.75   -
        "machine without planned hours"    M2     -      -
        "rows of the proposal set aside"   plans  2      -
        """,
    )
    assert lacks(found)
    assert notice(found).startswith("NOT COMPLETE")
    assert notice(found[:0]) == ""
    assert incomplete_words(found)[0] == (
        "Not in the price: no price for gum (0.8 a year); no minutes of a change or turn for "
        "brush (0.2 a year), gum (0.8 a year); no planned hours for M2; set aside in the "
        "proposal: plans (2 rows)."
    )
    assert [each.wrong for each in tell_missing(found)] == [
        "no price is known for gum; the quote leaves these parts out",
        "labour is asked for, and no minutes are known for brush, gum; the quote counts none",
        "no hours are planned for M2; the quote counts none",
    ]


def test_rows_of_the_learnt_log_that_were_not_used_are_counted_by_table():
    whole = ASIDE._replace(table="changes", rows=())
    noted = ASIDE._replace(table="parts", severity="note")
    found = rows_set_aside([ASIDE, ASIDE, whole, noted], UNREAD)
    assert found[["where", "count"]].to_numpy().tolist() == [["changes", 1.0], ["plans", 4.0]]


def test_a_machine_that_carries_nothing_and_a_plan_that_ends_are_named():
    plans = """
        machine  start       hours_per_week  end
        M1       2027-01-01  10              2027-06-30
        M1       2027-07-15  10              2028-12-31
        M2       2027-03-01  10              -
    """
    found = missing(
        "part  price  kind\n gum  10  blade\n brush  50  brush", bare=["M3"], plans=plans
    )
    left_out = found[found["what"].ne("wear that nobody measured")]
    # 1 to 14 July; what lies before the first plan is no gap, nor the day after the contract.
    assert [
        [what, where, str(count)]
        for what, where, count in left_out[["what", "where", "count"]].to_numpy()
    ] == [
        ["machine without positions", "M3", "nan"],
        ["days of the contract without a plan", "M1", "14.0"],
    ]
    assert incomplete_words(found)[0] == (
        "Not in the price: no positions for M3; days after the end of a plan, M1 (14 days)."
    )
