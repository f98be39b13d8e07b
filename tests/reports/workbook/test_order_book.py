"""The workbook as a whole: the same bytes, no formulas out of texts, one layout, right values."""

import re
import zipfile
from dataclasses import replace
from datetime import time
from io import BytesIO
from pathlib import Path

import openpyxl
import pytest
from openpyxl.worksheet.worksheet import Worksheet

from tests.reports import makers
from tests.reports.workbook.office import converted, needs_office, opened, values, without_values
from wearcast.reports.frames import csv_text
from wearcast.reports.order.news import changes_since
from wearcast.reports.workbook.order_book import SHEETS, order_workbook
from wearcast.reports.workbook.order_sheet import PLACE
from wearcast.reports.workbook.sheets import lines_of, sheet_names


@pytest.fixture(scope="module")
def made() -> bytes:
    return order_workbook(makers.forecast(), "0123456789ab")


def dump(content: bytes) -> str:
    """Every cell as ``sheet!cell = value | number format``; where lines are edited or looked up
    also the formula."""
    lines = []
    stored = values(content)
    for sheet in opened(content):
        for row in sheet.iter_rows():
            for cell in row:
                value = stored[sheet.title][cell.coordinate].value
                if value in (None, ""):
                    continue
                formula = cell.data_type == "f" and sheet.title in ("Order", "Lines")
                shown = f"{cell.value} -> {value}" if formula else f"{value}"
                lines.append(f"{sheet.title}!{cell.coordinate} = {shown} | {cell.number_format}")
    return "\n".join(lines) + "\n"


def test_the_workbook_holds_what_it_held(made: bytes, golden):
    apart = re.compile("Timeline!|Assumptions!|Figures!|To watch!|Lines![A-Z]+[345] ")
    kept = [line for line in dump(made).splitlines() if not apart.match(line)]
    golden("order_workbook.txt", "\n".join(kept) + "\n")


def test_the_same_forecast_gives_the_same_bytes(made: bytes):
    assert order_workbook(makers.forecast(), "0123456789ab") == made


def test_nothing_in_the_file_bears_the_clock(made: bytes):
    with zipfile.ZipFile(BytesIO(made)) as archive:
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


@pytest.mark.parametrize("name", ["Approve", "By site", "Problems"])
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


@pytest.mark.parametrize("name", ["Order", "To watch"])
def test_what_is_typed_and_what_figures_print_stays_off_the_paper(made: bytes, name: str):
    sheet: Worksheet = opened(made)[name]
    last = openpyxl.utils.range_boundaries(sheet.print_area.split("!")[1].replace("$", ""))[2]
    assert [sheet.cell(4, column).value for column in (last, last + 1)] == ["Why", "ordered"]


def test_a_sheet_wider_than_the_page_repeats_what_its_rows_are_about(made: bytes):
    sheet: Worksheet = opened(made)["Timeline"]
    assert sheet.page_setup.scale == 80
    assert sheet.print_title_cols == "$A:$C"


def test_what_changed_begins_with_the_news(tmp_path: Path):
    old = makers.order().assign(order_pieces=0)
    (tmp_path / "order.csv").write_text(csv_text("order", old))
    changes = changes_since(makers.forecast(), tmp_path)
    sheet = opened(order_workbook(makers.forecast(), "x", changes))["What changed"]
    assert [sheet.cell(row, 1).value for row in (3, 4)] == list(changes.news)
    assert [sheet.cell(row, 2).value for row in (6, 7, 8, 9)] == ["Part", "=SUM(1)", "BL-1", "BL-1"]


def test_an_empty_order_still_makes_a_workbook():
    order = makers.order().iloc[3:].reset_index(drop=True)
    book = opened(order_workbook(makers.forecast(order=order), "x"))
    assert book["Order"]["A5"].value == "Nothing to order."
    # What is to watch may yet be ordered: its supplier has a sheet that says not to send it.
    assert book["To watch"]["C5"].value == "PAD-9"
    sent = values(order_workbook(makers.forecast(order=order), "x"))["Hill & Sons"]["A1"].value
    assert sent == "Nothing to order here: do not send this page"


@needs_office
@pytest.mark.parametrize("lines", [slice(None), slice(3, None)], ids=["all", "none to order"])
def test_recalculated_values_are_the_stored_ones(tmp_path: Path, lines: slice):
    order = makers.order().iloc[lines].reset_index(drop=True)
    made = order_workbook(makers.forecast(order=order), "x")
    computed = values(converted(without_values(made), "xlsx", tmp_path).read_bytes())
    stored, formulas = values(made), opened(made)
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
                if isinstance(got, time):  # a nought under a date's format
                    got = 0
                if isinstance(want, time):
                    want = 0
                if isinstance(want, int | float):
                    # Half a unit in the second decimal of money.
                    assert got == pytest.approx(want, abs=0.005), place
                else:
                    assert (got or "") == (want or ""), place
    assert compared > 20


def test_packs_may_only_be_whole(made: bytes):
    limits = opened(made)["Order"].data_validations.dataValidation
    assert {str(each.sqref): each.type for each in limits}["F5:F7"] == "whole"


def test_moves_between_depots_are_listed_by_depot(made: bytes):
    sheet = opened(made)["Moves"]
    # The north has two and an order on the way, the south one for a need of two.
    assert [cell.value for cell in sheet[5]][:5] == ["north", "south", "BL-1", "gum blade", 1]


def test_without_a_move_there_is_no_sheet_for_them():
    forecast = makers.forecast()
    stock = forecast.book.stock
    forecast.book = replace(forecast.book, stock=stock[stock["part"] != "BL-1"])
    assert "Moves" not in opened(order_workbook(forecast, "x")).sheetnames


def test_what_the_budget_cut_and_nobody_counted_shows():
    order = makers.order()
    order.loc[0, "wanted_pieces"] = order.loc[0, "order_pieces"] + 4
    order.loc[0, "on_hand"] = float("nan")
    first = order.loc[0]
    book = opened(order_workbook(makers.forecast(order=order), "x"))
    told = [cell.value for row in book["Approve"] for cell in row]
    shelf = f"{first['part']}, {first['depot']}"
    assert f"{shelf} gets fewer pieces than proposed, or none, by the budget." in told
    shown = {
        (row[PLACE["part"]].value, row[PLACE["depot"]].value): row[PLACE["have"]].number_format
        for row in book["Order"].iter_rows(min_row=5)
    }
    assert shown[first["part"], first["depot"]] == '#,##0"?"'
    assert list(shown.values()).count('#,##0"?"') == 1


def test_both_services_stand_in_the_workbook(made: bytes):
    sheet = opened(made)["Figures"]
    place = {cell.value: cell.column for cell in sheet[4]}
    assert [
        sheet.cell(5, place[each]).value for each in ("In time", "No shortage", "From the shelf")
    ] == [0.97, 0.96, 0.99]


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
