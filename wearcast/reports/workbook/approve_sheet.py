"""The first sheet, one page to approve: the orders, what is late, what to check.

Figures follow the sheets that the clerk edits, by way of the sheet Lines. The orders' numbers and
dates are typed here, addresses on the sheet Addresses; the suppliers' sheets take them from there.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import pandas as pd

from wearcast.reports.fields import Field
from wearcast.reports.order.approved import SIGNATURE
from wearcast.reports.workbook.lines_sheet import Lines
from wearcast.reports.workbook.order_sheet import column_of
from wearcast.reports.workbook.papers import Sheet
from wearcast.reports.workbook.sheets import (
    FIRST_TABLE_ROW,
    down,
    serial,
    set_height,
    set_print,
    write_cell,
    write_headings,
    write_title,
)

NAME = "Approve"
FIRST = FIRST_TABLE_ROW
COLUMNS = (
    Field("order", "count", "Order", "The order's place among the suppliers' sheets."),
    Field("supplier", "text", "Supplier", "Who sells it."),
    Field("number", "text", "Order number", "Yours: it stands on the supplier's sheet and in the "
          "files for a purchasing system."),
    Field("goes_out", "date", "Goes out", "The day on which the order goes out."),
    Field("lines", "count", "Lines", "Lines with something to order."),
    Field("late", "count", "Late", "Lines that cannot arrive in time any more."),
    Field("pieces", "count", "Pieces", "Pieces of all lines."),
    Field("total", "money", "Total", "Pieces times price, lines without a price left out."),
    Field("coming", "money", "Use, next 13 weeks", "Expected use of the supplier's parts, at "
          "today's prices."),
    Field("last", "money", "Use, last 13 weeks", "What was fitted, at today's prices."),
    Field("last_year", "money", "Same weeks last year", "What was fitted in the next 13 weeks a "
          "year ago, at today's prices; blank where the log began later."),
)  # fmt: skip
WIDTHS = (7, 20, 15, 11, 7, 7, 8, 12, 12, 12, 12)
PLACE = {field.name: place for place, field in enumerate(COLUMNS)}
_SHOWN_LATE = 8
"""Late lines named one by one; the others stand on the sheet Order, marked as overdue."""


@dataclass(frozen=True, slots=True)
class Orders:
    """The orders as they stand on the sheet: one a supplier and day."""

    lines: Lines
    frame: pd.DataFrame
    """order, supplier, number, goes_out; one row an order, in the order of printing."""
    money: pd.DataFrame
    """From `wearcast.reports.order.past_use.money_by_supplier`."""

    def typed(self, name: str, order: int) -> tuple[str, object]:
        """What stands beside an order, number or date, as a formula and its value."""
        values, keys = (self._column(each) for each in (name, "order"))
        value = self.frame.loc[self.frame["order"] == order, name].iloc[0]
        value = serial(value) if isinstance(value, pd.Timestamp) else value
        return f'=IFERROR(INDEX({values},MATCH({order},{keys},0)),"")', value

    def _column(self, name: str) -> str:
        return down(NAME, PLACE[name], FIRST - 1, FIRST + len(self.frame))


def orders_of(lines: Lines, money: pd.DataFrame) -> Orders:
    """The orders that the lines make."""
    frame = lines.frame[["order", "supplier", "number", "goes_out"]].drop_duplicates("order")
    return Orders(lines, frame.reset_index(drop=True), money)


def write_approve_sheet(
    paper: Sheet,
    orders: Orders,
    sheets: Sequence[tuple[str, int]],
    checks: Sequence[str],
    *,
    title: str,
    under: str,
) -> None:
    """The orders, the late lines, what to check, and room to sign.

    Parameters
    ----------
    paper : Sheet
    orders : Orders
    sheets : sequence
        Name of each edited sheet, and how many lines it holds.
    checks : sequence
        Sentences.
    title, under : str
    """
    sheet, looks = paper.sheet, paper.looks
    write_title(sheet, looks, title, under)
    sheet.write_formula(2, 0, _sum_check(orders.lines, sheets), looks.of("text", "formula", "flush",
                        "bold"), _ADDS_UP)  # fmt: skip
    write_headings(sheet, looks, COLUMNS, FIRST - 1)
    _write_orders(paper, orders)
    row = FIRST + len(orders.frame) + 2
    row = _write_late(paper, row, orders.lines)
    row = _write_checks(paper, row, checks)
    _write_signature(paper, row)
    for place, width in enumerate(WIDTHS):
        sheet.set_column(place, place, width)
    sheet.freeze_panes(FIRST, 0)
    set_print(sheet, widths=WIDTHS, last_row=row + 1, heading=FIRST - 1, foot=paper.foot)


_ADDS_UP = "Adds up: every line with packs stands on a supplier's sheet."
_DOES_NOT = (
    " pieces of the sheets Order and To watch stand on no supplier's sheet, or twice: "
    "look for a line that was typed in or whose part or depot was changed."
)
_NO_NUMBER = "Something typed is no number: look for it where cells of its row show an error."
_SUMMED = ("order_packs", "order_pieces", "ordered")
_NO_PIECES = (
    " rows have packs and no pieces: fill in In a pack, Pieces and Price as in the rows above."
)
_NO_DATES = (
    " days under ordered are text and no dates, so their lines are missing from on_order: "
    "type them anew, such as 2026-11-02."
)


def _sum_check(lines: Lines, sheets: Sequence[tuple[str, int]]) -> str:
    """Whether the suppliers' sheets, and on_order, hold what the edited sheets say."""

    def summed(what: str) -> str:
        """A sum over both edited sheets, {name} being a column."""
        return "+".join(
            what.format(**{name: column_of(sheet, name, count) for name in _SUMMED})
            for sheet, count in sheets
        )

    apart = f"{summed('SUM({order_pieces})')}-SUM({lines.all('pieces')})"
    bare = summed(
        "SUMPRODUCT(ISNUMBER({order_packs})*({order_packs}>0)*NOT(ISNUMBER({order_pieces})))"
    )
    # The heading of each is text, too.
    texts = f"{summed('SUMPRODUCT(ISTEXT({ordered})*1)')}-{len(sheets)}"
    said = f'IF({texts}>0,{texts}&"{_NO_DATES}","{_ADDS_UP}")'
    said = f'IF({bare}>0,{bare}&"{_NO_PIECES}",{said})'
    said = f'IF(ABS({apart})<0.5,{said},TEXT(ABS({apart}),"0")&"{_DOES_NOT}")'
    return f'=IFERROR({said},"{_NO_NUMBER}")'


def _write_orders(paper: Sheet, orders: Orders) -> None:
    """One row an order; the supplier's use beside its first."""
    told: set[str] = set()
    for row, order in enumerate(orders.frame.to_dict("records"), FIRST):
        here = orders.lines.frame[orders.lines.frame["order"] == order["order"]]
        supplier = str(order["supplier"])
        known = orders.money.loc[[supplier]] if supplier in orders.money.index else None
        for field in COLUMNS:
            look = paper.looks.of(field.kind, "line", *_traits(field.name))
            if field.name in order:
                write_cell(paper.sheet, row, PLACE[field.name], order[field.name], look)
            elif field.name in orders.money.columns:
                shown = known is not None and supplier not in told
                value = known[field.name].iloc[0] if shown and known is not None else None
                write_cell(paper.sheet, row, PLACE[field.name], value, look)
            else:
                words, value = _counted(field.name, orders.lines, here)
                paper.sheet.write_formula(row, PLACE[field.name], words, look, value)
        told.add(supplier)
    _write_total(paper, orders)


def _traits(name: str) -> tuple[str, ...]:
    return {"number": ("input",), "goes_out": ("input",), "supplier": ("wrap",)}.get(name, ())


def _counted(name: str, lines: Lines, here: pd.DataFrame) -> tuple[str, float]:
    """One figure of an order, as a formula and its value."""
    packs = lines.of(here, "packs")
    if name == "lines":
        return f'=COUNTIF({packs},">0")', float(here["packs"].gt(0).sum())
    if name == "late":
        late = here["packs"].gt(0) & here["urgent"].eq("yes")
        return f'=COUNTIFS({packs},">0",{lines.of(here, "urgent")},"yes")', float(late.sum())
    return f"=SUM({lines.of(here, name)})", float(here[name].sum())


def _write_total(paper: Sheet, orders: Orders) -> None:
    """The sums under the orders."""
    sheet, row = paper.sheet, FIRST + len(orders.frame)
    for place in range(len(COLUMNS)):
        sheet.write_blank(row, place, None, paper.looks.of("text", "total"))
    sheet.write_string(row, PLACE["supplier"], "Total", paper.looks.of("text", "total"))
    everything = orders.lines.frame
    for field in COLUMNS[PLACE["lines"] :]:
        column = down(NAME, PLACE[field.name], FIRST - 1, row - 1).split("!")[1]
        if field.name in orders.money.columns:
            known = orders.money.reindex(orders.frame["supplier"].unique())[field.name].dropna()
            value: object = float(known.sum()) if len(known) else ""
        else:
            value = _counted(field.name, orders.lines, everything)[1]
        words = f'=IF(COUNT({column})=0,"",SUM({column}))'
        look = paper.looks.of(field.kind, "total")
        sheet.write_formula(row, PLACE[field.name], words, look, value)


def _write_late(paper: Sheet, row: int, lines: Lines) -> int:
    """The late lines with why; returns the row after them."""
    sheet, looks = paper.sheet, paper.looks
    late = lines.frame[lines.frame["packs"].gt(0) & lines.frame["urgent"].eq("yes")]
    words = "Late: cannot arrive in time any more" if len(late) else "Nothing is late"
    sheet.write_string(row, 0, words, looks.of("text", "bold", "flush"))
    for place, (at, line) in enumerate(late.head(_SHOWN_LATE).iterrows(), row + 1):
        cell = {name: lines.cell(int(str(at)), name) for name in ("pieces", "part", "depot", "why")}
        left = f'=IF({cell["pieces"]}=0,"",'
        sheet.write_formula(place, 0, f"{left}{cell['pieces']})", looks.of("count"), line["pieces"])
        shelf = f'{left}{cell["part"]}&", "&{cell["depot"]})'
        _write_across(paper, place, 1, 2, f"{line['part']}, {line['depot']}", shelf)
        _write_across(paper, place, 3, len(COLUMNS) - 1, str(line["why"]), f"{left}{cell['why']})")
    more = len(late) - _SHOWN_LATE
    if more > 0:
        _write_across(paper, row + 1 + _SHOWN_LATE, 1, 6, f"and {more} more on the sheet Order")
    return row + 2 + min(len(late), _SHOWN_LATE) + (more > 0)


def _write_checks(paper: Sheet, row: int, checks: Sequence[str]) -> int:
    """What to check before anything goes out; returns the row after it."""
    words = "To know and to check before it goes out" if checks else "Nothing to check"
    paper.sheet.write_string(row, 0, words, paper.looks.of("text", "bold", "flush"))
    for place, check in enumerate(checks, row + 1):
        _write_across(paper, place, 1, len(COLUMNS) - 1, check)
    return row + 2 + len(checks)


def _write_across(
    paper: Sheet, row: int, first: int, last: int, text: str, formula: str = ""
) -> None:
    """A text over several columns; never a formula, unless one is given whose value it is."""
    look = paper.looks.of("text", "wrap", *(("formula",) if formula else ()))
    paper.sheet.merge_range(row, first, row, last, "", look)
    if formula:
        paper.sheet.write_formula(row, first, formula, look, text)
    else:
        write_cell(paper.sheet, row, first, text, look)
    if last == len(COLUMNS) - 1:
        set_height(paper.sheet, row, [(text, sum(WIDTHS[first : last + 1]))])


def _write_signature(paper: Sheet, row: int) -> None:
    sheet, looks = paper.sheet, paper.looks
    sheet.set_row(row, 26)
    for place, words in ((0, SIGNATURE), (6, "Date")):
        sheet.write_string(row, place, words, looks.of("text", "bold", "flush"))
    sheet.merge_range(row, 2, row, 5, "", looks.of("text", "input"))
    sheet.merge_range(row, 7, row, 8, "", looks.of("text", "input"))
