"""A sheet a supplier, ready to send: an order a page, under a head of its own.

Nothing is typed here. The lines follow the sheets Order and To watch by way of the sheet Lines:
the k-th line printed is the k-th that has packs, so that none leaves a gap, and the total follows
the last. Number and date come from the sheet Approve, addresses from the sheet Addresses.
"""

from dataclasses import dataclass

import pandas as pd
from xlsxwriter.utility import xl_rowcol_to_cell

from wearcast.reports.fields import OUTPUTS, Field
from wearcast.reports.order.orders import URGENT
from wearcast.reports.workbook.addresses_sheet import Addresses
from wearcast.reports.workbook.approve_sheet import Orders
from wearcast.reports.workbook.lines_sheet import Lines
from wearcast.reports.workbook.papers import Sheet
from wearcast.reports.workbook.sheets import (
    LINE_HEIGHT,
    lines_of,
    serial,
    set_print,
    write_headings,
)

_FIELD = {field.name: field for field in OUTPUTS["order"]}
SUPPLIER_COLUMNS = (
    Field("number", "count", "Line", "Number of the line."),
    Field("article", "text", "Your article number", "The supplier's own number of the part."),
    _FIELD["part"],
    _FIELD["name"],
    Field("depot", "text", "Deliver to", "The store that the pieces are for."),
    _FIELD["order_packs"],
    _FIELD["pack"],
    _FIELD["order_pieces"],
    _FIELD["unit_price"],
    _FIELD["line_total"],
    Field("wanted", "date", "Wanted by", "The day it goes out and the usual days of delivery, a "
          "working day; urgent where it could not arrive in time any more."),
)  # fmt: skip
SUPPLIER_WIDTHS = (6, 14, 13, 28, 12, 7, 7, 8, 10, 12, 15)
PLACE = {field.name: place for place, field in enumerate(SUPPLIER_COLUMNS)}
_HEAD = (2, 6)
"""First and last column of what stands beside a label in the head."""
_NOTHING = "Nothing to order here: do not send this page"
_ASK = "Prices as in our catalogue; please confirm prices and delivery dates."


@dataclass(frozen=True, slots=True)
class Order:
    """One order: its lines, and where its head stands."""

    lines: Lines
    here: pd.DataFrame
    orders: Orders
    addresses: Addresses
    total: str
    """What stands before the total, with the currency."""
    asked: list[dict[str, object]]
    """The lines with packs, as proposed."""

    def column(self, name: str) -> str:
        """A column of the order's lines on the sheet Lines."""
        return self.lines.of(self.here, name)

    @property
    def count(self) -> str:
        """How many lines have packs, as part of a formula."""
        return f"MAX({self.column('nth')})"

    def nth(self, number: int) -> dict[str, object]:
        """The line of that number as proposed; empty beyond the last."""
        return self.asked[number - 1] if number <= len(self.asked) else {}


def write_supplier_sheet(
    paper: Sheet, supplier: str, orders: Orders, addresses: Addresses, currency: str
) -> None:
    """Every order to one supplier, each on a page under its own head."""
    frame = orders.lines.frame
    row, breaks = 0, []
    for _, here in frame[frame["supplier"] == supplier].groupby("order", sort=True):
        asked: list[dict[str, object]] = here[here["packs"] > 0].to_dict("records")  # type: ignore[assignment]
        order = Order(orders.lines, here, orders, addresses, f"Total {currency}".strip(), asked)
        first = _write_head(paper, row, supplier, order)
        _write_lines(paper, first, order)
        row = first + len(here) + 2
        breaks.append(row)
    for place, width in enumerate(SUPPLIER_WIDTHS):
        paper.sheet.set_column(place, place, width)
    paper.sheet.hide_gridlines(2)
    set_print(paper.sheet, widths=SUPPLIER_WIDTHS, last_row=row - 1, heading=None, foot="")
    paper.sheet.set_h_pagebreaks(breaks[:-1])


def _write_head(paper: Sheet, row: int, supplier: str, order: Order) -> int:
    """What stands above the lines; returns the row of the first of them."""
    sheet, looks = paper.sheet, paper.looks
    title = f"Order to {supplier or 'supplier'}" if order.asked else _NOTHING
    name = order.lines.cell(int(order.here.index[0]), "supplier")
    words = f'IF({name}="","Order to supplier","Order to "&{name})'
    sheet.write_formula(
        row, 0, f'=IF({order.count}=0,"{_NOTHING}",{words})',
        looks.of("text", "formula", "title"), title,
    )  # fmt: skip
    sheet.set_row(row, 22)
    heads = _heads(order)
    for place, (label, formula, value, kind) in enumerate(heads, row + 1):
        look = looks.of(kind, *(("formula", "wrap") if kind == "text" else ("left",)))
        shown = f'=IF({xl_rowcol_to_cell(place, _HEAD[0])}="","","{label}")'
        sheet.write_formula(place, 0, shown, looks.of("text", "formula", "bold", "flush"),
                            "" if value == "" else label)  # fmt: skip
        sheet.merge_range(place, _HEAD[0], place, _HEAD[1], "", look)
        sheet.write_formula(place, _HEAD[0], formula, look, value)
        wide = sum(SUPPLIER_WIDTHS[_HEAD[0] : _HEAD[1] + 1])
        taken = sum(lines_of(each, wide) for each in str(value).split("\n"))
        sheet.set_row(place, LINE_HEIGHT * (max(taken, 2) if kind == "text" else 1) + 2)
    last = row + len(heads) + 1
    sheet.write_string(last, 0, _ASK, looks.of("text", "pale", "flush"))
    write_headings(sheet, looks, SUPPLIER_COLUMNS, last + 1)
    return last + 2


def _heads(order: Order) -> list[tuple[str, str, object, str]]:
    """Label, formula, value and kind of each row of the head."""
    number, contact = int(order.here["order"].iloc[0]), str(order.here["contact"].iloc[0])
    heads: list[tuple[str, str, object, str]] = []
    if contact:
        heads.append(
            ("To", f"={order.lines.cell(order.here.index[0], 'contact')}", contact, "text")
        )
    heads += [
        ("Order number", *order.orders.typed("number", number), "text"),
        ("Date", *order.orders.typed("goes_out", number), "date"),
        ("From", *order.addresses.of_sender(), "text"),
    ]
    for depot, lines in order.here.groupby("depot", sort=True):
        cell = order.lines.cell(int(lines.index[0]), "depot")
        words, value = order.addresses.of_depot(str(depot), cell)
        asked = f"SUMPRODUCT(EXACT({order.column('depot')},{cell})*{order.column('packs')})"
        value = value if lines["packs"].gt(0).any() else ""
        heads.append(("Deliver to", f'=IF({asked}=0,"",{words})', value, "text"))
    return heads


def _write_lines(paper: Sheet, first: int, order: Order) -> None:
    """As many rows as there may be lines, and one for the total, which follows the last line."""
    sheet, looks = paper.sheet, paper.looks
    names = (str(name) for name in order.here["name"])
    height = LINE_HEIGHT * max(2, *(lines_of(name, SUPPLIER_WIDTHS[3]) for name in names)) + 1.5
    last = first + len(order.here)
    for row in range(first, last + 1):
        sheet.set_row(row, height)
        for field in SUPPLIER_COLUMNS:
            wrap = ("wrap", "formula") if field.kind == "text" else ()
            traits = ("wrap",) if field.name == "wanted" else wrap
            formula, value = _cell(field.name, row - first + 1, row, order)
            sheet.write_formula(
                row, PLACE[field.name], formula, looks.of(field.kind, *traits), value
            )
    area = (first, 0, last, len(SUPPLIER_COLUMNS) - 1)
    line, total = (xl_rowcol_to_cell(first, PLACE[name], col_abs=True)
                   for name in ("number", "line_total"))  # fmt: skip
    for holds, trait in ((f'{line}<>""', "line"), (f'AND({line}="",{total}<>"")', "sum")):
        sheet.conditional_format(*area, {
            "type": "formula", "criteria": f"={holds}", "format": looks.drawn(trait),
        })  # fmt: skip


def _cell(name: str, number: int, row: int, order: Order) -> tuple[str, object]:
    """One cell of the row of that number, as a formula and its value."""
    line = order.nth(number)
    shown = xl_rowcol_to_cell(row, PLACE["number"], col_abs=True)
    if name == "number":
        return f'=IF({number}<={order.count},{number},"")', number if line else ""
    at = f"MATCH({shown},{order.column('nth')},0)"

    def taken(column: str) -> str:
        return f"INDEX({order.column(column)},{at})"

    after = {"name": _total_words, "line_total": _total}.get(name)
    otherwise, value = after(order, number) if after else ('""', "")
    found = {
        "article": f'{taken("article")}&""', "part": f'{taken("part")}&""',
        "name": f'{taken("name")}&""', "depot": f'{taken("depot")}&""',
        "order_packs": taken("packs"), "pack": taken("pack"), "order_pieces": taken("pieces"),
        "unit_price": f'IF({taken("bare")}=1,"",{taken("total")}/{taken("pieces")})',
        "line_total": f'IF({taken("bare")}=1,"",{taken("total")})',
        "wanted": f'IF({taken("urgent")}="yes","{URGENT}",{taken("wanted")})',
    }[name]  # fmt: skip
    return f'=IF({shown}="",{otherwise},{found})', _value(name, line) if line else value


def _value(name: str, line: dict[str, object]) -> object:
    """What a line's cell holds as proposed."""
    if name == "wanted" and line["urgent"] == "yes":
        return URGENT
    if name in ("unit_price", "line_total") and line["bare"]:
        return ""
    value = line[name]
    return serial(value) if isinstance(value, pd.Timestamp) else value


def _total_words(order: Order, number: int) -> tuple[str, object]:
    """Before the total, in the row after the last line."""
    bare, lines = f"SUM({order.column('bare')})", order.count
    words = f'"{order.total}"&IF({bare}=0,"","; "&{bare}&" of "&{lines}&" without price")'
    missing = sum(bool(line["bare"]) for line in order.asked)
    value = order.total + (f"; {missing} of {len(order.asked)} without price" if missing else "")
    return _after(order, number, words), value if order.asked and number == len(
        order.asked
    ) + 1 else ""


def _total(order: Order, number: int) -> tuple[str, object]:
    proposed = order.here["total"].where(order.here["packs"] > 0).sum()
    formula = _after(order, number, f"SUM({order.column('total')})")
    return formula, float(proposed) if order.asked and number == len(order.asked) + 1 else ""


def _after(order: Order, number: int, words: str) -> str:
    """What stands in the row after the last line, and nowhere else."""
    return f'IF(AND({order.count}>0,{order.count}={number - 1}),{words},"")'
