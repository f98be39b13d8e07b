"""What to look at before a line is sent."""

import pytest

from tests.decisions.makers import line


def check(stock, on_order="part  pieces", uses=None):
    return line("12@60", stock=stock, on_order=on_order, uses=uses)["check"]


@pytest.mark.parametrize(
    ("found", "words"),
    [
        (24, "expected 31, counted 24: 7 missing or not written down"),
        (33, "expected 31, counted 33: 2 more than written down"),
        (31, ""),
    ],
)
def test_a_count_is_held_against_the_one_before(found, words):
    stock = f"part  on_hand  counted | blade  40  2026-11-01 | blade  {found}  2026-12-20"
    uses = "machine  depot  part  date  pieces | M1  main  blade  2026-11-20  9"
    assert check(stock, uses=uses) == words


def test_an_order_in_doubt_is_told_with_its_day():
    stock = "part  on_hand  counted | blade  10  2026-12-20"
    coming = "part  pieces  due | blade  20  2026-12-11 | blade  5  2026-12-22"
    assert check(stock, coming) == (
        "20 on order were due on 11 December 2026 and the shelf was counted later: not counted in; "
        "5 on order were due on 22 December 2026, after the count: taken as received"
    )


def test_a_shelf_from_which_more_was_fitted_than_lay_there_is_to_be_counted_again():
    stock = "part  on_hand  counted | blade  1  2026-12-01"
    uses = "machine  depot  part  date  pieces | M1  main  blade  2026-12-20  3"
    assert check(stock, uses=uses) == (
        "more was fitted since the count than lay there: count again"
    )
