"""A sheet an order to a supplier, ready to send: blank fields for the buyer, lines, total.

Lines of one supplier that go out on different days are different orders, each on its own sheet.
Packs, pieces, prices and totals follow the sheet Order by formulas that carry their values.
"""

import numpy as np
import pandas as pd
from xlsxwriter.utility import xl_rowcol_to_cell

from wearcast.reports.fields import OUTPUTS, Field
from wearcast.reports.workbook.order_sheet import PLACE, Line
from wearcast.reports.workbook.papers import Sheet
from wearcast.reports.workbook.sheets import set_height, set_print, write_cell, write_headings

_FIELD = {field.name: field for field in OUTPUTS["order"]}
SUPPLIER_COLUMNS = (
    Field("number", "count", "Line", "Number of the line."),
    _FIELD["part"],
    _FIELD["name"],
    Field("depot", "text", "Deliver to", "The store that the pieces are for."),
    _FIELD["order_packs"],
    _FIELD["pack"],
    _FIELD["order_pieces"],
    _FIELD["unit_price"],
    _FIELD["line_total"],
    Field("wanted", "date", "Wanted by", "The day it goes out and the usual days of delivery."),
)
SUPPLIER_WIDTHS = (6, 16, 34, 14, 8, 9, 9, 11, 13, 12)
_BLANKS = ("Our order number", "Date", "From (name and address)", "Deliver to (address)")


def write_supplier_sheet(
    paper: Sheet, supplier: str, lines: pd.DataFrame, first_row: int, currency: str
) -> None:
    """A sheet ready to send: blank fields for the buyer, the lines, the total.

    Parameters
    ----------
    paper : Sheet
    supplier : str
    lines : DataFrame
        The supplier's lines of one day as they stand on the sheet Order.
    first_row : int
        Row of the first of them there, counted from 0.
    currency : str
    """
    sheet, looks = paper.sheet, paper.looks
    sheet.hide_gridlines(2)
    sheet.write_string(0, 0, f"Order to {supplier or 'supplier'}", looks.of("text", "title"))
    sheet.set_row(0, 22)
    day = lines["order_on"].min()
    sheet.write_string(1, 0, f"Goes out on {day:%Y-%m-%d}.", looks.of("text", "pale", "flush"))
    for row, words in enumerate(_BLANKS, 2):
        sheet.write_string(row, 0, words, looks.of("text", "bold"))
        sheet.merge_range(row, 3, row, 7, "", looks.of("text", "input"))
        sheet.set_row(row, 34 if "address" in words else 18)
    heading = 2 + len(_BLANKS) + 1
    write_headings(sheet, looks, SUPPLIER_COLUMNS, heading)
    lead = pd.to_timedelta(np.ceil(lines["lead_days"].astype(float)), unit="D")
    wanted = lines.assign(wanted=lines["order_on"] + lead)
    for place, line in enumerate(wanted.to_dict("records")):
        _write_supplier_line(paper, heading + 1 + place, first_row + place, line, place + 1)
    last = heading + len(lines)
    _write_supplier_total(paper, heading, last, lines, currency)
    for place, width in enumerate(SUPPLIER_WIDTHS):
        sheet.set_column(place, place, width)
    sheet.freeze_panes(heading + 1, 0)
    set_print(sheet, last_row=last + 3, last_column=len(SUPPLIER_COLUMNS) - 1, heading=heading,
              foot=paper.foot)  # fmt: skip


def _write_supplier_line(paper: Sheet, row: int, order_row: int, line: Line, number: int) -> None:
    """One line; packs, pieces and total follow the sheet Order."""
    sheet, looks = paper.sheet, paper.looks
    follows = {"order_packs", "order_pieces", "line_total"}
    if pd.notna(line["unit_price"]):
        follows.add("unit_price")
    cells = (line.get(field.name) for field in SUPPLIER_COLUMNS)
    set_height(sheet, row, zip(cells, SUPPLIER_WIDTHS, strict=True))
    for place, field in enumerate(SUPPLIER_COLUMNS):
        look = looks.of(field.kind, "line", *(("wrap",) if field.kind == "text" else ()))
        value = {**line, "number": number}[field.name]
        if field.name in follows:
            cell = xl_rowcol_to_cell(order_row, PLACE[field.name])
            shown = value if pd.notna(value) else ""
            sheet.write_formula(row, place, f"=Order!{cell}", look, shown)
        else:
            write_cell(sheet, row, place, value, look)


def _write_supplier_total(
    paper: Sheet, heading: int, last: int, lines: pd.DataFrame, currency: str
) -> None:
    sheet, looks = paper.sheet, paper.looks
    place = [field.name for field in SUPPLIER_COLUMNS].index("line_total")
    for column in range(len(SUPPLIER_COLUMNS)):
        sheet.write_blank(last + 1, column, None, looks.of("text", "total"))
    bare = int(lines["unit_price"].isna().sum())
    words = f"Total {currency}".strip() + (
        f"; {bare} of {len(lines)} without price" if bare else ""
    )
    sheet.write_string(last + 1, 0, words, looks.of("text", "total"))
    top, bottom = xl_rowcol_to_cell(heading + 1, place), xl_rowcol_to_cell(last, place)
    total = float(lines["line_total"].sum())
    sheet.write_formula(last + 1, place, f"=SUM({top}:{bottom})", looks.of("money", "total"), total)
    words = "Prices as in our catalogue; please confirm prices and delivery dates."
    sheet.write_string(last + 3, 0, words, looks.of("text", "pale"))
