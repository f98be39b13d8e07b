"""Why so much, in at most twenty words."""

import pandas as pd
import pytest

from wearcast.decisions.ordering.reasons import why

LINE = {
    "status": "order", "from": pd.Timestamp("2027-01-01"), "to": pd.Timestamp("2027-04-10"),
    "order_up_to": 51.0, "there": 10.0, "on_hand": 10.0, "on_order": 0.0, "missing": 41.0,
    "order_pieces": 44.0, "wanted_pieces": 44.0, "order_packs": 11.0, "pack": 4.0,
    "min_order": 0.0, "topped_up": 0.0, "stepped_up": False, "replaced_by": "",
    "runs_out_p05": pd.Timestamp("2027-02-01"), "months_of_use": 14.2, "expected_use": 43.0,
}  # fmt: skip
NEED = "Need 51 by 10 April, have 10: order 44 (11 packs)"


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        ({}, NEED),
        ({"status": "order now", "pack": 1.0}, "Need 51 by 10 April, have 10: order 44"),
        ({"status": "overdue"}, f"Late: n{NEED[1:]}"),
        ({"to": pd.Timestamp("2028-04-10")}, NEED.replace("April", "April 2028")),
        ({"wanted_pieces": 60.0}, f"{NEED}, of 60, by the budget"),
        ({"topped_up": 8.0}, f"{NEED}, 8 for the supplier's order value"),
        ({"missing": 44.0}, f"{NEED}, to last until the open order"),
        ({"stepped_up": True}, f"{NEED}, cheaper in all than fewer"),
        ({"min_order": 44.0}, f"{NEED}, the smallest order"),
        (
            {"status": "not counted", "on_order": 6.0},
            "Not counted. Need 51 by 10 April, 6 on order: order 44 (11 packs) if the shelf is "
            "empty",
        ),
        (
            {"status": "not counted", "on_order": 60.0, "wanted_pieces": 0.0},
            "Not counted. Need 51 by 10 April: 60 on order are enough",
        ),
        (
            {"status": "not counted", "order_pieces": 0.0, "order_packs": 0.0},
            "Not counted. Need 51 by 10 April: order 0 (0 packs), of 44, by the budget",
        ),
        ({"status": "watch"}, "Need 51 by 10 April, have 10: nothing to order"),
        (
            {"status": "watch", "replaced_by": "new"},
            "Need 51 by 10 April, have 10: nothing to order; the rest as new",
        ),
        (
            {"status": "gap"},
            "Need 51 by 10 April, have 10, but perhaps empty from 1 February: ask for an earlier "
            "delivery",
        ),
        ({"status": "surplus"}, "10 on the shelf last about 14 months"),
        ({"status": "surplus", "expected_use": 0.0}, "10 there, no use expected until 10 April"),
        ({"status": "no use"}, "10 there or on order, but no machine of this depot carries it"),
    ],
    ids=lambda value: "" if isinstance(value, str) else str(value),
)
def test_a_line_is_told_in_at_most_twenty_words(changed, words):
    told = why(pd.Series({**LINE, **changed}, dtype=object))
    assert told == words
    assert len(told.split()) <= 20
