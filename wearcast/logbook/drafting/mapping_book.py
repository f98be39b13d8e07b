"""A draft as a workbook: ``columns``, ``words`` and what to do with them."""

import datetime
import io
from collections.abc import Iterable, Iterator, Sequence
from itertools import groupby
from typing import Any

import xlsxwriter
from xlsxwriter.format import Format
from xlsxwriter.worksheet import Worksheet

from wearcast.logbook.drafting.draft import MappingDraft
from wearcast.logbook.drafting.legends import SKIP
from wearcast.logbook.drafting.patterns import Heading
from wearcast.logbook.drafting.words import Word
from wearcast.logbook.schema.examples import NOTES
from wearcast.logbook.schema.tables import ACTIONS, BY_NAME, CAUSES

_NO_CLOCK = datetime.datetime(2000, 1, 1)
_SPARE = 200
"""Rows below the draft that have the drop-downs too."""
_LOOKS: dict[str, dict[str, Any]] = {
    "title": {"bold": True, "font_size": 14},
    "heading": {"bold": True, "font_color": "#FFFFFF", "bg_color": "#1B4965", "border": 1},
    "plain": {},
    "open": {"bg_color": "#FFE699", "border": 1, "border_color": "#BF9000"},
    "grey": {"font_color": "#6B6B6B"},
    "prose": {"text_wrap": True, "valign": "top"},
}
_WIDTHS = {"theirs": 44, "example": 44, "sheet": 22, "position": 18}
_HINTS = {
    "table": "The table of ours that the sheet's rows go into.",
    "sheet": "The sheet's or file's name; * stands for any letters, so that new sheets are read.",
    "theirs": "As it stands in your records. [sheet] and [file] are their names, [heading] and"
    " [cell] the two sides of a grid; [down] behind a heading fills blank cells from above.",
    "ours": "Our word. In columns blank means left out; in words it means not decided. Write skip"
    " for a word whose rows do not count.",
    "column": "The column of ours that the word stands in; did is a phrase that says it all.",
    "position": "Where on the machine. One phrase may have several rows, one a thing done.",
    "action": "fit: a new part; turn: the next edge; remove: taken off and not replaced.",
    "cause": "Why the edge in use ended; blank: worn.",
    "rows": "How many rows of the records say so. Not read.",
    "example": "One of them. Not read.",
}
_OF_COLUMNS = Heading._fields[:4]
_FIRST_WORDS = (
    "This workbook says how your records are read; the records themselves stay as they are.",
    "Look through the sheets words and columns: what is filled in was sure, correct it where it is"
    " not so. The yellow rows are for you. Rows that stay yellow are set aside and told, nothing is"
    " guessed.",
    "The sheet columns says which sheet feeds what. Take a row away, or leave ours blank, if a"
    " heading should not be read.",
    "Then give records and this workbook together: wearcast check RECORDS... MAPPING.xlsx. Next"
    " quarter the same two again: what is new since is told. wearcast import RECORDS..."
    " MAPPING.xlsx -o NEW.xlsx adds new words to what you decided.",
    "Colours, comments and pictures in the records are not read.",
)


def mapping_book(draft: MappingDraft) -> bytes:
    """The draft as the bytes of an .xlsx workbook; the same each time."""
    memory = io.BytesIO()
    book = xlsxwriter.Workbook(memory, {"in_memory": True})
    book.set_properties({"title": "How records are read", "created": _NO_CLOCK})
    looks = {name: book.add_format(look) for name, look in _LOOKS.items()}
    words = sorted(draft.listed, key=lambda word: word.decided)
    sheets = {name: book.add_worksheet(name) for name in ("words", "columns")}
    _write_notes(book.add_worksheet(NOTES), draft.told, looks)
    _write_rows(sheets["words"], Word._fields, words, looks)
    _write_rows(sheets["columns"], _OF_COLUMNS, draft.columns, looks)
    _offer_words(sheets["words"], words)
    _offer_columns(sheets["columns"], draft.columns)
    book.close()
    return memory.getvalue()


def _write_rows(
    sheet: Worksheet,
    names: Sequence[str],
    rows: Sequence[Word | Heading],
    looks: dict[str, Format],
) -> None:
    sheet.freeze_panes(1, 0)
    sheet.set_landscape()
    sheet.fit_to_pages(1, 0)
    sheet.repeat_rows(0)
    for place, name in enumerate(names):
        sheet.set_column(place, place, _WIDTHS.get(name, 12))
        sheet.write_string(0, place, name, looks["heading"])
        sheet.write_comment(0, place, _HINTS[name], {"x_scale": 1.8, "author": "wearcast"})
    for at, row in enumerate(rows, 1):
        wanted = _wanted(row)
        for place, (name, value) in enumerate(zip(names, row, strict=False)):
            look = "grey" if name in ("rows", "example") else "open" if name in wanted else "plain"
            if isinstance(value, int):
                sheet.write_number(at, place, value, looks[look])
            elif value:
                sheet.write_string(at, place, value, looks[look])
            else:
                sheet.write_blank(at, place, None, looks[look])
    if rows:
        sheet.autofilter(0, 0, len(rows), len(names) - 1)


def _wanted(row: Word | Heading) -> tuple[str, ...]:
    """The cells of a row that wait for the person, and the word that they are about."""
    if isinstance(row, Heading):
        return ("theirs", "ours") if row.open else ()
    if row.decided:
        return ()
    return ("theirs", "position", "action", "cause") if row.column == "did" else ("theirs", "ours")


def _offer_words(sheet: Worksheet, words: Sequence[Word]) -> None:
    """Drop-downs of our words; a position may be any name."""
    places = {name: at for at, name in enumerate(Word._fields)}
    known = sorted({word.position or word.ours for word in words if word.column == "position"}
                   | {word.position for word in words} - {""})  # fmt: skip
    ours = {
        "did": [SKIP],
        "position": known,
        "action": [*ACTIONS, SKIP],
        "cause": [*CAUSES, SKIP],
        "only": ["yes", "no"],
    }
    for column, first, last in _blocks(word.column for word in words):
        _offer(sheet, first, last, places["ours"], [each for each in ours[column] if each])
    last = len(words) + _SPARE
    for name, offered in (("position", known), ("action", ACTIONS), ("cause", CAUSES)):
        _offer(sheet, 1, last, places[name], [each for each in offered if each])


def _offer_columns(sheet: Worksheet, rows: Sequence[Heading]) -> None:
    places = {name: at for at, name in enumerate(_OF_COLUMNS)}
    last = len(rows) + _SPARE
    _offer(sheet, 1, last, places["table"], ["readings", "changes"])
    extra = {"readings": ["run"], "changes": ["did", "only"]}
    for table, first, last in _blocks(row.table for row in rows):
        names = [column.name for column in BY_NAME[table].columns]
        _offer(sheet, first, last, places["ours"], [*names, *extra.get(table, [])])


def _blocks(names: Iterable[str]) -> Iterator[tuple[str, int, int]]:
    """Rows below each other of one name, and the first and the last of them."""
    for name, rows in groupby(enumerate(names, 1), key=lambda one: one[1]):
        numbers = [row for row, _ in rows]
        yield name, numbers[0], numbers[-1]


def _offer(sheet: Worksheet, first: int, last: int, place: int, words: Sequence[str]) -> None:
    """A drop-down that lets other words pass: names are the person's own."""
    if words and sum(map(len, words)) + len(words) <= 255:  # a spreadsheet's limit for a list
        rule = {
            "validate": "list",
            "source": list(words),
            "error_type": "information",
            "error_message": "None of the words offered; it is taken all the same.",
        }
        sheet.data_validation(first, place, last, place, rule)


def _write_notes(sheet: Worksheet, told: Sequence[str], looks: dict[str, Format]) -> None:
    sheet.set_column(0, 0, 110)
    sheet.hide_gridlines(2)
    sheet.set_landscape()
    sheet.fit_to_pages(1, 0)
    sheet.write_string(0, 0, "How your records are read", looks["title"])
    for at, words in enumerate([*_FIRST_WORDS, *told], 2):
        sheet.write_string(at, 0, words, looks["prose"])
        sheet.set_row(at, 15 * (1 + len(words) // 105))
