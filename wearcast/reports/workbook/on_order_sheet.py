"""The sheet on_order: the lines marked as ordered, ready for the logbook's table of that name."""

from wearcast.reports.fields import Field
from wearcast.reports.workbook.lines_sheet import Lines
from wearcast.reports.workbook.papers import Sheet
from wearcast.reports.workbook.sheets import set_print, write_headings

COLUMNS = (
    Field("part", "text", "part", "As in the logbook's table on_order."),
    Field("pieces", "count", "pieces", "Pieces ordered."),
    Field("due", "date", "due", "The day ordered plus the mean days of delivery."),
    Field("depot", "text", "depot", "Where to."),
    Field("received", "date", "received", "The day it came, or yes: write it in the logbook."),
)
_WIDTHS = (18.0, 10.0, 12.0, 16.0, 12.0, 3.0, 56.0)
_WORDS = (
    "Lines appear here once their day is filled in under ordered on the sheet Order. "
    "Copy them, values only, into the table on_order of the logbook."
)


def write_on_order_sheet(paper: Sheet, lines: Lines) -> None:
    """The k-th row shows the k-th line that bears a day under ordered."""
    sheet, looks = paper.sheet, paper.looks
    write_headings(sheet, looks, COLUMNS, 0)
    for number in range(1, len(lines.frame) + 1):
        for place, field in enumerate(COLUMNS[:-1]):
            look = looks.of(field.kind, *(("formula",) if field.kind == "text" else ()))
            sheet.write_formula(number, place, _formula(field.name, number, lines), look, "")
    for place, width in enumerate(_WIDTHS):
        sheet.set_column(place, place, width)
    words = looks.of("text", "wrap", "pale")
    sheet.write_string(0, len(_WIDTHS) - 1, _WORDS, words)
    sheet.set_row(0, 42)
    sheet.freeze_panes(1, 0)
    set_print(sheet, widths=_WIDTHS, last_row=len(lines.frame) + 1, heading=0, foot=paper.foot)


def _formula(name: str, number: int, lines: Lines) -> str:
    """One cell; blank beyond the last line ordered."""
    row = f"MATCH({number},{lines.all('nth_ordered')},0)"
    lead = f"ROUNDUP(INDEX({lines.all('lead_days')},{row}),0)"
    taken = {
        "part": f'INDEX({lines.all("part")},{row})&""',
        "pieces": f"INDEX({lines.all('pieces')},{row})",
        "due": f"INDEX({lines.all('ordered')},{row})+{lead}",
        "depot": f'INDEX({lines.all("depot")},{row})&""',
    }
    return f'=IFERROR({taken[name]},"")'
