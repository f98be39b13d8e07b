"""The due list as a workbook to fill in: what was done goes back into the logbook as it is.

The sheet log has a line for everything due; its last columns are blank. The sheets columns and
words beside it say how the reader takes them: a line with an action is a change, one with an hour
meter a reading, one without either nothing.
"""

import io
import zipfile
from typing import TYPE_CHECKING

import pandas as pd

from wearcast.logbook.schema.tables import BY_NAME
from wearcast.reports.due_list import FIELDS, due_groups
from wearcast.reports.fields import Field
from wearcast.reports.workbook.papers import Papers, Sheet, book_bytes
from wearcast.reports.workbook.sheets import set_print, write_cell, write_headings, write_rows
from wearcast.reports.writing.identity import run_id

if TYPE_CHECKING:
    from wearcast.forecast import Forecast

TITLE = "Due list to fill in"
SHEET = "log"
_SHOWN = (
    "due_p50", "machine", "site", "position", "part", "at_edge", "next_action", "used",
)  # fmt: skip
BLANKS = ("Done on", "Hour meter", "Action", "Part fitted", "Cause", "By")
_WIDTHS = (10, 9, 13, 12, 13, 7, 7, 7, 10, 9, 8, 12, 9, 7)
"""Of A4 at 8 point, in characters."""
_MEANT = {
    "readings": {"Machine": "machine", "Done on": "date", "Hour meter": "hours"},
    "changes": {
        "Machine": "machine", "Done on": "date", "Hour meter": "hours", "Position": "position",
        "Action": "action", "Part fitted": "part", "Cause": "cause",
    },
}  # fmt: skip


def due_workbook(forecast: "Forecast") -> bytes:
    """The bytes of the workbook."""
    run = run_id(forecast.book, forecast.choices)
    rows = [group.rows for group in due_groups(forecast)]
    fields = [field for field in FIELDS if field.name in _SHOWN]
    due = pd.concat(rows, ignore_index=True) if rows else pd.DataFrame(columns=list(_SHOWN))

    def fill(papers: Papers) -> None:
        _log_sheet(papers.add(SHEET), fields, due)
        headings = [field.heading for field in fields] + list(BLANKS)
        _plain_sheet(papers.add("columns"), _rules(headings))
        _plain_sheet(papers.add("words"), [("table", "column", "theirs", "ours"),
                                           ("changes", "action", "[blank]", "skip")])  # fmt: skip

    return book_bytes(TITLE, run, forecast.choices.as_of, fill)


def title_of(content: bytes) -> bytes:
    """What a workbook says of itself; blank for what is none."""
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as book:
            return book.read("docProps/core.xml")
    except (zipfile.BadZipFile, KeyError):
        return b""


def _rules(headings: list[str]) -> list[tuple[str, ...]]:
    """The table columns: what each heading means for readings and for changes."""
    rows = [
        (table, SHEET, heading, meant.get(heading, ""))
        for table, meant in _MEANT.items()
        for heading in headings
    ]
    return [("table", "sheet", "theirs", "ours"), *rows]


def _log_sheet(paper: Sheet, fields: list[Field], due: pd.DataFrame) -> None:
    """A line for everything due, and room for what was done."""
    sheet, looks = paper.sheet, paper.looks
    write_headings(sheet, looks, fields, 0)
    write_rows(sheet, looks, fields, due, 1)
    first = len(fields)
    for place, words in enumerate(BLANKS, first):
        sheet.write_string(0, place, words, looks.of("text", "heading"))
        kind = {"Done on": "date", "Hour meter": "hours"}.get(words, "text")
        for row in range(1, len(due) + 1):
            write_cell(sheet, row, place, None, looks.of(kind, "input"))
    _choices(paper, first + BLANKS.index("Action"), len(due), "action")
    _choices(paper, first + BLANKS.index("Cause"), len(due), "cause")
    for place, width in enumerate(_WIDTHS):
        sheet.set_column(place, place, width)
    sheet.freeze_panes(1, 2)
    set_print(sheet, widths=_WIDTHS, last_row=max(len(due), 1), heading=0, foot=paper.foot,
              key_columns=1)  # fmt: skip


def _choices(paper: Sheet, column: int, rows: int, name: str) -> None:
    """The words that may stand in a column of changes, to pick from."""
    words = list(BY_NAME["changes"].column(name).choices)
    how = {"validate": "list", "source": words, "error_type": "warning"}
    if rows:
        paper.sheet.data_validation(1, column, rows, column, how)


def _plain_sheet(paper: Sheet, rows: list[tuple[str, ...]]) -> None:
    """A small table of the logbook, as it is."""
    for row, cells in enumerate(rows):
        for place, words in enumerate(cells):
            look = paper.looks.of("text", *(["heading"] if row == 0 else []))
            paper.sheet.write_string(row, place, words, look)
    paper.sheet.set_column(0, 3, 16)
