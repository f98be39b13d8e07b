"""A supplier's prices changed."""

import pytest

from tests.decisions.makers import book, plan
from wearcast.decisions.ordering.what_if import with_price_changes
from wearcast.errors import UnknownChoice

PARTS = """
    part   price  from_pieces  supplier
    blade  10     1            Harbour Supply
    blade  8      20           Harbour Supply
    pad    2      1            Hill
"""


def test_a_change_moves_every_price_of_that_supplier_alone():
    before = book(PARTS)
    after = with_price_changes(before, {"harbour supply": 0.05})
    assert after.parts["price"].tolist() == [10.5, 2]
    assert after.price_breaks["price"].tolist() == pytest.approx([10.5, 8.4, 2])
    assert before.parts["price"].tolist() == [10, 2]


def test_a_supplier_that_nobody_buys_from_is_refused():
    with pytest.raises(UnknownChoice) as refused:
        with_price_changes(book(PARTS), {"Harbor Supply": 0.05})
    assert str(refused.value) == (
        'supplier "Harbor Supply": no such supplier. Did you mean Harbour Supply? Suppliers are '
        "Harbour Supply, Hill."
    )


NEEDS = "main blade 3@60 | north pad 3@60 | attic pad"
SOLD = "part  price  supplier  lead_days | blade  10  Harbour Supply  14 | pad  2  Hill  14"


@pytest.mark.parametrize(
    ("only", "shown"),
    [
        ({"only_supplier": "Hill"}, ["north"]),
        ({"only_depot": "main"}, ["main"]),
        ({"only_depot": "main", "only_supplier": "Hill"}, []),
    ],
    ids=str,
)
def test_one_supplier_or_depot_is_shown_alone(only, shown):
    got = plan(NEEDS, SOLD, **only)
    assert got.lines["depot"].tolist() == shown
    assert got.orders["lines"].sum() == len(shown)
    assert got.service["lines"].max() == len(shown) or not shown
