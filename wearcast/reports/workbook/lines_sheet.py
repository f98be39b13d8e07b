"""The hidden sheet Lines: every line once, in printing order, as the clerk left it.

It alone looks into the sheets that the clerk edits, by part and depot over their whole columns, so
that a line is found wherever sorting put it and counts as none where it was deleted. The
suppliers' sheets, on_order, By site and Approve look here.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd
from xlsxwriter.utility import xl_rowcol_to_cell

from wearcast.logbook.book import Logbook
from wearcast.logbook.choices import Choices
from wearcast.reports.fields import OUTPUTS, Field
from wearcast.reports.workbook.order_sheet import column_of
from wearcast.reports.workbook.papers import Sheet
from wearcast.reports.workbook.sheets import down, write_cell, write_headings

NAME = "Lines"
FIRST = 1  # row of the first line, counted from 0
_FIELD = {field.name: field for field in OUTPUTS["order"]}
COLUMNS = (
    Field("order", "count", "order", "The order that the line stands on."),
    *(_FIELD[name] for name in ("supplier", "part", "depot", "name")),
    Field("contact", "text", "contact", "Whom to write to there."),
    Field("article", "text", "article", "The supplier's own number of the part."),
    _FIELD["pack"],
    _FIELD["lead_days"],
    Field("goes_out", "date", "goes out", "The day on which the order goes out."),
    Field("wanted", "date", "wanted", "A working day; blank where urgent."),
    Field("urgent", "text", "urgent", "yes: as soon as possible."),
    _FIELD["why"],
    Field("currency", "text", "currency", "Of the prices."),
    Field("as_of", "date", "as of", "The day that the order stands on."),
    Field("packs", "count", "packs", "As on the sheets Order and To watch."),
    Field("pieces", "count", "pieces", "As there."),
    Field("total", "money", "total", "As there."),
    Field("ordered", "date", "ordered", "As there."),
    Field("bare", "count", "bare", "1: something is ordered, and no price is known."),
    Field("nth", "count", "nth", "Lines of this order so far."),
    Field("nth_ordered", "count", "nth ordered", "Lines so far that were marked as ordered."),
)  # fmt: skip
PLACE = {field.name: place for place, field in enumerate(COLUMNS)}
_TAKEN = {"packs": "order_packs", "pieces": "order_pieces", "total": "line_total",
          "ordered": "ordered"}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Lines:
    """The lines as they stand on the sheet."""

    frame: pd.DataFrame
    """The columns of `COLUMNS`, values as proposed; the index counts the rows."""

    def all(self, name: str) -> str:
        """A column of every line."""
        return self.of(self.frame, name)

    def of(self, lines: pd.DataFrame, name: str) -> str:
        """A column of some lines that stand below each other."""
        first, last = (int(lines.index[0]), int(lines.index[-1])) if len(lines) else (0, 0)
        return down(NAME, PLACE[name], FIRST + first, FIRST + last)

    def cell(self, row: int, name: str) -> str:
        """A cell of one line."""
        return f"{NAME}!{xl_rowcol_to_cell(FIRST + row, PLACE[name], True, True)}"


def lines_of_book(lines: pd.DataFrame, book: Logbook, choices: Choices) -> Lines:
    """The lines by order, as proposed.

    Parameters
    ----------
    lines : DataFrame
        From `wearcast.reports.order.orders.lines_by_order`.
    book : Logbook
        Whose catalogue gives the suppliers' own numbers and whom to write to.
    choices : Choices
    """
    articles = dict(zip(book.parts["part"], book.parts["supplier_part"], strict=True))
    contacts = dict(zip(book.suppliers["supplier"], book.suppliers["contact"], strict=True))
    packs = lines["order_packs"].astype(float)
    frame = lines.assign(
        currency=choices.currency,
        as_of=choices.as_of,
        urgent=np.where(lines["urgent"], "yes", ""),
        article=[articles.get(part, "") for part in lines["part"]],
        contact=[contacts.get(supplier, "") for supplier in lines["supplier"]],
        packs=packs,
        pieces=lines["order_pieces"],
        total=lines["line_total"].astype(float).fillna(0.0),
        ordered=0,
        bare=(packs.gt(0) & lines["unit_price"].isna()).astype(int),
        nth=packs.gt(0).groupby(lines["order"]).cumsum(),
        nth_ordered=0,
    )
    return Lines(frame.reset_index(drop=True))


def write_lines_sheet(paper: Sheet, lines: Lines, sheets: Sequence[tuple[str, int]]) -> None:
    """What the catalogue says of every line, and what the edited sheets say of it now.

    Parameters
    ----------
    paper : Sheet
    lines : Lines
    sheets : sequence
        Name of each edited sheet, and how many lines it holds.
    """
    write_headings(paper.sheet, paper.looks, COLUMNS, 0)
    formulas = {field.name for field in COLUMNS[PLACE["packs"] :]}
    for row, line in enumerate(lines.frame.to_dict("records"), FIRST):
        for field in COLUMNS:
            look = paper.looks.of(field.kind)
            if field.name not in formulas:
                write_cell(paper.sheet, row, PLACE[field.name], line[field.name], look)
                continue
            words = _formula(field.name, row, sheets)
            paper.sheet.write_formula(row, PLACE[field.name], words, look, float(line[field.name]))
    paper.sheet.hide()


def _formula(name: str, row: int, sheets: Iterable[tuple[str, int]]) -> str:
    at = {field: xl_rowcol_to_cell(row, place) for field, place in PLACE.items()}
    before = {field: xl_rowcol_to_cell(row - 1, place) for field, place in PLACE.items()}
    if name in _TAKEN:
        return "=" + "+".join(
            f"SUMPRODUCT({_here(sheet, count, at)},{column_of(sheet, _TAKEN[name], count)})"
            for sheet, count in sheets
        )
    bare = "+".join(
        f'SUMPRODUCT({_here(sheet, count, at)}*({column_of(sheet, "unit_price", count)}=""))'
        for sheet, count in sheets
    )
    so_far = f"IF({at['order']}={before['order']},{before['nth']},0)"
    counts = {
        "bare": f"IF(AND({at['packs']}>0,{bare}>0),1,0)",
        "nth": f"{so_far}+({at['packs']}>0)",
        "nth_ordered": f"N({before['nth_ordered']})+AND({at['packs']}>0,{at['ordered']}>0)",
    }
    return f"={counts[name]}"


def _here(sheet: str, count: int, at: dict[str, str]) -> str:
    """1 for each row of an edited sheet that is this part's at this depot."""
    same_part = f"EXACT({column_of(sheet, 'part', count)},{at['part']})"
    same_depot = f"EXACT({column_of(sheet, 'depot', count)},{at['depot']})"
    return f"{same_part}*{same_depot}"
