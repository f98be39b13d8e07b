"""A sheet a supplier, ready to send: blank fields for the buyer, lines, totals.

Lines that go out on different days are different orders: each stands under its day with a total of
its own and prints on a page of its own, with the blank fields repeated. Packs, pieces, prices and
totals follow the sheet Order by formulas that carry their values.
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
_ASK = "Prices as in our catalogue; please confirm prices and delivery dates."
_HEADING = 2 + len(_BLANKS) + 1  # row, counted from 0
_TOTAL = [field.name for field in SUPPLIER_COLUMNS].index("line_total")


def write_supplier_sheet(
    paper: Sheet, supplier: str, lines: pd.DataFrame, first_row: int, currency: str
) -> None:
    """A sheet ready to send: blank fields for the buyer, the lines by day, the totals.

    Parameters
    ----------
    paper : Sheet
    supplier : str
    lines : DataFrame
        The supplier's lines as they stand on the sheet Order.
    first_row : int
        Row of the first of them there, counted from 0.
    currency : str
    """
    sheet = paper.sheet
    _write_head(paper, supplier)
    lead = pd.to_timedelta(np.ceil(lines["lead_days"].astype(float)), unit="D")
    wanted = lines.assign(
        wanted=lines["order_on"] + lead,
        number=np.arange(1, len(lines) + 1),
        order_row=np.arange(first_row, first_row + len(lines)),
    )
    row, breaks = _HEADING + 1, []
    for day, order in wanted.groupby("order_on", sort=True):
        row = _write_order(paper, row, pd.Timestamp(str(day)), order, currency)
        breaks.append(row)
    for place, width in enumerate(SUPPLIER_WIDTHS):
        sheet.set_column(place, place, width)
    sheet.freeze_panes(_HEADING + 1, 0)
    set_print(sheet, last_row=row - 1, last_column=len(SUPPLIER_COLUMNS) - 1, heading=_HEADING,
              foot=paper.foot)  # fmt: skip
    sheet.repeat_rows(0, _HEADING)
    sheet.set_h_pagebreaks(breaks[:-1])


def _write_head(paper: Sheet, supplier: str) -> None:
    """The title, the buyer's blank fields, what is asked and the headings."""
    sheet, looks = paper.sheet, paper.looks
    sheet.hide_gridlines(2)
    sheet.write_string(0, 0, f"Order to {supplier or 'supplier'}", looks.of("text", "title"))
    sheet.set_row(0, 22)
    for row, words in enumerate(_BLANKS, 2):
        sheet.write_string(row, 0, words, looks.of("text", "bold"))
        sheet.merge_range(row, 3, row, 7, "", looks.of("text", "input"))
        sheet.set_row(row, 34 if "address" in words else 18)
    sheet.write_string(_HEADING - 1, 0, _ASK, looks.of("text", "pale"))
    write_headings(sheet, looks, SUPPLIER_COLUMNS, _HEADING)


def _write_order(
    paper: Sheet, row: int, day: pd.Timestamp, lines: pd.DataFrame, currency: str
) -> int:
    """The lines of one day under it, and their total; returns the row after it."""
    sheet, looks = paper.sheet, paper.looks
    for place in range(len(SUPPLIER_COLUMNS)):
        sheet.write_blank(row, place, None, looks.of("text", "shade"))
    words = f"Goes out on {day:%Y-%m-%d}"
    sheet.write_string(row, 0, words, looks.of("text", "shade", "bold"))
    for place, line in enumerate(lines.to_dict("records"), row + 1):
        _write_line(paper, place, line)
    last = row + len(lines)
    _write_total(paper, last + 1, row + 1, f"Total {currency}".strip(), lines)
    return last + 2


def _write_line(paper: Sheet, row: int, line: Line) -> None:
    """One line; packs, pieces, price and total follow the sheet Order."""
    sheet, looks = paper.sheet, paper.looks
    follows = {"order_packs", "order_pieces", "line_total"}
    if pd.notna(line["unit_price"]):
        follows.add("unit_price")
    cells = (line.get(field.name) for field in SUPPLIER_COLUMNS)
    set_height(sheet, row, zip(cells, SUPPLIER_WIDTHS, strict=True))
    for place, field in enumerate(SUPPLIER_COLUMNS):
        look = looks.of(field.kind, "line", *(("wrap",) if field.kind == "text" else ()))
        value = line[field.name]
        if field.name in follows:
            cell = xl_rowcol_to_cell(line["order_row"], PLACE[field.name])
            shown = value if pd.notna(value) else ""
            sheet.write_formula(row, place, f"=Order!{cell}", look, shown)
        else:
            write_cell(sheet, row, place, value, look)


def _write_total(paper: Sheet, row: int, first: int, words: str, lines: pd.DataFrame) -> None:
    """The sum of the rows above from `first` on."""
    sheet, looks = paper.sheet, paper.looks
    for column in range(len(SUPPLIER_COLUMNS)):
        sheet.write_blank(row, column, None, looks.of("text", "total"))
    bare = int(lines["unit_price"].isna().sum())
    words += f"; {bare} of {len(lines)} without price" if bare else ""
    sheet.write_string(row, 0, words, looks.of("text", "total"))
    top, bottom = xl_rowcol_to_cell(first, _TOTAL), xl_rowcol_to_cell(row - 1, _TOTAL)
    total = float(lines["line_total"].sum())
    sheet.write_formula(row, _TOTAL, f"=SUM({top}:{bottom})", looks.of("money", "total"), total)
