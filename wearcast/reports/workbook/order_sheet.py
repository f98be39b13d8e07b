"""The sheets that the clerk edits, Order and To watch: packs and days typed, the rest follows.

Both are laid out alike, and either may be sorted, filtered and cut down: every formula in a row
looks at its own row, at whole columns or at the sheet Timeline. What other sheets take from here
they find by part and depot (`wearcast.reports.workbook.lines_sheet`).
"""

from collections.abc import Hashable, Sequence
from typing import Any

import pandas as pd
from xlsxwriter.utility import xl_rowcol_to_cell
from xlsxwriter.worksheet import Worksheet

from wearcast.decisions.ordering.prices import Terms
from wearcast.reports.fields import OUTPUTS, Field
from wearcast.reports.order.timeline import Timeline, covers_until
from wearcast.reports.workbook.papers import Sheet
from wearcast.reports.workbook.sheets import (
    FIRST_TABLE_ROW,
    across,
    down,
    serial,
    set_height,
    set_print,
    write_cell,
    write_headings,
    write_title,
)

Line = dict[Hashable, Any]
"""One row of the order, by column."""
FIRST_ROW = FIRST_TABLE_ROW
SPARE_ROWS = 40
"""Rows below the last line that are looked at too, so that lines may be added."""
TIMELINE_HEADING, TIMELINE_FIRST_COLUMN, TIMELINE_ROWS = 3, 3, 4
_FIELD = {field.name: field for field in OUTPUTS["order"]}
COLUMNS = (
    _FIELD["supplier"],
    _FIELD["depot"],
    _FIELD["part"],
    _FIELD["name"],
    Field("have", "count", "Have", "On the shelf, on order and moved between depots, in pieces; "
          "? where nobody counted the shelf, which is then taken as empty."),
    Field("order_packs", "count", "Packs", "Packs to order. Change it as you like: what is to the "
          "right follows, and so do the suppliers' sheets; 0 takes the line off them."),
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
    *(_FIELD[name] for name in ("expected_use", "used_last_year", "last_year_why", "check")),
)  # fmt: skip
PLACE = {field.name: place for place, field in enumerate(COLUMNS)}
_WIDTHS = {
    "supplier": 10, "depot": 7.5, "part": 11, "name": 11, "have": 5, "order_packs": 5.5, "pack": 5,
    "order_pieces": 6, "unit_price": 6.5, "line_total": 9, "order_by": 9.5, "order_on": 9.5,
    "covers": 9.5, "status": 7, "why": 19, "ordered": 10.5,
    "expected_use": 9, "used_last_year": 7, "last_year_why": 30, "check": 34,
}  # fmt: skip
_PRINTED = [_WIDTHS[field.name] for field in COLUMNS[: PLACE["ordered"]]]
"""What there is room for on paper; the sheet Figures prints the rest."""


def write_lines(
    paper: Sheet,
    lines: pd.DataFrame,
    timeline: Timeline,
    terms: dict[str, Terms],
    sheets: Sequence[tuple[str, int]],
    *,
    title: str,
    under: str,
    nothing: str,
) -> None:
    """One row a line, the total of those shown above them.

    Parameters
    ----------
    paper : Sheet
    lines : DataFrame
        Rows of the order.
    timeline : Timeline
    terms : mapping
        How each part is sold.
    sheets : sequence
        Name of each sheet of this kind, and how many lines it holds.
    title, under : str
        The sheet's title, and what stands under it.
    nothing : str
        In place of the lines, where there are none.
    """
    sheet, looks = paper.sheet, paper.looks
    write_title(sheet, looks, title, under)
    write_headings(sheet, looks, COLUMNS, FIRST_ROW - 1)
    for place, line in enumerate(lines.to_dict("records")):
        _write_line(paper, FIRST_ROW + place, line, timeline)
        breaks = terms[str(line["part"])].breaks
        if len(breaks) > 1:
            _write_price(paper, FIRST_ROW + place, float(line["unit_price"]), breaks, sheets)
    last = FIRST_ROW + max(len(lines), 1) - 1
    _write_total(paper, lines)
    if len(lines):
        sheet.autofilter(FIRST_ROW - 1, 0, last, len(COLUMNS) - 1)
        _limit_inputs(sheet, last)
    else:
        sheet.write_string(FIRST_ROW, 0, nothing, looks.of("text", "bold"))
    for name, width in _WIDTHS.items():
        sheet.set_column(PLACE[name], PLACE[name], width)
    sheet.freeze_panes(FIRST_ROW, PLACE["have"])
    set_print(
        sheet,
        widths=_PRINTED,
        last_row=last,
        heading=FIRST_ROW - 1,
        foot=paper.foot,
        key_columns=PLACE["name"],
    )


def column_of(sheet: str, name: str, lines: int) -> str:
    """A column of either sheet that holds so many lines: its heading, its rows and spare ones."""
    return down(sheet, PLACE[name], FIRST_ROW - 1, FIRST_ROW + lines + SPARE_ROWS)


def have(line: Line) -> float:
    """Pieces there and coming, moves between depots made; none on a shelf that nobody counted."""
    on_hand: float = 0.0 if pd.isna(line["on_hand"]) else line["on_hand"]
    return float(on_hand + line["on_order"] + line["moved_in"] - line["moved_out"])


def _write_line(paper: Sheet, row: int, line: Line, timeline: Timeline) -> None:
    """One line: typed values, and formulas that carry their values."""
    sheet, looks = paper.sheet, paper.looks
    for field in COLUMNS:
        wrap = ("wrap",) if field.kind == "text" else ()
        if field.name in line:
            write_cell(sheet, row, PLACE[field.name], line[field.name],
                       looks.of(field.kind, "line", *wrap))  # fmt: skip
    set_height(sheet, row, [(line.get(name), width) for name, width in _WIDTHS.items()])
    look = looks.of("count", "line", *["unsure"] * bool(pd.isna(line["on_hand"])))
    write_cell(sheet, row, PLACE["have"], have(line), look)
    packs = looks.of("count", "input", "bold")
    write_cell(sheet, row, PLACE["order_packs"], line["order_packs"], packs)
    sheet.write_blank(row, PLACE["ordered"], None, looks.of("date", "input"))
    _write_formulas(paper, row, line, timeline)


def _write_price(
    paper: Sheet,
    row: int,
    price: float,
    breaks: Sequence[tuple[float, float]],
    sheets: Sequence[tuple[str, int]],
) -> None:
    """The price by the pieces of the part in the whole order, as `baskets.with_prices` takes it."""
    starts, prices = zip(*breaks, strict=True)
    steps = ",".join(f"{start:.12g}" for start in (0.0, *starts[1:]))
    part, day = (xl_rowcol_to_cell(row, PLACE[name]) for name in ("part", "order_on"))
    pieces = "+".join(
        f"SUMPRODUCT(EXACT({column_of(name, 'part', count)},{part})"
        f"*({column_of(name, 'order_on', count)}={day}),{column_of(name, 'order_pieces', count)})"
        for name, count in sheets
    )
    paper.sheet.write_formula(
        row, PLACE["unit_price"],
        f"=LOOKUP({pieces},{{{steps}}},{{{','.join(f'{each:.12g}' for each in prices)}}})",
        paper.looks.of("money", "line"), price,
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
        f'=IF({at["unit_price"]}="","",ROUND({at["order_pieces"]}*{at["unit_price"]},2))',
        looks.of("money", "line", "bold"), total if pd.notna(line["unit_price"]) else "",
    )  # fmt: skip
    shelf = timeline.row_of(str(line["depot"]), str(line["part"]))
    until = covers_until(timeline, shelf, have(line) + pieces)
    dates, use = _timeline_ranges(timeline, shelf)
    sheet.write_formula(
        row, PLACE["covers"],
        f"=INDEX({dates},MATCH({at['have']}+{at['order_pieces']},{use},1))",
        looks.of("date", "line"), serial(until),
    )  # fmt: skip


def _timeline_ranges(timeline: Timeline, shelf: int) -> tuple[str, str]:
    """The dates of the sheet Timeline and a shelf's row of use, as absolute ranges."""
    first, last = TIMELINE_FIRST_COLUMN, TIMELINE_FIRST_COLUMN + len(timeline.days) - 1
    use_row = TIMELINE_HEADING + 1 + TIMELINE_ROWS * shelf + TIMELINE_ROWS - 1
    return (
        across("Timeline", TIMELINE_HEADING, first, last),
        across("Timeline", use_row, first, last),
    )


def _write_total(paper: Sheet, lines: pd.DataFrame) -> None:
    """The sum of what the filter shows, above the headings: no sorting reaches it there."""
    sheet, looks = paper.sheet, paper.looks
    bare = int(lines["unit_price"].isna().sum())
    words = "Total of the lines shown" + (f"; {bare} of {len(lines)} have no price" if bare else "")
    sheet.write_string(FIRST_ROW - 2, 0, words, looks.of("text", "bold", "flush"))
    place = PLACE["line_total"]
    top = xl_rowcol_to_cell(FIRST_ROW - 1, place, row_abs=True)
    bottom = xl_rowcol_to_cell(FIRST_ROW + len(lines) + SPARE_ROWS, place, row_abs=True)
    total = float(lines["line_total"].sum())
    sheet.write_formula(
        FIRST_ROW - 2, place, f"=SUBTOTAL(109,{top}:{bottom})", looks.of("money", "bold"), total
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
