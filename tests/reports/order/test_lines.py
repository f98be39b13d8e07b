"""The order by supplier."""

import pytest

from tests.conftest import assert_table
from tests.reports import makers
from wearcast.reports.order.lines import by_supplier, file_names, lines_to_order, supplier_csvs


def test_lines_stand_by_supplier_then_date():
    assert_table(lines_to_order(makers.order()), """
        supplier     part     depot
        -Minus Ltd.  =SUM(1)  north
        Hill & Sons  BL-1     south
        Hill & Sons  BL-1     north
    """)  # fmt: skip


def test_a_supplier_without_anything_to_order_gets_no_file():
    order = makers.order()
    order.loc[2, "order_pieces"] = 0
    assert list(by_supplier(order)) == ["Hill & Sons"]


def test_a_suppliers_csv_holds_its_lines_with_inert_texts():
    files = supplier_csvs(makers.order())
    assert files["order-minus-ltd.csv"].decode() == (
        "depot,part,name,order_pieces,order_packs,unit_price,line_total,order_by,"
        "order_on\n"
        "north,'=SUM(1),'@evil <b>,6,6,8,48,2026-12-07,2026-12-07\n"
    )


@pytest.mark.parametrize(
    ("supplier", "name"),
    [
        ("Hill & Sons", "hill-sons"),
        ("../../etc/passwd", "etc-passwd"),
        ("", "no-supplier-named"),
        ("...", "no-supplier-named"),
        ("Ærø Børster", "ærø-børster"),
        ("x" * 200, "x" * 40),
    ],
)
def test_a_file_name_is_plain(supplier: str, name: str):
    assert file_names([supplier]) == {supplier: name}


def test_suppliers_whose_plain_names_meet_get_a_number():
    names = file_names(["A-B", "a b", "A.B"])
    assert sorted(names.values()) == ["a-b", "a-b-2", "a-b-3"]
