"""What is read of an edited workbook: what the clerk typed, or a refusal with its cell."""

from io import BytesIO
from pathlib import Path

import openpyxl
import pandas as pd
import pytest

from tests.reports import makers
from wearcast.errors import UnreadableFile, UnusableTable
from wearcast.reports.order.approved import SIGNATURE, Approved, read_approved
from wearcast.reports.order.approved_files import approved_files
from wearcast.reports.workbook.order_book import order_workbook

# The rows 5 to 7 of the sheet Order: the brush, the south's blade and the north's.


@pytest.fixture(scope="module")
def made() -> bytes:
    return order_workbook(makers.forecast(), "x")


def read(made: bytes, place: Path, **cells: object) -> Approved:
    """The approved order after typing into cells such as ``Order_F5``."""
    book = openpyxl.load_workbook(BytesIO(made))
    for cell, value in cells.items():
        sheet, address = cell.rsplit("_", 1)
        book[sheet.replace("_", " ")][address] = value
    book.save(place / "order.xlsx")
    return read_approved(place / "order.xlsx")


def signature(made: bytes) -> int:
    """The row in which somebody signs."""
    sheet = openpyxl.load_workbook(BytesIO(made))["Approve"]
    return next(cell.row for cell in sheet["A"] if cell.value == SIGNATURE)


def test_an_untouched_workbook_approves_what_was_proposed(made: bytes, tmp_path: Path):
    lines = read(made, tmp_path).lines
    proposed = makers.order().iloc[[2, 1, 0]]
    assert lines["part"].tolist() == proposed["part"].tolist()
    assert lines["pieces"].tolist() == proposed["order_pieces"].tolist()
    assert lines["line_total"].tolist() == proposed["line_total"].tolist()
    assert lines["order_number"].tolist() == ["20261031-1", "20261031-2", "20261031-3"]
    assert lines["urgent"].tolist() == [False, True, False]
    # Ten days of delivery.
    assert lines["wanted"].tolist()[::2] == [pd.Timestamp("2026-12-17"), pd.Timestamp("2026-12-10")]


def test_packs_days_and_numbers_are_the_typed_ones(made: bytes, tmp_path: Path):
    day = pd.Timestamp("2026-11-09").to_pydatetime()
    approved = read(
        made, tmp_path, Order_F5=0, Order_F6=8, Order_I6=12, Order_P6=day, To_watch_F5=3,
        Approve_C6=4711, Approve_D6=day, Addresses_B5="Pier Cleaning", Addresses_B7="Quay 3",
        **{f"Approve_C{signature(made)}": "A. Quay"},
    )  # fmt: skip
    lines = approved.lines
    assert lines[["part", "depot", "packs", "pieces", "line_total"]].to_numpy().tolist() == [
        ["BL-1", "south", 8, 40, 480],
        ["PAD-9", "south", 3, 15, 60],
        ["BL-1", "north", 2, 10, 125],
    ]
    assert lines["order_number"].tolist() == ["4711", "4711", "20261031-3"]
    assert lines["line"].tolist() == [1, 2, 1]
    assert lines["goes_out"].iloc[0] == lines["ordered"].iloc[0] == pd.Timestamp(day)
    assert (approved.sender, approved.addresses["south"]) == ("Pier Cleaning", "Quay 3")
    assert approved.signed == "A. Quay"


def test_what_was_proposed_and_is_not_ordered_is_named(made: bytes, tmp_path: Path):
    why = "Need 9 by 1 March, have 5: order 4"
    assert read(made, tmp_path, Lines_M2=why).left_out == ()
    (named,) = read(made, tmp_path, Lines_M2=why, Order_F5=0).left_out
    assert named == "=SUM(1), north: need 9 by 1 March, have 5: order 4"


def test_a_line_that_stands_twice_is_ordered_with_the_packs_of_both(made: bytes, tmp_path: Path):
    again = {"A8": "Hill & Sons", "B8": "south", "C8": "BL-1", "F8": 1, "G8": 5, "I8": 10}
    lines = read(made, tmp_path, **{f"Order_{cell}": value for cell, value in again.items()}).lines
    south = lines[lines["depot"] == "south"].iloc[0]
    assert south[["packs", "pieces", "line_total", "unit_price"]].tolist() == [3, 15, 175, 175 / 15]


def test_without_any_packs_one_empty_file_is_left(made: bytes, tmp_path: Path):
    files = approved_files(read(made, tmp_path, Order_F5=0, Order_F6=None, Order_F7=0))
    assert list(files) == ["approved.csv"]
    assert files["approved.csv"].count(b"\n") == 1


@pytest.mark.parametrize(
    ("cells", "told"),
    [
        ({"Order_F6": 2.5}, "row 6, Packs \"2.5\": write a whole number of packs"),
        ({"Order_F6": -1}, "row 6, Packs \"-1\": write a whole number of packs, 0 or more"),
        ({"Order_F6": "two"}, '[Order], row 6, Packs "two": write a number'),
        ({"Order_I6": "=1/0"}, "row 6, Price shows formula without a value: correct it"),
        ({"Order_C6": "BL-2"}, "[Order], row 6: BL-2 for depot south stands on no supplier"),
        ({"Order_B6": None}, "[Order], row 6: BL-1 without a depot stands on no supplier"),
        ({"To_watch_F5": "2 boxes", "Order_I5": "=1/0"}, '[To watch], row 5, Packs "2 boxes"'),
        ({"Order_G6": None}, "[Order], row 6, In a pack: write how many pieces a pack holds"),
        ({"Order_I6": -4}, '[Order], row 6, Price "-4": write a price of 0 or more'),
        ({"Order_P6": "soon"}, '[Order], row 6, ordered "soon": write a date such as 2026-11-02'),
        ({"Approve_C6": None}, "[Approve], row 6: write the order's number and the day"),
        ({"Approve_C6": "20261031-1"}, 'row 6, Order number "20261031-1" stands twice: give each'),
        ({"Approve_A6": None}, "[Approve]: the row of the order to Hill & Sons is gone, so BL-1"),
    ],
)  # fmt: skip
def test_what_cannot_be_taken_is_refused_with_its_cell(
    made: bytes, tmp_path: Path, cells: dict[str, object], told: str
):
    with pytest.raises(UnusableTable) as refused:
        read(made, tmp_path, **cells)
    assert told in str(refused.value)


def test_another_workbook_is_refused(tmp_path: Path):
    book = openpyxl.Workbook()
    book.save(tmp_path / "other.xlsx")
    with pytest.raises(UnreadableFile, match="has no sheet Order; give an"):
        read_approved(tmp_path / "other.xlsx")


def test_a_sheet_without_its_headings_is_refused(made: bytes, tmp_path: Path):
    with pytest.raises(UnreadableFile, match=r"\[Order\]: the row of headings is gone"):
        read(made, tmp_path, Order_C4="Number")
