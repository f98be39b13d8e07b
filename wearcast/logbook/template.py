"""A blank logbook to fill in: ``wearcast new LOGBOOK.xlsx``.

Everything in it follows from `wearcast.logbook.schema.tables`: a sheet a table, a note on each
heading, drop-downs, limits for numbers and dates, and one invented row a sheet whose names begin
with ``EXAMPLE``; the reader passes over such rows. The same bytes each time.
"""

import datetime
import io
from collections.abc import Mapping
from typing import Any

import pandas as pd
import xlsxwriter
from xlsxwriter.format import Format
from xlsxwriter.worksheet import Worksheet

from wearcast.logbook.schema.examples import NOTES, example_of
from wearcast.logbook.schema.tables import ABOUT_OTHERS, SETTINGS, TABLES, Column, Setting, Table

LAST_ROW = 5_000
"""Down to here cells are formatted and checked; rows below it are read all the same."""
_NO_CLOCK = datetime.datetime(2000, 1, 1)
_FIRST_DAY, _LAST_DAY = datetime.date(1990, 1, 1), datetime.date(2099, 12, 31)
_DATE = "yyyy-mm-dd"
_LOOKS: dict[str, dict[str, Any]] = {
    "title": {"bold": True, "font_size": 14},
    "needed": {"bold": True, "font_color": "#FFFFFF", "bg_color": "#1B4965", "border": 1},
    "optional": {"bold": True, "font_color": "#1B4965", "bg_color": "#CFE3EE", "border": 1},
    "prose": {"text_wrap": True, "valign": "top"},
    "word": {"bold": True, "valign": "top"},
    "name": {"num_format": "@"},
    "date": {"num_format": _DATE},
    "plain": {},
    "example": {"italic": True, "font_color": "#6B6B6B"},
    "example date": {"italic": True, "font_color": "#6B6B6B", "num_format": _DATE},
}


def blank_logbook() -> bytes:
    """The blank logbook as the bytes of an .xlsx workbook."""
    return filled_logbook({})


def filled_logbook(rows: Mapping[str, pd.DataFrame]) -> bytes:
    """The blank logbook with rows of some tables in place of their examples."""
    memory = io.BytesIO()
    book = xlsxwriter.Workbook(memory, {"in_memory": True})
    book.set_properties({"title": "Logbook of floor scrubber wear parts", "created": _NO_CLOCK})
    looks = {name: book.add_format(look) for name, look in _LOOKS.items()}
    _write_readme(book.add_worksheet(NOTES), looks)
    for table in TABLES:
        sheet = book.add_worksheet(table.name)
        _write_headings(sheet, table, looks)
        if table.name == "settings":
            _write_settings(sheet, looks)
        else:
            if table.name in rows:
                _write_frame(sheet, table, rows[table.name])
            else:
                _write_example(sheet, table, looks)
            _limit_columns(sheet, table)
    book.close()
    return memory.getvalue()


def _write_headings(sheet: Worksheet, table: Table, looks: dict[str, Format]) -> None:
    sheet.freeze_panes(1, 0)
    sheet.set_landscape()
    sheet.fit_to_pages(1, 0)
    sheet.repeat_rows(0)
    for place, column in enumerate(table.columns):
        look = looks.get(column.kind, looks["plain"])
        width = max(len(column.name) + 3, 18 if column.kind in ("name", "text") else 12)
        sheet.set_column(place, place, width, look)
        sheet.write_string(0, place, column.name, looks["needed" if column.needed else "optional"])
        sheet.write_comment(0, place, describe(column), {"x_scale": 1.8, "author": "wearcast"})


def _sentence(clause: str) -> str:
    return clause[:1].upper() + clause[1:].rstrip(". ") + "."


def describe(column: Column) -> str:
    """What a column holds, for the note on its heading."""
    words = [_sentence(column.meaning)]
    if column.choices:
        words.append(f"One of: {', '.join(column.choices)}.")
    if column.unit:
        words.append(f"Unit: {column.unit}.")
    if column.kind == "date":
        words.append(f"A date, such as 2026-11-30{', or yes' if column.or_yes else ''}.")
    if column.refers:
        words.append(f"Picked from the sheet {column.refers.partition('.')[0]}.")
    return " ".join([*words, "Needed." if column.needed else "May stay blank."])


def _write_example(sheet: Worksheet, table: Table, looks: dict[str, Format]) -> None:
    for place, column in enumerate(table.columns):
        value = example_of(table.name, column)
        if isinstance(value, datetime.date):
            sheet.write_datetime(1, place, value, looks["example date"])
        elif isinstance(value, str):
            sheet.write_string(1, place, value, looks["example"])
        elif value is not None:
            sheet.write_number(1, place, value, looks["example"])


def _write_frame(sheet: Worksheet, table: Table, rows: pd.DataFrame) -> None:
    """Rows of a table below its headings; what is not known stays blank."""
    for place, column in enumerate(table.columns):
        for row, value in enumerate(rows[column.name], 1):
            if isinstance(value, pd.Timestamp):
                sheet.write_datetime(row, place, value.to_pydatetime())
            elif isinstance(value, str) and value:
                sheet.write_string(row, place, value)
            elif isinstance(value, bool):
                sheet.write_string(row, place, "yes" if value else "")
            elif isinstance(value, float) and value == value:
                sheet.write_number(row, place, value)


def _limit_columns(sheet: Worksheet, table: Table) -> None:
    for place, column in enumerate(table.columns):
        rule = _rule(column)
        if rule:
            told = {"input_title": column.name, "input_message": describe(column)}
            sheet.data_validation(1, place, LAST_ROW, place, rule | told)


def _rule(column: Column) -> dict[str, Any]:
    """What may be typed in a column's cells; a name that no other sheet knows only warns."""
    if column.choices or column.kind == "yes_no":
        words = list(column.choices) or ["yes", "no"]
        return {"validate": "list", "source": words, "error_message": f"One of: {', '.join(words)}"}
    if column.refers:
        name, _, heading = column.refers.partition(".")
        return {
            "validate": "list",
            "source": f"={name}!$A$2:$A${LAST_ROW + 1}",
            "error_type": "warning",
            "error_message": f"The sheet {name} has no such {heading}.",
        }
    if column.name == "table":
        names = [other.name for other in TABLES if other.name not in ABOUT_OTHERS]
        return {"validate": "list", "source": names, "error_message": "One of the sheets here"}
    return {} if column.or_yes else _limits(column.kind, column.low, column.high)


def _limits(kind: str, low: float | None, high: float | None) -> dict[str, Any]:
    if kind == "date":
        message = f"A date from {_FIRST_DAY} to {_LAST_DAY}"
        bounds: tuple[Any, Any] = (_FIRST_DAY, _LAST_DAY)
    elif kind in ("number", "count", "share"):
        bounds = low, high
        message = f"A {'whole ' if kind == 'count' else ''}number from {low:,.10g} to {high:,.10g}"
    else:
        return {}
    validate = {"date": "date", "count": "integer"}.get(kind, "decimal")
    return {
        "validate": validate,
        "criteria": "between",
        "minimum": bounds[0],
        "maximum": bounds[1],
        "error_message": message,
    }


def _write_settings(sheet: Worksheet, looks: dict[str, Format]) -> None:
    sheet.set_column(0, 0, 24)
    for row, setting in enumerate(SETTINGS, 1):
        sheet.write_string(row, 0, setting.name)
        sheet.write_blank(row, 1, None, looks["date" if setting.kind == "date" else "plain"])
        rule = _setting_rule(setting)
        told = {"input_title": setting.name, "input_message": describe_setting(setting)}
        sheet.data_validation(row, 1, row, 1, rule | told)


def _setting_rule(setting: Setting) -> dict[str, Any]:
    if setting.choices:
        words = list(setting.choices)
        return {"validate": "list", "source": words, "error_message": f"One of: {', '.join(words)}"}
    return _limits(setting.kind, setting.low, setting.high) or {"validate": "any"}


def describe_setting(setting: Setting) -> str:
    """What a setting steers, and what holds while it is blank."""
    words = [_sentence(setting.meaning)]
    if setting.choices:
        words.append(f"One of: {', '.join(setting.choices)}.")
    words.append(f"Blank: {setting.default}." if setting.default else "May stay blank.")
    return " ".join(words)


def _write_readme(sheet: Worksheet, looks: dict[str, Format]) -> None:
    """What each sheet and column is for, in words."""
    sheet.set_column(0, 0, 18)
    sheet.set_column(1, 1, 22)
    sheet.set_column(2, 2, 90)
    sheet.hide_gridlines(2)
    sheet.set_landscape()
    sheet.fit_to_pages(1, 0)
    sheet.write_string(0, 0, "Logbook of wear parts on floor scrubbers", looks["title"])
    for row, words in enumerate(_FIRST_WORDS, 2):
        sheet.merge_range(row, 0, row, 2, words, looks["prose"])
        sheet.set_row(row, 15 * (1 + len(words) // 140))
    row = len(_FIRST_WORDS) + 3
    for table in TABLES:
        sheet.write_string(row, 0, table.name, looks["word"])
        sheet.write_string(row, 1, "a row says", looks["prose"])
        sheet.write_string(row, 2, table.says, looks["prose"])
        lines = [(column.name, describe(column)) for column in table.columns]
        if table.name == "settings":
            lines = [(setting.name, describe_setting(setting)) for setting in SETTINGS]
        for place, (name, words) in enumerate(lines, row + 1):
            sheet.write_string(place, 1, name, looks["word"])
            sheet.write_string(place, 2, words, looks["prose"])
        row += len(lines) + 2


_FIRST_WORDS = (
    "Each other sheet is one table. Dark headings are needed, light ones may stay blank; rest the"
    " pointer on a heading to read what belongs under it.",
    "Only readings and changes are needed to forecast: the hour meter now and then, and what was"
    " fitted or turned on which machine. The other sheets sharpen the answer or add prices.",
    "The grey row in each sheet is an invented example. It is passed over when the logbook is"
    " read (its names begin with EXAMPLE); write over it or leave it.",
    "Write one line for each thing done: fit when a new part goes on, turn when the same part"
    " shows its next edge, remove when it comes off and nothing goes on.",
    "Before anyone touches a blade, brush or pad: machine parked level, key out, gloves and eye"
    " protection, and what its manual and the site's rules ask for.",
    "If an edge tore, write damaged under cause: a torn edge says little about wear.",
    "Keep the headings. Sheets may be left empty, and columns of your own may be added on the"
    " right; they are not read.",
    "Then run: wearcast check and the name of this file.",
)
