"""The whole reason of an order line."""

import pandas as pd
import pytest

from tests.decisions.makers import line
from wearcast.decisions.ordering.long_reasons import pieces_words, whole_reason
from wearcast.decisions.ordering.reasons import day_words, transfer_words

DAY = pd.Timestamp("2027-03-01")
ORDER = {
    "status": "order", "to": pd.Timestamp("2027-04-15"), "expected_use": 12.4, "order_up_to": 16.0,
    "on_hand": 4.0, "on_order": 0.0, "on_order_late": 0.0, "on_order_comes": pd.NaT,
    "transfer": "", "moved_in": 0.0, "moved_out": 0.0, "missing": 12.0, "order_pieces": 12.0,
    "order_packs": 12.0, "pack": 1.0, "min_order": 0.0, "stepped_up": False, "order_on": DAY,
    "order_by": DAY, "on_record": 5.0, "runs_out_p05": pd.Timestamp("2027-03-20"),
    "lead_days": 14.0, "gap_days_p50": 0.0, "gap_days_p95": 0.0, "replaced_by": "",
    "months_of_use": 3.0, "service_level": 0.95, "topped_up": 0.0,
}  # fmt: skip
NEED = (
    "Until 15 April 2027 about 12 pieces will be used, and 16 cover the need in 95 of 100 cases; "
)
TIMING = "the shelf may be empty from 20 March 2027 (1 case in 20) and delivery takes about 14 days"


def words(**changed):
    changed = {"wanted_pieces": changed.get("order_pieces", 12.0), **changed}
    return whole_reason(pd.Series({**ORDER, **changed}, dtype=object))


def bought(**changed):
    """What stands between the stock and the timing."""
    return words(**changed).partition("so ")[2].partition("; ")[0]


def test_an_order_in_full():
    assert words() == (f"{NEED}there are 4 on the shelf, so 12 pieces are ordered; {TIMING}.")


def test_a_single_piece_is_said_as_one():
    one = {"order_up_to": 1.0, "on_hand": 1.0, "expected_use": 1.0, "lead_days": 1.0}
    said = words(**one, order_pieces=1.0, missing=0.0)
    assert "about 1 piece will be used, and 1 covers the need" in said
    assert "there is 1 on the shelf, so 1 piece is ordered;" in said
    assert said.endswith("and delivery takes about 1 day.")


def test_packs_are_counted_where_there_are_any():
    assert bought(pack=12.0, order_packs=1.0) == "12 pieces (1 pack of 12) are ordered"
    assert bought(pack=2.0, order_packs=6.0) == "12 pieces (6 packs of 2) are ordered"


SMALLEST = ", the smallest order the supplier takes"


@pytest.mark.parametrize(
    ("fewest", "missing", "said"),
    [
        pytest.param(12.0, 11.0, SMALLEST, id="more than is missing"),
        pytest.param(12.0, 12.0, "", id="as many as are missing"),
        pytest.param(10.0, 9.0, "", id="less than is bought"),
    ],
)
def test_the_smallest_order_is_named_where_it_adds_to_what_is_missing(fewest, missing, said):
    assert bought(min_order=fewest, missing=missing) == f"12 pieces are ordered{said}"


def test_a_step_up_is_named_before_the_smallest_order():
    assert bought(stepped_up=True, min_order=12.0, missing=3.0) == (
        "12 pieces are ordered, more than needed because the larger order costs less in total"
    )


BRIDGE = " to last until the open order has come (or ask for that one sooner)"


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        # 16 cover the need, 4 are there: 12 are missing for the window alone.
        pytest.param({}, "", id="the window needs them"),
        pytest.param({"missing": 13.0}, BRIDGE, id="one more than the window needs"),
        pytest.param({"on_order": 1.0}, BRIDGE, id="one is on order"),
        pytest.param({"moved_in": 1.0}, BRIDGE, id="one is moved in"),
        pytest.param({"moved_out": 1.0}, "", id="one is moved out"),
        pytest.param({"on_hand": 40.0, "missing": 0.0}, "", id="nothing is missing"),
        pytest.param({"on_hand": 40.0, "missing": 1.0}, BRIDGE, id="the window needs none"),
    ],
)
def test_an_order_bridges_where_more_is_missing_than_the_window_needs(changed, said):
    assert bought(**{"on_order_comes": DAY, **changed}) == f"12 pieces are ordered{said}"


def test_a_line_that_waits_for_no_other_says_nothing_of_them():
    later = DAY + pd.Timedelta(days=1)
    assert words(order_by=later).endswith(
        "; it goes out on 1 March 2027 with the supplier's other lines."
    )
    assert "other lines" not in words(order_on=later)


def test_a_single_ended_edge_bears_the_use_out():
    assert "rests on a typical life" in words(on_record=0.0)
    assert "rests on a typical life" not in words(on_record=1.0)


def test_a_shelf_that_is_hardly_ever_empty_has_no_date():
    assert words(runs_out_p05=pd.NaT) == (
        f"{NEED}there are 4 on the shelf, so 12 pieces are ordered."
    )


@pytest.mark.parametrize(
    ("low", "high", "said"),
    [
        (0.0, 0.0, "order now"),
        (0.0, 1.0, "if it goes out on 1 March 2027 the shelf may stand empty for 0 to 1 day"),
        (4.0, 9.0, "if it goes out on 1 March 2027 the shelf may stand empty for 4 to 9 days"),
        (9.0, 9.0, "if it goes out on 1 March 2027 the shelf may stand empty for 9 days"),
    ],
)
def test_an_overdue_line_says_how_long_pieces_may_be_owed(low, high, said):
    overdue = words(status="overdue", gap_days_p50=low, gap_days_p95=high)
    assert overdue.endswith(f"; to arrive in time it had to go out by 1 March 2027: {said}.")


@pytest.mark.parametrize(
    ("late", "said"),
    [
        (0.0, "6 on order (by 1 March 2027)"),
        (1.0, "6 on order (1 of them past due, all expected by 1 March 2027)"),
        (6.0, "6 on order (past due, expected by 1 March 2027)"),
    ],
)
def test_open_orders_are_told_with_what_is_past_due(late, said):
    coming = words(on_order=6.0, on_order_late=late, on_order_comes=DAY)
    assert f"there are 4 on the shelf and {said}, so" in coming


def test_moves_stand_beside_the_stock():
    said = transfer_words((("north", 7.0), ("attic", 1.0)), (("south", 2.0),))
    assert said == "7 moved in from north, 1 moved in from attic, 2 moved out to south"
    assert f"there are 4 on the shelf, with {said}, so" in words(transfer=said)


def test_enough_says_when_the_shelf_may_be_empty_or_what_is_ordered_instead():
    plain = f"{NEED}there are 4 on the shelf, so nothing is ordered"
    assert words(status="watch", runs_out_p05=pd.NaT) == f"{plain}."
    assert words(status="watch") == f"{plain}; the shelf may be empty from 20 March 2027."
    assert words(status="watch", replaced_by="G-70") == (
        f"{plain}; what is used beyond that is ordered as G-70."
    )


@pytest.mark.parametrize(
    ("months", "said"),
    [(13.0, "about 13 months"), (119.9, "about 120 months"), (120.0, "more than ten years")],
)
def test_a_surplus_is_counted_in_months_up_to_ten_years(months, said):
    assert words(status="surplus", months_of_use=months) == (
        f"4 on the shelf last {said} at 12 pieces until 15 April 2027."
    )


def test_a_surplus_of_one_lasts():
    assert words(status="surplus", on_hand=1.0, months_of_use=1.0, expected_use=0.4) == (
        "1 on the shelf lasts about 1 month at 0.4 pieces until 15 April 2027."
    )


def test_a_surplus_that_nothing_uses_has_no_end():
    assert words(status="surplus", expected_use=0.0) == (
        "4 on the shelf, but no use of the part is expected until 15 April 2027."
    )


def test_a_part_that_nothing_carries_is_doubted_where_it_is_on_order():
    bare = "but no machine of this depot carries the part"
    assert words(status="no use") == f"4 on the shelf, {bare}."
    assert words(status="no use", on_order=1.0, on_order_comes=DAY) == (
        f"4 on the shelf and 1 on order (by 1 March 2027), {bare}: ask to cancel the open order, "
        "or name the depot that it is for."
    )


def test_a_gap_asks_for_an_earlier_delivery():
    assert words(status="gap", on_order=20.0, on_order_comes=DAY) == (
        f"{NEED}there are 4 on the shelf and 20 on order (by 1 March 2027), which is enough, but"
        " the shelf may be empty from 20 March 2027 before the open order comes, sooner than a new"
        " one could: ask for an earlier delivery."
    )


def test_an_order_s_line_has_its_whole_reason():
    parts = "part  price  pack  lead_days  supplier | blade  4  10  14  Harbour"
    assert line("12@60", parts, "part  on_hand | blade  4")["reason"] == (
        "Until 15 April 2027 about 12 pieces will be used, and 12 cover the need in 95 of 100 "
        "cases; there are 4 on the shelf, so 10 pieces (1 pack of 10) are ordered; the shelf may "
        "be empty from 1 March 2027 (1 case in 20) and delivery takes about 14 days."
    )


@pytest.mark.parametrize(("date", "said"), [("2027-01-31", "31 January"), ("2027-12-01", "1 Dece")])
def test_the_first_and_the_last_month_have_their_names(date, said):
    assert f"may be empty from {said}" in words(runs_out_p05=pd.Timestamp(date))


@pytest.mark.parametrize(
    ("pieces", "said"),
    [(1.0, "1 piece"), (3.25, "3.2 pieces"), (9.0, "9 pieces"), (9.5, "9.5 pieces"),
     (10.4, "10 pieces"), (10.5, "10 pieces"), (12.0, "12 pieces")],
)  # fmt: skip
def test_a_mean_has_a_decimal_under_ten(pieces, said):
    assert pieces_words(pieces) == said


def test_a_date_in_words_is_the_same_everywhere():
    assert day_words(pd.Timestamp("2027-01-04")) == "4 January 2027"
