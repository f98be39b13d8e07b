"""Moves between depots and old stock of replaced parts, in the order lines."""

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.decisions.makers import AS_OF, counted, lines

LEAD = 14
PARTS = """
    part   price  pack  lead_days  replaced_by
    blade  4      1     14         -
    tens   4      10    14         -
    older  4      1     14         old
    old    4      1     14         new
    new    5      1     14         -
    olda   4      1     14         both
    oldb   4      1     14         both
    both   5      1     14         -
"""
# What; needs; stock; open orders and when due. Then of each line: depot, part, status and pieces
# ordered, moved in, moved out and expected to be used.
CASES = """
moved before anything is ordered; main blade 10@60 | north blade 2@60; north blade 9;
    main blade order 3 7 0 10, north blade watch 0 0 7 2
a move that saves no pack; main tens 7@60 | north tens 2@60; north tens 4;
    main tens order 10 0 0 7, north tens surplus 0 0 0 2
kept until its order of 1 April comes; SHELVES; north blade 9; north blade 20 2027-04-01
    main blade order 7 3 0 10, north blade watch 0 0 3 6
its order comes before day 60, 1 March; SHELVES; north blade 9; north blade 20 2027-02-01
    main blade order 1 9 0 10, north blade watch 0 0 9 6
no order cures it in time; GAP; north blade 7; main blade 20 2027-01-12
    main blade watch 0 6 0 6, north blade watch 0 0 6 1
as much as can be spared, to be bought again; GAP; north blade 4; main blade 20 2027-01-12
    main blade gap 0 4 0 6, north blade order 1 0 4 1
gap first; east blade 3@8 | west blade 9@60 | north blade; north blade 5; east blade 20 2027-01-12
    east blade watch 0 3 0 3, north blade watch 0 0 5 0, west blade order 7 2 0 9
old stock first, the rest as new; main old 10@60; main old 4, main new 1;
    main new order 5 0 0 6, main old watch 0 0 0 4
machines that carry the new part already; main new 10@60; main older 2, main old 3;
    main new order 5 0 0 5, main old watch 0 0 0 3, main older watch 0 0 0 2
old stock is moved before new is ordered; main old 4@60 | north old 4@60; north old 7, main new 0;
    main new order 1 0 0 1, main old watch 0 3 0 3, north old watch 0 0 3 4
not where the new part lies; main old 4@60 | north old 4@60; north old 9, main new 4;
    main new watch 0 0 0 4, north old surplus 0 0 0 4
not the other's machines; main olda 5@60 | main oldb 2@60; main olda 1, main oldb 9, main both 0;
    main both order 4 0 0 4, main olda watch 0 0 0 1, main oldb surplus 0 0 0 2
either old stock for the new part; main olda 3@50 | main both 6@60; main olda 5, main oldb 3;
    main both order 1 0 0 1, main olda watch 0 0 0 5, main oldb watch 0 0 0 3
"""
NEEDS = {
    "SHELVES": "main blade 10@60 | north blade 6@60",
    "GAP": "main blade 6@8 | north blade 1@60",
}


def sheet(text, number):
    """Stock or open orders from rows of depot, part, pieces and perhaps a due day."""
    rows = [row.strip().replace(" ", "  ") for row in text.split(",") if row.strip()]
    return " | ".join([f"depot  part  {number}" + "  due" * (number == "pieces"), *rows])


@pytest.mark.parametrize("case", CASES.strip("\n").replace("\n    ", "; ").split("\n"))
def test_pieces_are_moved_and_ordered_where_they_are_missing(case):
    _, needs, stock, coming, found = (each.strip() for each in case.split(";", 4))
    frame = lines(NEEDS.get(needs, needs), PARTS, sheet(stock, "on_hand"), sheet(coming, "pieces"))
    columns = ["depot", "part", "status", "order_pieces", "moved_in", "moved_out", "expected_use"]
    rows = frame.sort_values(["depot", "part"])[columns].to_numpy()
    told = [" ".join(str(each).removesuffix(".0") for each in row) for row in rows]
    assert ", ".join(told) == found
    moved = frame[["moved_in", "moved_out"]].any(axis=1)
    assert frame["transfer"].ne("").equals(moved)


PLACES = [(depot, part) for depot in ("main", "north") for part in ("both", "olda", "oldb")]
PIECES = st.lists(st.integers(0, 12), min_size=len(PLACES), max_size=len(PLACES))


@settings(max_examples=40, deadline=None)
@given(PIECES, PIECES, PIECES, st.integers(1, 120))
def test_moves_and_orders_agree_whatever_lies_where(used, stock, coming, due):
    day = AS_OF + pd.Timedelta(days=due)
    rows = pd.DataFrame(PLACES, columns=["depot", "part"])
    frame = lines(
        {place: [counted([n, n // 2], day=60)] for place, n in zip(PLACES, used, strict=True)},
        parts=PARTS,
        stock=rows.assign(on_hand=stock),
        on_order=rows.assign(pieces=np.array(coming, float), due=day),
        draws=2,
    )
    moved = frame.groupby("part")[["moved_in", "moved_out"]].sum()
    assert (moved["moved_in"] == moved["moved_out"]).all()
    assert (frame["moved_out"] <= frame["on_hand"]).all()
    assert ((frame["moved_in"] == 0) | (frame["moved_out"] == 0)).all()
    assert (frame.loc[frame["replaced_by"] != "", "order_pieces"] == 0).all()
    there = frame["on_hand"] + frame["moved_in"] - frame["moved_out"] + frame["on_order"]
    bought = frame["replaced_by"] == ""
    assert (there + frame["order_pieces"] >= frame["order_up_to"])[bought].all()


def both(north_stock, main_stock=0, north_day=60, main_day=5):
    """Main needs 4 on day 5, before any order can come; north needs 14 on day 60."""
    frame = lines(
        f"main blade 4@{main_day} | north blade 14@{north_day}",
        stock=f"part  on_hand  depot | blade  {main_stock}  main | blade  {north_stock}  north",
        window_asked=False,
        ordering="at once",
    )
    return frame.set_index("depot")


@pytest.mark.parametrize(
    ("days", "moved", "status"),
    [
        pytest.param({}, 4, "watch", id="north can wait for its order"),
        pytest.param({"north_day": LEAD}, 0, "overdue", id="it needs them before its order comes"),
        pytest.param({"north_day": LEAD + 1}, 4, "watch", id="on the day after it does not"),
        pytest.param({"main_day": 30}, 0, "order", id="an order for main comes in time"),
    ],
)
def test_an_urgent_line_borrows_from_a_depot_that_has_enough_until_its_order_comes(
    days, moved, status
):
    frame = both(14, **days)
    assert frame["moved_in"].to_dict() == {"main": moved, "north": 0}
    assert frame["order_pieces"].to_dict() == {"main": 4 - moved, "north": moved}
    assert frame.loc["main", "status"] == status


@given(north=st.integers(0, 30), main=st.integers(0, 8), day=st.integers(1, 80))
@settings(max_examples=15, deadline=None)
def test_lending_orders_no_piece_more_and_leaves_no_depot_short(north, main, day):
    frame = both(north, main, day)
    assert frame["moved_in"].sum() == frame["moved_out"].sum()
    needed, there = 4 + 14, north + main
    assert frame["order_pieces"].sum() == max(needed - there, 0) or (
        # Nothing is moved only to save buying where that would leave the giver short.
        frame["order_pieces"].sum() >= needed - there
    )
    after = frame["on_hand"] + frame["moved_in"] - frame["moved_out"]
    if day <= LEAD:
        assert after["north"] >= min(14, north)
    assert (after >= 0).all()
