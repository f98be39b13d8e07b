"""The clerk's workbook: layout as text, formulas recalculated by another program, inert texts."""

import io
import re
import shutil
import subprocess
import zipfile
from dataclasses import replace
from pathlib import Path

import openpyxl
import pandas as pd
import pytest
from openpyxl.worksheet.worksheet import Worksheet

from tests.reports import makers
from wearcast.reports.order.changed import what_changed
from wearcast.reports.workbook.order_book import BY_SITE, SHEETS, by_site, order_workbook
from wearcast.reports.workbook.order_sheet import COLUMNS as ORDER_COLUMNS
from wearcast.reports.workbook.sheets import lines_of, sheet_names
from wearcast.reports.workbook.supplier_sheet import SUPPLIER_COLUMNS

OFFICE = shutil.which("soffice")
needs_office = pytest.mark.skipif(OFFICE is None, reason="LibreOffice is not installed")


@pytest.fixture(scope="module")
def made() -> bytes:
    return order_workbook(makers.forecast(), "0123456789ab")


def opened(content: bytes, **how: bool) -> openpyxl.Workbook:
    return openpyxl.load_workbook(io.BytesIO(content), **how)


def dump(content: bytes) -> str:
    """Every cell as ``sheet!cell = value | number format``, formulas with their values."""
    lines = []
    values = opened(content, data_only=True)
    for sheet in opened(content):
        for row in sheet.iter_rows():
            for cell in row:
                if cell.value is None:
                    continue
                value = values[sheet.title][cell.coordinate].value
                shown = f"{cell.value} -> {value}" if cell.data_type == "f" else f"{value}"
                lines.append(f"{sheet.title}!{cell.coordinate} = {shown} | {cell.number_format}")
    return "\n".join(lines) + "\n"


def test_the_workbook_holds_what_it_held(made: bytes, golden):
    kept = [line for line in dump(made).splitlines() if not line.startswith("Timeline!")]
    golden("order_workbook.txt", "\n".join(kept) + "\n")


def test_the_same_forecast_gives_the_same_bytes(made: bytes):
    assert order_workbook(makers.forecast(), "0123456789ab") == made


def test_nothing_in_the_file_bears_the_clock(made: bytes):
    with zipfile.ZipFile(io.BytesIO(made)) as archive:
        assert {entry.date_time for entry in archive.infolist()} == {(1980, 1, 1, 0, 0, 0)}
        assert b"2026-10-31T00:00:00Z" in archive.read("docProps/core.xml")


def test_a_text_of_the_logbook_is_never_a_formula(made: bytes):
    book = opened(made)
    formulas = [
        cell.value
        for sheet in book
        for row in sheet.iter_rows()
        for cell in row
        if cell.data_type == "f"
    ]
    assert formulas
    assert not [each for each in formulas if "SUM(1)" in each or "evil" in each]
    assert book["Order"]["C5"].value == "=SUM(1)"
    assert book["Order"]["C5"].data_type == "s"


def test_every_heading_has_a_note_that_explains_it(made: bytes):
    book = opened(made)
    for name in ("Order", "To watch", "By site", "Problems"):
        headings = [cell for cell in book[name][4] if cell.value]
        assert headings
        assert all(cell.comment for cell in headings), name


@pytest.mark.parametrize("name", ["Order", "Hill & Sons", "By site", "Timeline", "Problems"])
def test_a_sheet_prints_on_a4_landscape_as_wide_as_the_page(made: bytes, name: str):
    sheet: Worksheet = opened(made)[name]
    assert sheet.page_setup.orientation == "landscape"
    assert int(sheet.page_setup.paperSize) == 9
    assert sheet.sheet_properties.pageSetUpPr.fitToPage
    assert sheet.page_setup.fitToWidth in (None, 1)  # not written: 1
    assert sheet.page_setup.fitToHeight == 0  # as many pages as it takes
    assert sheet.print_title_rows
    assert sheet.freeze_panes
    last = openpyxl.utils.range_boundaries(sheet.print_area.split("!")[1].replace("$", ""))
    assert last[2] >= sheet.max_column
    assert last[3] >= sheet.max_row - 1


def test_the_suppliers_sheet_has_blank_fields_for_the_buyer(made: bytes):
    sheet = opened(made)["Hill & Sons"]
    assert [sheet.cell(row, 1).value for row in range(3, 7)] == [
        "Our order number", "Date", "From (name and address)", "Deliver to (address)",
    ]  # fmt: skip
    assert [sheet.cell(row, 4).value for row in range(3, 7)] == [None] * 4


def test_lines_for_on_order_bear_the_headings_of_that_table(made: bytes):
    assert [cell.value for cell in opened(made)["on_order"][1]][:4] == [
        "part", "pieces", "due", "depot",
    ]  # fmt: skip


def test_what_changed_is_a_sheet_of_its_own(tmp_path: Path):
    old = makers.order().assign(order_pieces=0)
    (tmp_path / "order.csv").write_text(csv_of(old))
    changed = what_changed(makers.order(), tmp_path)
    book = opened(order_workbook(makers.forecast(), "x", changed))
    assert "What changed" in book.sheetnames


def csv_of(order: pd.DataFrame) -> str:
    from wearcast.reports.frames import csv_text

    return csv_text("order", order)


def test_an_empty_order_still_makes_a_workbook():
    order = makers.order().iloc[3:].reset_index(drop=True)
    book = opened(order_workbook(makers.forecast(order=order), "x"))
    assert book["Order"]["A5"].value == "Nothing to order."
    assert "Hill & Sons" not in book.sheetnames


def test_the_sites_pieces_add_up_to_the_order():
    forecast = makers.forecast()
    shared = by_site(forecast).groupby(["depot", "part"])["of_order"].sum()
    ordered = forecast.order.set_index(["depot", "part"])["order_pieces"]
    assert shared.to_dict() == pytest.approx(ordered.reindex(shared.index).to_dict())


def without_values(content: bytes) -> bytes:
    """The workbook with its formulas' values taken out, so that they must be computed anew."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(content)) as old, zipfile.ZipFile(out, "w") as new:
        for entry in old.infolist():
            data = old.read(entry)
            if entry.filename.startswith("xl/worksheets/sheet"):
                data = re.sub(rb"</f><v>[^<]*</v>", b"</f>", data)
            new.writestr(entry, data)
    return out.getvalue()


def converted(content: bytes, kind: str, place: Path) -> Path:
    """The workbook, computed and saved by LibreOffice."""
    (place / "order.xlsx").write_bytes(content)
    (place / "out").mkdir()
    subprocess.run(
        [str(OFFICE), "--headless", "--norestore", f"-env:UserInstallation=file://{place}/profile",
         "--convert-to", kind, "--outdir", str(place / "out"), str(place / "order.xlsx")],
        check=True, capture_output=True, timeout=120,
    )  # fmt: skip
    return place / "out" / f"order.{kind}"


@needs_office
def test_recalculated_values_are_the_stored_ones(made: bytes, tmp_path: Path):
    computed = opened(
        converted(without_values(made), "xlsx", tmp_path).read_bytes(), data_only=True
    )
    stored, formulas = opened(made, data_only=True), opened(made)
    compared = 0
    for sheet in formulas:
        for row in sheet.iter_rows():
            for cell in row:
                if cell.data_type != "f":
                    continue
                want = stored[sheet.title][cell.coordinate].value
                got = computed[sheet.title][cell.coordinate].value
                compared += 1
                place = f"{sheet.title}!{cell.coordinate}"
                if isinstance(want, int | float):
                    # Half a unit in the second decimal of money.
                    assert got == pytest.approx(want, abs=0.005), place
                else:
                    assert (got or "") == (want or ""), place
    assert compared > 20


def printed(pdf: Path) -> str:
    """Everything that the pages show, in the order of the cells, blanks and line ends as one."""
    shown = subprocess.run(
        ["pdftotext", "-raw", str(pdf), "-"], check=True, capture_output=True, text=True
    )
    return " ".join(shown.stdout.split())


@needs_office
@pytest.mark.skipif(shutil.which("pdftotext") is None, reason="poppler is not installed")
def test_the_printed_pages_hold_every_heading_and_every_word(tmp_path: Path):
    name = "Brush for rough floors, 430 mm, medium hard, with a name that goes on and on"
    why = " ".join(["Until 10 April 2027 about 43 pieces will be used, and so on and on;"] * 6)
    order = makers.order().assign(name=name, why=why)
    content = order_workbook(makers.forecast(order=order), "x")
    text = printed(converted(content, "pdf", tmp_path))
    assert "#" not in text
    assert "Err:" not in text
    for field in (*ORDER_COLUMNS, *SUPPLIER_COLUMNS, *BY_SITE):
        assert field.heading in text
    # Three lines to order, one to watch; the names also on the suppliers' sheets.
    assert text.count(why) == 4
    assert text.count(name) >= 7
    assert "Send these first: the order counts on them. Then correct the stock of both" in text


@needs_office
def test_changed_packs_reach_pieces_totals_and_the_suppliers_sheet(made: bytes, tmp_path: Path):
    book = opened(made)
    book["Order"]["F5"] = 8  # packs of one; 6 before
    book["Order"]["P5"] = pd.Timestamp("2026-11-09").to_pydatetime()
    edited = io.BytesIO()
    book.save(edited)
    computed = opened(converted(edited.getvalue(), "xlsx", tmp_path).read_bytes(), data_only=True)
    assert computed["Order"]["H5"].value == 8
    assert computed["Order"]["J5"].value == 64
    assert computed["Order"]["J8"].value == 64 + 125 + 125
    assert computed["-Minus Ltd."]["E10"].value == 8
    assert [cell.value for cell in computed["on_order"][2]][:2] == ["=SUM(1)", 8]
    # Ten days of delivery after the day ordered.
    assert computed["on_order"]["C2"].value == pd.Timestamp("2026-11-19").to_pydatetime()


@needs_office
def test_a_price_follows_the_packs_over_its_breaks(tmp_path: Path):
    forecast = makers.forecast()
    breaks = pd.DataFrame({"part": "BL-1", "price": [12.5, 10.0], "from_pieces": [1.0, 20.0]})
    forecast.book = replace(forecast.book, price_breaks=breaks)
    book = opened(order_workbook(forecast, "x"))
    book["Order"]["F6"], book["Order"]["F7"] = 4, 0  # packs of five
    edited = io.BytesIO()
    book.save(edited)
    computed = opened(converted(edited.getvalue(), "xlsx", tmp_path).read_bytes(), data_only=True)
    assert [computed["Order"][cell].value for cell in ("I6", "J6")] == [10.0, 200.0]
    assert [computed["Order"][cell].value for cell in ("I7", "J7")] == [12.5, 0.0]
    assert computed["Hill & Sons"]["H10"].value == 10.0


def test_packs_may_only_be_whole(made: bytes):
    limits = opened(made)["Order"].data_validations.dataValidation
    assert {str(each.sqref): each.type for each in limits}["F5:F7"] == "whole"


def test_a_suppliers_orders_of_different_days_stand_apart(made: bytes):
    sheet = opened(made, data_only=True)["Hill & Sons"]
    assert [sheet.cell(row, 1).value for row in range(9, 16)] == [
        "Goes out on 2026-11-02", 1, "Total EUR", "Goes out on 2026-11-30", 2, "Total EUR", None,
    ]  # fmt: skip
    assert [sheet.cell(row, 9).value for row in (11, 14)] == [125, 125]
    assert [each.id for each in sheet.row_breaks.brk] == [11]
    assert sheet.print_title_rows == "$1:$8"  # the buyer's fields on every page
    assert "confirm prices" in str(sheet["A7"].value)
    # Ten days of delivery.
    assert sheet["J10"].value == pd.Timestamp("2026-11-12").to_pydatetime()


def test_a_suppliers_lines_of_one_day_are_one_order():
    order = makers.order()
    order.loc[0, "order_on"] = order.loc[1, "order_on"]
    sheet = opened(order_workbook(makers.forecast(order=order), "x"))["Hill & Sons"]
    assert [sheet.cell(row, 1).value for row in range(9, 13)] == [
        "Goes out on 2026-11-02", 1, 2, "Total EUR",
    ]  # fmt: skip
    assert [sheet.cell(row, 4).value for row in (10, 11)] == ["south", "north"]


def test_the_total_says_how_many_lines_have_no_price():
    order = makers.order()
    order.loc[2, ["unit_price", "line_total"]] = None
    book = opened(order_workbook(makers.forecast(order=order), "x"), data_only=True)
    assert book["Order"]["A8"].value == "Total of the lines shown; 1 of 3 have no price"
    assert book["Order"]["J8"].value == 250
    assert book["-Minus Ltd."]["A11"].value == "Total EUR; 1 of 1 without price"


def test_moves_between_depots_are_listed_by_depot(made: bytes):
    sheet = opened(made)["Moves"]
    # The north has two and an order on the way, the south one for a need of two.
    assert [cell.value for cell in sheet[5]][:5] == ["north", "south", "BL-1", "gum blade", 1]


def test_without_a_move_there_is_no_sheet_for_them():
    forecast = makers.forecast()
    forecast.book = replace(forecast.book, stock=forecast.book.stock.iloc[:0])
    assert "Moves" not in opened(order_workbook(forecast, "x")).sheetnames


def test_both_services_stand_in_the_workbook(made: bytes):
    sheet = opened(made)["Figures"]
    place = {cell.value: cell.column for cell in sheet[4]}
    assert [
        sheet.cell(5, place[each]).value for each in ("In time", "No shortage", "From the shelf")
    ] == [0.97, 0.96, 0.99]


def test_an_order_in_the_place_of_another_part_goes_to_the_sites_of_both():
    forecast = makers.forecast()
    parts = forecast.book.parts
    forecast.book = replace(forecast.book, parts=parts.assign(replaced_by=["", "PAD-9", ""]))
    order = makers.order()
    order.loc[3, ["depot", "order_pieces"]] = ["north", 10.0]
    forecast.order = order
    frame = by_site(forecast).set_index(["site", "part"])
    assert frame.loc[("Hall A", "PAD-9"), ["share", "of_order", "use"]].tolist() == [1.0, 10.0, 0.0]


def test_what_is_listed_by_hand_is_listed_once():
    assert len(set(SHEETS)) == len(SHEETS)


@pytest.mark.parametrize(
    ("wanted", "name"),
    [
        ("Hill & Sons", "Hill & Sons"),
        ("a/b\\c[d]:e*f?", "a b c d e f"),
        ("'quoted'", "quoted"),
        ("x" * 40, "x" * 31),
        ("Order", "Order 2"),
        ("HISTORY", "HISTORY 2"),
        ("", "No supplier named"),
        ("\x00\x01", "No supplier named"),
    ],
)
def test_a_sheet_name_is_one_that_a_workbook_takes(wanted: str, name: str):
    assert sheet_names([wanted], ["Order"]) == {wanted: name}


def test_sheet_names_that_meet_get_a_number_within_31_characters():
    names = sheet_names(["x" * 40, "X" * 41], [])
    assert list(names.values()) == ["x" * 31, "X" * 29 + " 2"]


@pytest.mark.parametrize(
    ("text", "lines"), [("", 1), ("one two", 1), ("x" * 25, 4), ("word " * 8, 8), ("a" * 8, 1)]
)
def test_lines_of_a_wrapped_text(text: str, lines: int):
    # Width 8 has room for 8 of our smaller letters beside the indent.
    assert lines_of(text, 8) == lines
