"""The sheets that the clerk works with: Order, one a supplier, and the lines for on_order.

Packs may be changed on the sheet Order; pieces, totals, ``covers until`` and the suppliers'
sheets follow by formulas that carry their values.
"""

from collections.abc import Hashable
from math import ceil
from typing import TYPE_CHECKING, Any

import pandas as pd
from xlsxwriter.utility import xl_rowcol_to_cell
from xlsxwriter.worksheet import Worksheet

from wearcast.decisions.ordering.prices import Terms
from wearcast.reports.fields import OUTPUTS, Field
from wearcast.reports.order.timeline import Timeline, covers_until
from wearcast.reports.workbook.papers import Sheet
from wearcast.reports.workbook.sheets import (
    FIRST_TABLE_ROW,
    set_height,
    set_print,
    write_cell,
    write_headings,
    write_title,
)

if TYPE_CHECKING:
    from wearcast.logbook.choices import Choices

Line = dict[Hashable, Any]
"""One row of the order, by column."""
FIRST_ROW = FIRST_TABLE_ROW
TIMELINE_HEADING, TIMELINE_FIRST_COLUMN, TIMELINE_ROWS = 3, 3, 4
_FIELD = {field.name: field for field in OUTPUTS["order"]}
COLUMNS = (
    _FIELD["supplier"],
    _FIELD["depot"],
    _FIELD["part"],
    _FIELD["name"],
    Field("have", "count", "Have", "On the shelf, on order and moved between depots, in pieces."),
    Field("order_packs", "count", "Packs", "Packs to order. Change it as you like: what is to the "
          "right follows, and so do the suppliers' sheets."),
    _FIELD["pack"],
    Field("order_pieces", "count", "Pieces", "Packs times pieces in a pack."),
    _FIELD["unit_price"],
    _FIELD["line_total"],
    _FIELD["order_by"],
    _FIELD["order_on"],
    Field("covers", "date", "Covers until", "With this order the shelf lasts at least so long, at "
          "the service level asked for; read off the sheet Timeline, at most a year ahead."),
    _FIELD["status"],
    _FIELD["why"],
    Field("ordered", "date", "ordered", "The day it was ordered: fill it in, and the line stands "
          "on the sheet on_order, ready to be pasted into the logbook's table of that name."),
)  # fmt: skip
PLACE = {field.name: place for place, field in enumerate(COLUMNS)}
_WIDTHS = {
    "supplier": 15, "depot": 9, "part": 13, "name": 20, "have": 6, "order_packs": 6.5, "pack": 6,
    "order_pieces": 7, "unit_price": 8, "line_total": 10.5, "order_by": 10.5, "order_on": 10.5,
    "covers": 10.5, "status": 10, "why": 54, "ordered": 10.5,
}  # fmt: skip


def write_order_sheet(
    paper: Sheet,
    lines: pd.DataFrame,
    timeline: Timeline,
    choices: "Choices",
    terms: dict[str, Terms],
) -> None:
    """The sheet Order: one row a line to order, by supplier and date; `terms` by part."""
    sheet, looks = paper.sheet, paper.looks
    money = f" Money in {choices.currency}." if choices.currency else ""
    write_title(
        sheet,
        looks,
        f"Order for {choices.order_from:%Y-%m-%d} to {choices.order_to:%Y-%m-%d}",
        f"As of {choices.as_of:%Y-%m-%d}. Enough in {100 * choices.service_level:g} of 100 cases "
        f"until the next order arrives.{money} Yellow cells may be changed.",
    )
    write_headings(sheet, looks, COLUMNS, FIRST_ROW - 1)
    for place, line in enumerate(lines.to_dict("records")):
        _write_line(paper, FIRST_ROW + place, line, timeline, terms[str(line["part"])])
    last = FIRST_ROW + len(lines) - 1
    if len(lines):
        _write_total(paper, last + 1, lines)
        sheet.autofilter(FIRST_ROW - 1, 0, last, len(COLUMNS) - 1)
        _limit_inputs(sheet, last)
    else:
        sheet.write_string(FIRST_ROW, 0, "Nothing to order.", looks.of("text", "bold"))
    for name, width in _WIDTHS.items():
        sheet.set_column(PLACE[name], PLACE[name], width)
    sheet.freeze_panes(FIRST_ROW, PLACE["have"])
    set_print(
        sheet,
        last_row=max(last + 1, FIRST_ROW),
        last_column=len(COLUMNS) - 1,
        heading=FIRST_ROW - 1,
        foot=paper.foot,
    )


def _write_line(paper: Sheet, row: int, line: Line, timeline: Timeline, terms: Terms) -> None:
    """One line: typed values, and formulas that carry their values."""
    sheet, looks = paper.sheet, paper.looks
    for field in COLUMNS:
        wrap = ("wrap",) if field.kind == "text" else ()
        if field.name in line:
            write_cell(sheet, row, PLACE[field.name], line[field.name],
                       looks.of(field.kind, "line", *wrap))  # fmt: skip
    widths = [_WIDTHS[field.name] for field in COLUMNS]
    set_height(sheet, row, zip((line.get(name) for name in PLACE), widths, strict=True))
    write_cell(sheet, row, PLACE["have"], have(line), looks.of("count", "line"))
    packs = looks.of("count", "input", "bold")
    write_cell(sheet, row, PLACE["order_packs"], line["order_packs"], packs)
    sheet.write_blank(row, PLACE["ordered"], None, looks.of("date", "input"))
    if len(terms.breaks) > 1:
        _write_price(paper, row, line, terms)
    _write_formulas(paper, row, line, timeline)


def _write_price(paper: Sheet, row: int, line: Line, terms: Terms) -> None:
    """The price by the number of pieces, as `prices.price_at` takes it."""
    starts, prices = zip(*terms.breaks, strict=True)
    steps = ",".join(f"{start:.12g}" for start in (0.0, *starts[1:]))
    pieces = xl_rowcol_to_cell(row, PLACE["order_pieces"])
    paper.sheet.write_formula(
        row, PLACE["unit_price"],
        f"=LOOKUP({pieces},{{{steps}}},{{{','.join(f'{price:.12g}' for price in prices)}}})",
        paper.looks.of("money", "line"), float(line["unit_price"]),
    )  # fmt: skip


def _write_formulas(paper: Sheet, row: int, line: Line, timeline: Timeline) -> None:
    sheet, looks = paper.sheet, paper.looks
    at = {name: xl_rowcol_to_cell(row, place) for name, place in PLACE.items()}
    pieces = float(line["order_pieces"])
    sheet.write_formula(
        row, PLACE["order_pieces"], f"={at['order_packs']}*{at['pack']}",
        looks.of("count", "line", "bold"), pieces,
    )  # fmt: skip
    total = line["line_total"]
    sheet.write_formula(
        row, PLACE["line_total"],
        f'=IF({at["unit_price"]}="","",{at["order_pieces"]}*{at["unit_price"]})',
        looks.of("money", "line", "bold"), total if pd.notna(total) else "",
    )  # fmt: skip
    shelf = timeline.row_of(str(line["depot"]), str(line["part"]))
    until = covers_until(timeline, shelf, have(line) + pieces)
    dates, use = _timeline_ranges(timeline, shelf)
    sheet.write_formula(
        row, PLACE["covers"],
        f"=INDEX({dates},MATCH({at['have']}+{at['order_pieces']},{use},1))",
        looks.of("date", "line"), _serial(until),
    )  # fmt: skip


def _timeline_ranges(timeline: Timeline, shelf: int) -> tuple[str, str]:
    """The dates of the sheet Timeline and a shelf's row of use, as absolute ranges."""
    first, last = TIMELINE_FIRST_COLUMN, TIMELINE_FIRST_COLUMN + len(timeline.days) - 1

    def across(row: int) -> str:
        left = xl_rowcol_to_cell(row, first, row_abs=True, col_abs=True)
        right = xl_rowcol_to_cell(row, last, row_abs=True, col_abs=True)
        return f"Timeline!{left}:{right}"

    use_row = TIMELINE_HEADING + 1 + TIMELINE_ROWS * shelf + TIMELINE_ROWS - 1
    return across(TIMELINE_HEADING), across(use_row)


def have(line: Line) -> float:
    """Pieces there and coming, moves between depots made."""
    return float(line["on_hand"] + line["on_order"] + line["moved_in"] - line["moved_out"])


def _serial(day: pd.Timestamp) -> int:
    """A date as a sheet stores it: days since the end of 1899."""
    return (day - pd.Timestamp("1899-12-30")).days


def _write_total(paper: Sheet, row: int, lines: pd.DataFrame) -> None:
    """The sum of what the filter shows."""
    sheet, looks = paper.sheet, paper.looks
    for place in range(len(COLUMNS)):
        sheet.write_blank(row, place, None, looks.of("text", "total"))
    bare = int(lines["unit_price"].isna().sum())
    words = "Total of the lines shown" + (f"; {bare} of {len(lines)} have no price" if bare else "")
    sheet.write_string(row, 0, words, looks.of("text", "total"))
    place = PLACE["line_total"]
    top, bottom = xl_rowcol_to_cell(FIRST_ROW, place), xl_rowcol_to_cell(row - 1, place)
    total = float(lines["line_total"].sum())
    sheet.write_formula(
        row, place, f"=SUBTOTAL(109,{top}:{bottom})", looks.of("money", "total"), total
    )


def _limit_inputs(sheet: Worksheet, last: int) -> None:
    """What may be typed into the yellow cells."""
    packs, ordered = PLACE["order_packs"], PLACE["ordered"]
    sheet.data_validation(FIRST_ROW, packs, last, packs, {
        "validate": "integer", "criteria": ">=", "value": 0,
        "error_title": "Packs", "error_message": "A whole number of packs, 0 or more",
    })  # fmt: skip
    sheet.data_validation(FIRST_ROW, ordered, last, ordered, {
        "validate": "date", "criteria": ">=", "value": pd.Timestamp("2000-01-01").to_pydatetime(),
        "error_title": "ordered", "error_message": "The day it was ordered, a date",
    })  # fmt: skip


ON_ORDER = (
    Field("part", "text", "part", "As in the logbook's table on_order."),
    Field("pieces", "count", "pieces", "Pieces ordered."),
    Field("due", "date", "due", "The day ordered plus the mean days of delivery."),
    Field("depot", "text", "depot", "Where to."),
)


def write_on_order_sheet(paper: Sheet, lines: pd.DataFrame) -> None:
    """The lines marked as ordered, under the headings of the logbook's table on_order."""
    sheet, looks = paper.sheet, paper.looks
    write_headings(sheet, looks, ON_ORDER, 0)
    for place, line in enumerate(lines.to_dict("records")):
        row = FIRST_ROW + place
        cell = {name: f"Order!{xl_rowcol_to_cell(row, PLACE[name])}" for name in PLACE}
        lead = ceil(float(line["lead_days"]))
        values = (cell["part"], cell["order_pieces"], f"{cell['ordered']}+{lead}", cell["depot"])
        for column, (field, value) in enumerate(zip(ON_ORDER, values, strict=True)):
            look = looks.of(field.kind, *(("formula",) if field.kind == "text" else ()))
            sheet.write_formula(
                place + 1, column, f'=IF({cell["ordered"]}="","",{value})', look, ""
            )
    sheet.set_column(0, 3, 16)
    words = (
        "Lines appear here once their day is filled in under ordered on the sheet Order. "
        "Copy them, values only, into the table on_order of the logbook."
    )
    sheet.set_column(5, 5, 70)
    sheet.write_string(0, 5, words, looks.of("text", "wrap", "pale"))
    sheet.set_row(0, 42)
    sheet.freeze_panes(1, 0)
    set_print(sheet, last_row=len(lines) + 1, last_column=5, heading=0, foot=paper.foot)
