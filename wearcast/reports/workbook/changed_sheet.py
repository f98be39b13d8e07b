"""The sheet What changed: the news in sentences, then the lines that moved."""

from wearcast.reports.fields import OUTPUTS
from wearcast.reports.order.news import Changes
from wearcast.reports.workbook.papers import Sheet
from wearcast.reports.workbook.sheets import (
    set_print,
    table_widths,
    write_headings,
    write_rows,
    write_title,
)

NAME = "What changed"


def write_changed_sheet(paper: Sheet, changes: Changes) -> None:
    """The news first; a line that did not move stands under neither."""
    sheet, looks, fields = paper.sheet, paper.looks, OUTPUTS["changed"]
    write_title(sheet, looks, NAME, "Since the earlier order: the news, then the lines added, "
                "dropped, moved by more than a pack or sold on other terms.")  # fmt: skip
    for row, words in enumerate(changes.news, 2):
        sheet.write_string(row, 0, words, looks.of("text", "flush"))
    heading = 3 + len(changes.news)
    write_headings(sheet, looks, fields, heading)
    write_rows(sheet, looks, fields, changes.lines, heading + 1)
    widths = table_widths(fields, changes.lines)
    for place, width in enumerate(widths):
        sheet.set_column(place, place, width)
    last = heading + max(len(changes.lines), 1)
    if changes.lines.empty:
        sheet.write_string(heading + 1, 0, "none", looks.of("text", "pale"))
    set_print(sheet, widths=widths, last_row=last, heading=heading, foot=paper.foot, key_columns=1)
