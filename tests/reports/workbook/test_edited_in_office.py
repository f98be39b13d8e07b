"""The clerk sorts, deletes, zeroes and types in LibreOffice: every sheet follows the right line."""

import re
from dataclasses import replace
from datetime import datetime
from io import BytesIO
from pathlib import Path

import openpyxl
import pandas as pd
import pytest

from tests.reports import makers
from tests.reports.workbook.office import edited, needs_office, shown, values
from wearcast.reports.order.approved import read_approved
from wearcast.reports.order.approved_files import approved_files
from wearcast.reports.workbook.order_book import order_workbook

pytestmark = needs_office
# The rows 5 to 7 of the sheet Order: the brush, the south's blade and the north's.
BY_DEPOT = 'SortBy("Order", "A5:P7", 1, True)'  # north, north, south


@pytest.fixture(scope="module")
def made() -> bytes:
    return order_workbook(makers.forecast(), "x")


def lines_sent(book: openpyxl.Workbook) -> list[list[object]]:
    """Number, part, depot, packs, pieces, price and total of what the suppliers' sheets show."""
    sheets = [book[name] for name in ("-Minus Ltd.", "Hill & Sons")]
    rows = [[cell.value for cell in row] for sheet in sheets for row in sheet]
    return [
        [row[0], row[2], *row[4:6], *row[7:10]] for row in rows if isinstance(row[0], int | float)
    ]


def errors(book: openpyxl.Workbook) -> list[str]:
    return [
        f"{sheet.title}!{cell.coordinate}"
        for sheet in book
        for row in sheet
        for cell in row
        if isinstance(cell.value, str) and cell.value.startswith("#")
    ]


ALL = [
    [1, "=SUM(1)", "north", 6, 6, 8.0, 48.0],
    [1, "BL-1", "south", 2, 10, 12.5, 125.0],
    [1, "BL-1", "north", 2, 10, 12.5, 125.0],
]


def test_sorting_moves_no_line_to_another_price(made: bytes, tmp_path: Path):
    steps = ('SortBy("Order", "A5:P7", 9, False)', 'SortBy("Order", "A5:P7", 1, False)')
    book = values(edited(made, tmp_path, *steps))
    assert [book["Order"].cell(row, 2).value for row in (5, 6, 7)] == ["south", "north", "north"]
    assert lines_sent(book) == ALL
    assert not errors(book)


@pytest.mark.parametrize(("row", "left"), [(5, ALL[1:]), (6, [ALL[0], ALL[2]]), (7, ALL[:2])])
def test_a_deleted_row_leaves_the_suppliers_sheet(
    made: bytes, tmp_path: Path, row: int, left: list[list[object]]
):
    book = values(edited(made, tmp_path, f'DeleteRow("Order", {row})'))
    assert lines_sent(book) == left
    assert not errors(book)
    assert book["Order"]["J3"].value == sum(line[-1] for line in left)


def test_a_sheet_without_any_row_left_sends_nothing(made: bytes, tmp_path: Path):
    book = values(edited(made, tmp_path, *['DeleteRow("Order", 5)'] * 3))
    assert lines_sent(book) == []
    assert not errors(book)
    assert book["-Minus Ltd."]["A1"].value == "Nothing to order here: do not send this page"


def test_packs_of_nought_leave_no_line_and_no_gap(tmp_path: Path):
    order = makers.order()
    order.loc[0, "order_on"] = order.loc[1, "order_on"]  # both blades on one order
    made = order_workbook(makers.forecast(order=order), "x")
    book = values(edited(made, tmp_path, 'Type_("Order", "F6", 0)'))
    assert lines_sent(book) == [ALL[0], ALL[2]]
    rows = shown(book, "Hill & Sons")
    assert [row[0] for row in rows[-2:]] == [1, "Total EUR"]
    assert ["Deliver to", "north"] in rows
    assert ["Deliver to", "south"] not in rows


def test_packs_and_days_reach_totals_suppliers_and_on_order(made: bytes, tmp_path: Path):
    steps = (
        BY_DEPOT,
        'Type_("Order", "F7", 8)',
        'Type_("Order", "P7", 46335)',
        'Type_("To watch", "F5", 3)',
    )
    book = values(edited(made, tmp_path, *steps))
    assert lines_sent(book)[1:] == [
        [1, "BL-1", "south", 8, 40, 12.5, 500.0],
        [2, "PAD-9", "south", 3, 15, 4.0, 60.0],
        [1, "BL-1", "north", 2, 10, 12.5, 125.0],
    ]
    # Ten days of delivery after the ninth of November.
    assert shown(book, "on_order")[1:] == [["BL-1", 40, datetime(2026, 11, 19), "south"]]
    approved = {row[0]: row for row in shown(book, "Approve")}
    assert approved[2][4:8] == [2, 1, 55, 560]
    assert approved["Total"][1:5] == [4, 1, 71, 733]
    assert book["By site"]["I7"].value == 40


def test_a_line_nobody_sends_is_told_on_the_first_page(made: bytes, tmp_path: Path):
    book = values(edited(made, tmp_path, 'Write_("Order", "C6", "BL-2")'))
    assert str(book["Approve"]["A3"].value).startswith("10 pieces of the sheets Order and To watch")
    assert lines_sent(book) == [ALL[0], ALL[2]]


def test_packs_typed_for_a_supplier_without_an_order_make_one(tmp_path: Path):
    order = makers.order()
    alone = order.assign(supplier=order["supplier"].where(order["part"].ne("PAD-9"), "Alone"))
    content = order_workbook(makers.forecast(order=alone), "x")
    (tmp_path / "edited.xlsx").write_bytes(edited(content, tmp_path, 'Type_("To watch", "F5", 3)'))
    lines = read_approved(tmp_path / "edited.xlsx").lines.set_index("supplier")
    assert lines.loc["Alone", ["part", "packs", "order_number"]].tolist() == [
        "PAD-9", 3, "20261031-2",
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("typed", "told"),
    [
        ('Write_("Order", "P7", "2.11.2026")', "1 days under ordered are text and no dates"),
        ('Type_("Order", "F10", 3)', "1 rows have packs and no pieces"),
        ('Write_("To watch", "F5", "2 boxes")', "Something typed is no number"),
    ],
)
def test_what_cannot_be_taken_is_told_on_the_first_page(
    made: bytes, tmp_path: Path, typed: str, told: str
):
    book = values(edited(made, tmp_path, typed))
    assert str(book["Approve"]["A3"].value).startswith(told)


def test_a_price_follows_the_packs_over_its_breaks(tmp_path: Path):
    forecast = makers.forecast()
    breaks = pd.DataFrame({"part": "BL-1", "price": [12.5, 10.0], "from_pieces": [1.0, 20.0]})
    forecast.book = replace(forecast.book, price_breaks=breaks)
    made = order_workbook(forecast, "x")
    book = values(edited(made, tmp_path, 'Type_("Order", "F6", 4)', 'Type_("Order", "F7", 1)'))
    assert [line[4:] for line in lines_sent(book)[1:]] == [[20, 10.0, 200.0], [5, 12.5, 62.5]]


def test_number_day_and_address_are_typed_once(made: bytes, tmp_path: Path):
    steps = (
        'Write_("Approve", "C6", "PO 4711")',
        'Type_("Approve", "D6", 46332)',
        'Write_("Addresses", "B5", "Harbour Cleaning, Pier 1")',
        'Write_("Addresses", "B7", "Quay 3, gate 2")',
    )
    rows = shown(values(edited(made, tmp_path, *steps)), "Hill & Sons")
    assert rows[1:5] == [
        ["Order number", "PO 4711"],
        ["Date", datetime(2026, 11, 6)],
        ["From", "Harbour Cleaning, Pier 1"],
        ["Deliver to", "south: Quay 3, gate 2"],
    ]


def test_csv_sheet_and_document_agree_after_every_edit(made: bytes, tmp_path: Path):
    steps = (
        'SortBy("Order", "A5:P7", 9, True)',
        'Type_("Order", "F5", 0)',
        'Type_("Order", "F7", 5)',
        'DeleteRow("Order", 6)',
        'Type_("To watch", "F5", 2)',
        'Write_("Approve", "C6", "PO 4711")',
    )
    (tmp_path / "edited.xlsx").write_bytes(edited(made, tmp_path, *steps))
    sent = lines_sent(values((tmp_path / "edited.xlsx").read_bytes()))
    files = approved_files(read_approved(tmp_path / "edited.xlsx"))
    table = pd.read_csv(BytesIO(files["approved.csv"]))
    columns = ["line", "part", "depot", "packs", "pieces", "unit_price", "line_total"]
    assert table[columns].to_numpy(dtype=object).tolist() == sent
    documents = [files[name].decode() for name in sorted(files) if name.endswith(".xml")]
    whole = "".join(documents)
    quantities = map(float, re.findall(r"<cbc:Quantity[^>]*>([\d.]+)<", whole))
    assert sorted(quantities) == sorted(table["pieces"])
    totals = map(float, re.findall(r"<cbc:PayableAmount[^>]*>([\d.]+)<", whole))
    assert sum(totals) == table["line_total"].sum()
    assert whole.count("<cbc:ID>PO 4711</cbc:ID>") == 1


def test_a_price_step_is_reached_by_both_depots_of_one_order_together(tmp_path: Path):
    order = makers.order()
    order.loc[0, "order_on"] = order.loc[1, "order_on"]
    forecast = makers.forecast(order=order)
    breaks = pd.DataFrame({"part": "BL-1", "price": [12.5, 10.0], "from_pieces": [1.0, 20.0]})
    forecast.book = replace(forecast.book, price_breaks=breaks)
    made = order_workbook(forecast, "x")
    assert [line[5] for line in lines_sent(values(edited(made, tmp_path)))[1:]] == [10.0, 10.0]
    book = values(edited(made, tmp_path, 'Type_("Order", "F6", 1)'))
    assert [line[5] for line in lines_sent(book)[1:]] == [12.5, 12.5]
