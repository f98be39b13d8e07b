"""The sheet Timeline: stock run-down per shelf with its range and the order-by mark."""

import numpy as np
import pandas as pd
from xlsxwriter.format import Format
from xlsxwriter.worksheet import Worksheet

from wearcast.reports.frames import plain_text
from wearcast.reports.order.timeline import ShelfLine, Timeline
from wearcast.reports.workbook.looks import Looks
from wearcast.reports.workbook.order_sheet import (
    TIMELINE_FIRST_COLUMN,
    TIMELINE_HEADING,
    TIMELINE_ROWS,
)
from wearcast.reports.workbook.papers import Sheet
from wearcast.reports.workbook.sheets import set_print, write_title

_HEADINGS = (
    ("Part", "The part's number or name in the catalogue, with its depot beneath."),
    ("Name", "What the part is, in words."),
    ("Pieces", "What the row holds: stock at its likeliest, at its lowest and highest in 9 of 10 "
     "cases, and the use from as-of that is not exceeded with the service level."),
)  # fmt: skip
_SHELVES_A_PAGE = 8  # of A4 landscape at 8 point, so that none is torn


def write_timeline_sheet(paper: Sheet, timeline: Timeline, service_level: float) -> None:
    """Four rows a shelf, one column a date."""
    sheet, looks = paper.sheet, paper.looks
    write_title(
        sheet,
        looks,
        "Stock run-down if nothing more is ordered",
        "Open orders are counted. Orange: the order-by date falls before this date. "
        "Red: pieces owed. Weekly for half a year, then every four weeks.",
    )
    for place, (heading, note) in enumerate(_HEADINGS):
        sheet.write_string(TIMELINE_HEADING, place, heading, looks.of("text", "heading"))
        sheet.write_comment(TIMELINE_HEADING, place, note, {"author": "wearcast"})
    upright = looks.of("date", "heading", "upright")
    for place, day in enumerate(timeline.dates, TIMELINE_FIRST_COLUMN):
        sheet.write_datetime(TIMELINE_HEADING, place, day.to_pydatetime(), upright)
    sheet.set_row(TIMELINE_HEADING, 72)
    for place, line in enumerate(timeline.lines):
        row = TIMELINE_HEADING + 1 + TIMELINE_ROWS * place
        _write_shelf(paper, row, line, timeline, service_level)
    longest = max(
        (len(each) for line in timeline.lines for each in (line.part, line.depot)), default=0
    )
    widths = [min(max(longest + 2, 12), 18), 16, 12] + [4.6] * len(timeline.days)
    for place, width in enumerate(widths):
        sheet.set_column(place, place, width)
    sheet.set_h_pagebreaks(
        TIMELINE_HEADING + 1 + TIMELINE_ROWS * place
        for place in range(_SHELVES_A_PAGE, len(timeline.lines), _SHELVES_A_PAGE)
    )
    sheet.freeze_panes(TIMELINE_HEADING + 1, TIMELINE_FIRST_COLUMN)
    last_row = TIMELINE_HEADING + max(TIMELINE_ROWS * len(timeline.lines), 1)
    set_print(sheet, widths=widths, last_row=last_row, heading=TIMELINE_HEADING, foot=paper.foot,
              key_columns=TIMELINE_FIRST_COLUMN - 1)  # fmt: skip


def _write_shelf(
    paper: Sheet, row: int, line: ShelfLine, timeline: Timeline, service_level: float
) -> None:
    sheet, looks = paper.sheet, paper.looks
    _write_tall(sheet, (row, row + 1, 0), line.part, looks.of("text", "bold", "wrap"))
    _write_tall(sheet, (row + 2, row + 3, 0), line.depot, looks.of("text", "pale", "wrap", "line"))
    _write_tall(sheet, (row, row + 3, 1), line.name, looks.of("text", "wrap", "line"))
    mark = mark_place(timeline.dates, line.order_by)
    rows = (
        ("stock, likely", line.likely, ("bold",)),
        ("stock, low", line.low, ("pale",)),
        ("stock, high", line.high, ("pale",)),
        (f"use, {100 * service_level:g} %", line.use, ("pale", "line")),
    )
    for below, (words, values, traits) in enumerate(rows):
        sheet.write_string(row + below, 2, words, looks.of("text", *traits))
        _write_values(paper, row + below, values, traits, looks, mark if below == 0 else None)


def _write_tall(sheet: Worksheet, cells: tuple[int, int, int], text: str, look: Format) -> None:
    """A text over several rows (first, last, column) of one column; never a formula."""
    first, last, column = cells
    sheet.merge_range(first, column, last, column, "", look)
    sheet.write_string(first, column, plain_text(text), look)


def _write_values(
    paper: Sheet,
    row: int,
    values: np.ndarray,
    traits: tuple[str, ...],
    looks: Looks,
    mark: int | None,
) -> None:
    for place, value in enumerate(values):
        more = [name for name, holds in (("short", value < 0), ("mark", place == mark)) if holds]
        kept = tuple(each for each in traits if not (more and each == "pale"))
        look = looks.of("count", *kept, *more)
        paper.sheet.write_number(row, TIMELINE_FIRST_COLUMN + place, float(value), look)


def mark_place(dates: pd.DatetimeIndex, order_by: pd.Timestamp) -> int | None:
    """The first date that is not before the order-by date; none without one or beyond the end."""
    if pd.isna(order_by) or order_by > dates[-1]:
        return None
    return int(dates.searchsorted(order_by))
