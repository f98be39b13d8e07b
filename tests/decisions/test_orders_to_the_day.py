"""Order lines where a day, a draw or a piece more makes the difference."""

import numpy as np
import pandas as pd
import pytest

from tests.decisions.makers import ONE_PART, counted, line, lines


def test_an_order_due_on_the_walk_s_last_day_has_a_line():
    # Day 500 is 14 May 2028, long after the window: nothing is on order within it.
    coming = """
        part  pieces  due
        pad   5       2028-05-14
    """
    parts = ONE_PART + "    pad  2  1  14  Harbour\n"
    needs = {("main", "blade"): [counted(np.full(10, 1), day=60)]}
    frame = lines(needs, parts=parts, on_order=coming, draws=10).set_index("part")
    assert frame.loc["pad", ["on_order", "status"]].tolist() == [0, "no use"]
    gone = lines(needs, parts=parts, on_order=coming.replace("05-14", "05-15"), draws=10)
    assert gone["part"].tolist() == ["blade"]


def test_a_dip_in_one_draw_too_many_is_a_gap():
    def status(dips):
        short = np.zeros(100, int)
        short[:dips] = 2
        return line(
            {("main", "blade"): [counted(short, day=10), counted(np.full(100, 1), day=90)]},
            on_order="part  pieces  due\n    blade  9  2027-02-01",
            draws=100,
        )["status"]

    # At 95 of 100 the shelf may be short in five draws of a hundred.
    assert (status(5), status(6)) == ("watch", "gap")


def test_a_shelf_that_runs_dry_on_the_last_day_of_the_window_or_after_it():
    # With 6 on order in time nothing is bought for use after the window.
    last = 13 * 7 + 14
    coming = "part  pieces  due\n    blade  6  2027-01-10"
    got = [
        line(
            {("main", "blade"): [counted(np.full(10, 6), 60), counted(np.full(10, 1), day)]},
            on_order=coming, draws=10,
        )[["status", "order_pieces"]].tolist()
        for day in (last, last + 1)
    ]  # fmt: skip
    assert got == [["order", 1], ["watch", 0]]


def test_the_chance_to_arrive_in_time_is_that_of_the_draws():
    # Needed on day 20, 30 or 40 in ten draws each; delivery takes 14 days and serves the day
    # after, so the last order days are 5, 15 and 25. The line goes out on day 5, a Tuesday.
    needs = {("main", "blade"): [[(n, 20 + 10 * (n // 10)) for n in range(30)]]}
    got = line(needs, draws=30)
    assert got[["order_on", "in_time"]].tolist() == [pd.Timestamp("2027-01-05"), 1.0]
    # At half the draws by day 15, a Friday; a third of the draws cannot wait so long.
    late = line(needs, draws=30, service_level=0.5)
    assert late["order_on"] == pd.Timestamp("2027-01-15")
    assert late["in_time"] == pytest.approx(2 / 3)


def test_edges_that_ended_and_pieces_that_were_used_stand_beside_the_line():
    got = line(
        {("main", "blade"): [counted(np.full(10, 1), day=60)]},
        uses="""
            machine  depot  part   date        pieces
            M000     main   blade  2026-10-01  2
            M001     main   blade  2026-11-01  3
            M001     north  blade  2026-11-01  9
        """,
        draws=10,
    )
    assert got[["used", "on_record", "machines"]].tolist() == [5.0, 1.0, 1.0]


def test_an_owed_time_is_that_of_half_the_draws_and_of_one_in_twenty():
    # Draw n needs its piece on day n + 1; ordered today it comes on day 14 and serves from day 15:
    # owed for 14, 13, ... 1 days, in the last six draws for none; the tenth and nineteenth of 20.
    got = line({("main", "blade"): [[(n, n + 1) for n in range(20)]]}, draws=20)
    assert (got["gap_days_p50"], got["gap_days_p95"]) == (4, 13)


@pytest.mark.parametrize("pieces", [1, 2])
def test_an_order_in_time_owes_nothing_whatever_the_rarer_draws_do(pieces):
    # Half the draws need them on day 60; the other half on day 5, which 0.5 does not ask for.
    needs = [(draw, 60 if draw < 5 else 5) for draw in range(10) for _ in range(pieces)]
    got = line({("main", "blade"): [needs]}, draws=10, service_level=0.5)
    assert (got["order_pieces"], got["status"]) == (pieces, "order")
    assert (got["gap_days_p50"], got["gap_days_p95"]) == (0, 0)


def test_a_line_counts_from_the_day_after_as_of():
    got = line({("main", "blade"): [counted(np.full(10, 1), day=60)]}, draws=10)
    assert got["from"] == pd.Timestamp("2027-01-01")
