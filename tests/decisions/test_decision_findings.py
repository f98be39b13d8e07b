"""What the decisions tell of stock, prices and delivery times."""

import numpy as np

from tests.decisions.makers import book, choices, counted, draws, history
from wearcast.decisions.decision_findings import tell_decisions

PARTS = "part  price  lead_days | blade  4  14 | pad  -  - | spare  -  14"


def told(stock="part  on_hand"):
    made = draws({("main", "blade"): [counted([1])], ("north", "pad"): [counted([1])]}, count=1)
    found = tell_decisions(made, history(), book(PARTS, stock), choices(draws=1))
    return {(one.table, one.column): one for one in found}


def test_a_part_that_is_carried_without_a_price_is_named_and_no_other():
    found = told()["parts", "price"]
    assert found.wrong == "no price is known for pad; costs leave these parts out"
    assert found.remedy == "Write the price of one piece under price"


def test_a_shelf_that_nobody_counted_is_named():
    stock = "part  depot  on_hand | blade  main  0 | pad  main  7"
    found = told(stock)["stock", "on_hand"]
    assert found.wrong == (
        "no stock is written down for pad at north: not counted, ordered as if none lay there"
    )
    assert found.remedy == "Count these parts and add a row to stock"


def test_a_part_that_the_stock_table_never_names_is_told_with_the_logbook_alone():
    stock = "part  on_hand | blade  0"
    assert ("stock", "on_hand") not in told(stock)


def test_counted_shelves_and_known_prices_are_not_told():
    made = draws({("main", "blade"): [counted(np.ones(1, int))]}, count=1)
    stock = "part  on_hand | blade  3"
    parts = "part  price  lead_days | blade  4  14"
    assert tell_decisions(made, history(), book(parts, stock), choices(draws=1)) == ()
