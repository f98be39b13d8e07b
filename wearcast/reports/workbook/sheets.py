"""How a sheet of our workbooks is laid out: a table with headings and notes, printing.

Texts are written as strings and so are never formulas; nothing here reads the clock.
"""

import datetime
from collections.abc import Iterable, Sequence

import numpy as np
import pandas as pd
from xlsxwriter.format import Format
from xlsxwriter.utility import quote_sheetname, xl_range_abs
from xlsxwriter.worksheet import Worksheet

from wearcast.reports.fields import Field
from wearcast.reports.frames import plain_text
from wearcast.reports.workbook.looks import TYPE, Looks

SMALLEST_TYPE = 8  # points, on paper
HEADING_HEIGHT, LINE_HEIGHT = 29, 13.5  # points
FIRST_TABLE_ROW = 4  # of a table under a title, counted from 0
LONGEST = 32_767  # characters a cell holds
_WIDTHS = {
    "date": 11.5, "count": 8, "pieces": 9, "money": 11, "rate": 9, "hours": 9, "number": 9,
    "share": 9,
}  # fmt: skip
_WIDEST_TEXT, _NARROWEST_PROSE = 26, 20
_INDENT = 1.5  # characters of a column's width that no text stands in
_MARGIN = 0.25  # inches
_PAGE_PIXELS = 96 * (297 / 25.4 - 2 * _MARGIN)  # of A4 landscape, inside the margins
_DIGIT_PIXELS = 9.4  # of 11 point in a wide typeface; where there is a narrower one more fits
_PADDING = 0.72  # of a column, in characters
_UNSET = 8.43  # width of a column that nobody set
_FEWEST_COLUMNS = 8  # on a page, so that a narrow table is not blown up
_PROSE = ("why", "what", "fix", "cause", "meaning", "reason")


def write_headings(
    sheet: Worksheet, looks: Looks, fields: Iterable[Field], row: int, column: int = 0
) -> None:
    """The headings in words, each with a note that explains the column."""
    sheet.set_row(row, HEADING_HEIGHT)
    for place, field in enumerate(fields, column):
        kind = "text" if field.kind == "text" else "count"
        sheet.write_string(row, place, field.heading, looks.of(kind, "heading"))
        if field.note:
            size = {"x_scale": 1.6, "y_scale": 0.6 + len(field.note) / 120, "author": "wearcast"}
            sheet.write_comment(row, place, field.note, size)


def write_rows(
    sheet: Worksheet, looks: Looks, fields: Sequence[Field], frame: pd.DataFrame, row: int
) -> None:
    """A frame's columns as typed cells below their headings."""
    for place, field in enumerate(fields):
        look = looks.of(field.kind, *(("wrap",) if field.kind == "text" else ()))
        for below, value in enumerate(frame[field.name]):
            write_cell(sheet, row + below, place, value, look)
    widths = table_widths(fields, frame)
    for below, cells in enumerate(frame[[field.name for field in fields]].to_numpy(dtype=object)):
        set_height(sheet, row + below, zip(cells, widths, strict=True))


def set_height(sheet: Worksheet, row: int, cells: Iterable[tuple[object, float]]) -> None:
    """A row high enough for its texts, given each cell and its column's width.

    The height is set, not left to the program that opens the sheet: not every one makes room
    for wrapped text by itself.
    """
    lines = [lines_of(str(value), width) for value, width in cells if isinstance(value, str)]
    sheet.set_row(row, LINE_HEIGHT * max(lines, default=1) + 1.5)


def lines_of(text: str, width: float) -> int:
    """How many lines a text takes in a column, its words kept whole."""
    lines, used, room = 1, 0, max(int((width - _INDENT) * 1.25), 4)
    for word in text.split():
        if used and used + 1 + len(word) > room:
            lines, used = lines + 1, 0
        used += len(word) + (1 if used else 0)
        lines, used = lines + (used - 1) // room, (used - 1) % room + 1
    return lines


def write_cell(sheet: Worksheet, row: int, column: int, value: object, look: Format) -> None:
    """One cell: a date, a number, a text that is never a formula, or a blank."""
    if value is None or value is pd.NaT:
        sheet.write_blank(row, column, None, look)
    elif isinstance(value, pd.Timestamp | datetime.datetime):
        sheet.write_datetime(row, column, pd.Timestamp(value).to_pydatetime(), look)
    elif isinstance(value, bool | np.bool_):
        sheet.write_string(row, column, "yes" if value else "no", look)
    elif isinstance(value, int | float | np.number):
        if np.isfinite(float(value)):
            sheet.write_number(row, column, float(value), look)
        else:
            sheet.write_blank(row, column, None, look)
    else:
        sheet.write_string(row, column, plain_text(value)[:LONGEST], look)


def table_widths(fields: Sequence[Field], frame: pd.DataFrame) -> list[float]:
    """How wide each column is, in characters; prose is narrowed where the page is then enough."""
    widths = [_width(field, frame) for field in fields]
    prose = [place for place, width in enumerate(widths) if width > _WIDEST_TEXT]
    room = _PAGE_PIXELS * TYPE / SMALLEST_TYPE / _DIGIT_PIXELS
    over = sum(width + _PADDING for width in widths) - room
    narrower = [each - over / len(prose) if place in prose else each
                for place, each in enumerate(widths)] if prose else widths  # fmt: skip
    fits = all(narrower[place] >= _NARROWEST_PROSE for place in prose)
    return [int(10 * each) / 10 for each in narrower] if over > 0 and fits else widths


def _width(field: Field, frame: pd.DataFrame) -> float:
    longest_word = max(map(len, field.heading.split()), default=4)
    if field.kind != "text":
        return max(_WIDTHS[field.kind], longest_word + 2)
    longest = max((len(plain_text(each)) for each in frame[field.name]), default=0)
    if field.name in _PROSE and longest > _WIDEST_TEXT:
        return 56
    return min(max(longest + 2, longest_word + 2, 7), _WIDEST_TEXT)


def set_print(
    sheet: Worksheet,
    *,
    widths: Sequence[float],
    last_row: int,
    heading: int | None,
    foot: str,
    key_columns: int = 0,
) -> None:
    """A4 landscape with everything inside the print area and no text under 8 point.

    Parameters
    ----------
    sheet : Worksheet
    widths : sequence
        Of every column, in characters. Columns that together are wider than the page at 8 point
        go on over further pages.
    last_row, heading : int
        Rows, counted from 0; the heading's, if there is one, stands on every page.
    foot : str
        Under every page, beside its number; none where it is blank.
    key_columns : int
        So many columns and one stand on every page where the sheet takes several side by side.
    """
    sheet.set_paper(9)
    sheet.set_landscape()
    sheet.set_margins(left=_MARGIN, right=_MARGIN, top=0.5, bottom=0.6)
    if heading is not None:
        sheet.repeat_rows(heading)
    widths = [*widths, *[_UNSET] * (_FEWEST_COLUMNS - len(widths))]
    sheet.print_area(0, 0, last_row, len(widths) - 1)
    if page_share(widths) >= SMALLEST_TYPE / TYPE:
        sheet.fit_to_pages(1, 0)
    else:
        sheet.set_print_scale(int(100 * SMALLEST_TYPE / TYPE))
        sheet.repeat_columns(0, key_columns)
    left = f"&L&10{foot.replace('&', '&&')}&C&10&A" if foot else ""
    sheet.set_footer(f"{left}&R&10&P / &N")


def page_share(widths: Iterable[float]) -> float:
    """The scale at which columns of these widths fill a page of A4 landscape."""
    return _PAGE_PIXELS / _DIGIT_PIXELS / sum(width + _PADDING for width in widths)


def serial(day: pd.Timestamp) -> int:
    """A date as a sheet stores it: days since the end of 1899."""
    return (day - pd.Timestamp("1899-12-30")).days


def down(sheet: str, column: int, first: int, last: int) -> str:
    """A stretch of a column as other sheets name it: ``'To watch'!$B$4:$B$9``."""
    return f"{quote_sheetname(sheet)}!{xl_range_abs(first, column, last, column)}"


def across(sheet: str, row: int, first: int, last: int) -> str:
    """A stretch of a row as other sheets name it."""
    return f"{quote_sheetname(sheet)}!{xl_range_abs(row, first, row, last)}"


def write_table(
    sheet: Worksheet,
    looks: Looks,
    fields: tuple[Field, ...],
    frame: pd.DataFrame,
    *,
    title: str,
    under: str,
    foot: str,
) -> None:
    """A whole sheet that is one table: title, headings with notes, rows, filter, printing."""
    heading = write_title(sheet, looks, title, under)
    write_headings(sheet, looks, fields, heading)
    write_rows(sheet, looks, fields, frame, heading + 1)
    widths = table_widths(fields, frame)
    for place, width in enumerate(widths):
        sheet.set_column(place, place, width)
    last_row, last_column = heading + max(len(frame), 1), len(fields) - 1
    if frame.empty:
        sheet.write_string(heading + 1, 0, "none", looks.of("text", "pale"))
    else:
        sheet.autofilter(heading, 0, last_row, last_column)
    sheet.freeze_panes(heading + 1, 0)
    set_print(sheet, widths=widths, last_row=last_row, heading=heading, foot=foot,
              key_columns=_keys(fields))  # fmt: skip


def _keys(fields: tuple[Field, ...]) -> int:
    """The last column that says what a row is about: the part's, if there is one."""
    names = [field.name for field in fields]
    return names.index("part") if "part" in names else 0


def write_title(sheet: Worksheet, looks: Looks, title: str, under: str) -> int:
    """The title and a line under it; returns the row for the headings."""
    sheet.hide_gridlines(2)
    sheet.write_string(0, 0, title, looks.of("text", "title"))
    sheet.set_row(0, 22)
    sheet.write_string(1, 0, under, looks.of("text", "pale", "flush"))
    return FIRST_TABLE_ROW - 1


def sheet_names(wanted: Iterable[str], taken: Iterable[str]) -> dict[str, str]:
    """A sheet name for each text: at most 31 characters, none that is not allowed, no doubles."""
    used = {each.casefold() for each in (*taken, "history")}
    names: dict[str, str] = {}
    for text in wanted:
        plain = "".join(
            " " if each in "[]:*?/\\" or not each.isprintable() else each for each in text
        )
        base = " ".join(plain.split()).strip("'")[:31].strip("' ") or "No supplier named"
        name, number = base, 2
        while name.casefold() in used:
            ending = f" {number}"
            name, number = base[: 31 - len(ending)] + ending, number + 1
        used.add(name.casefold())
        names[text] = name
    return names
