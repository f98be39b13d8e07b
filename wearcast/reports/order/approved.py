"""What the clerk approved: the lines of an edited order.xlsx, as its suppliers' sheets show them.

Packs, prices and days are taken from the sheets Order and To watch, wherever sorting put them;
what the catalogue says of a line from the hidden sheet Lines; numbers, dates and addresses from
Approve and Addresses. What cannot be taken as it stands is refused with its cell, never guessed.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from math import isnan
from pathlib import Path

import pandas as pd

from wearcast.errors import UnreadableFile, UnusableTable
from wearcast.logbook.sources.sheet import CellError, Sheet
from wearcast.logbook.sources.xlsx_cells import read_workbook

EDITED = ("Order", "To watch")
_NEEDED = (*EDITED, "Approve", "Addresses", "Lines")
_HEADS = {
    **dict.fromkeys(EDITED, ("Depot", "Part", "Packs", "In a pack", "Price", "ordered")),
    "Approve": ("Order", "Supplier", "Order number", "Goes out"),
    "Addresses": ("Depot", "Name and address"),
    "Lines": ("order", "Supplier", "Part", "Depot", "Name", "article", "wanted", "urgent",
              "Why", "currency", "as of"),
}  # fmt: skip
_PROPOSED = ": order "
"""What the reason of a line says where pieces were proposed."""
_SAVE = "open the workbook in a spreadsheet program and save it"
SIGNATURE = "Approved by"
"""What stands beside the box for a name, below the orders."""
Row = dict[str, object]
"""One row of a sheet by its headings; ``row`` is its number as the spreadsheet shows it."""


@dataclass(frozen=True, slots=True)
class Approved:
    """The approved order."""

    lines: pd.DataFrame
    """One row a line with packs, in printing order: order_number, goes_out, supplier, line,
    article, part, name, depot, packs, pack, pieces, unit_price, line_total, currency, wanted,
    urgent (bool), ordered; nan and NaT where nothing is known."""
    sender: str
    """Who orders: name and address, as typed."""
    addresses: Mapping[str, str]
    """Depot to its address, as typed."""
    as_of: pd.Timestamp
    left_out: tuple[str, ...] = ()
    """The lines that were proposed and have no packs now, with why they were."""
    signed: str = ""
    """Who wrote a name on the sheet Approve."""


def read_approved(path: str | Path) -> Approved:
    """The approved order of an edited workbook.

    Raises
    ------
    UnreadableFile
        If it is no order.xlsx of ours.
    UnusableTable
        If a cell cannot be taken as it stands.
    """
    sheets = {sheet.name: sheet for sheet in read_workbook(Path(path), str(path))}
    missing = [name for name in _NEEDED if name not in sheets]
    if missing:
        raise UnreadableFile(
            f"{path} has no sheet {missing[0]}; give an order.xlsx that wearcast wrote, edited "
            "as you like, its sheets all there"
        )
    rows = {name: list(_rows(sheets[name])) for name in _NEEDED}
    typed = _typed(str(path), rows)
    orders = _orders(str(path), rows["Approve"])
    _refuse_strangers(str(path), typed, rows["Lines"])
    lines = _lines(rows["Lines"], typed, orders)
    _refuse_lost(str(path), lines)
    texts = {str(row["Depot"]): _text(row["Name and address"]) for row in rows["Addresses"]}
    as_of = pd.Timestamp(str(rows["Lines"][0]["as of"])) if rows["Lines"] else pd.Timestamp("NaT")
    left_out = tuple(_left_out(rows["Lines"], lines))
    signed = (row["Order number"] for row in rows["Approve"] if row["Order"] == SIGNATURE)
    name = _text(next(signed, None))
    return Approved(lines, texts.pop("From", ""), texts, as_of, left_out, name)


def _left_out(known: list[Row], lines: pd.DataFrame) -> Iterator[str]:
    ordered = {*zip(lines["part"], lines["depot"], strict=True)}
    for row in known:
        part, depot, why = (_text(row[name]) for name in ("Part", "Depot", "Why"))
        if (part, depot) not in ordered and _PROPOSED in why:
            yield f"{part}, {depot}: {why[:1].lower()}{why[1:]}"


def _rows(sheet: Sheet) -> Iterator[Row]:
    """The rows under the headings that the sheet bears, each by heading."""
    wanted = _HEADS[sheet.name]
    places: dict[str, int] = {}
    for number, cells in zip(sheet.row_numbers, sheet.rows, strict=True):
        if places:
            row: Row = {
                name: cells[place] if place < len(cells) else None for name, place in places.items()
            }
            if any(row[name] is not None for name in wanted[:2]):
                yield {**row, "row": number}
        elif set(wanted) <= set(cells):
            places = {name: cells.index(name) for name in wanted}
    if not places:
        raise UnreadableFile(
            f"{sheet.source}[{sheet.name}]: the row of headings is gone ({', '.join(wanted)}); "
            "take the workbook as wearcast wrote it and edit that"
        )


def _typed(path: str, rows: Mapping[str, list[Row]]) -> pd.DataFrame:
    """The lines with packs of both edited sheets: sheet, row, part, depot, packs, pack, price.

    All packs are read before anything else: one that is no number shows as an error in the price
    of other lines, too.
    """
    lines = [
        (sheet, row, _packs(f"{path}[{sheet}], row {row['row']}", row["Packs"]))
        for sheet in EDITED
        for row in rows[sheet]
        if row["Part"] is not None
    ]
    typed = [_typed_line(path, sheet, row, packs) for sheet, row, packs in lines if packs > 0]
    columns = ["sheet", "row", "part", "depot", "packs", "pack", "price", "ordered"]
    return pd.DataFrame(typed, columns=columns)


def _typed_line(path: str, sheet: str, row: Row, packs: float) -> Row:
    place = f"{path}[{sheet}], row {row['row']}"
    pack = _number(f"{place}, In a pack", row["In a pack"])
    if not pack > 0:  # a row that was added by hand
        raise UnusableTable(f"{place}, In a pack: write how many pieces a pack holds")
    price = _number(f"{place}, Price", row["Price"])
    if price < 0:
        raise UnusableTable(f'{place}, Price "{row["Price"]}": write a price of 0 or more')
    return {
        "sheet": sheet,
        "row": row["row"],
        "part": _text(row["Part"]),
        "depot": _text(row["Depot"]),
        "packs": packs,
        "pack": pack,
        "price": price,
        "ordered": _day(f"{place}, ordered", row["ordered"]),
    }


def _packs(place: str, value: object) -> float:
    packs = _number(f"{place}, Packs", value)
    if isnan(packs):  # a blank cell orders nothing
        return 0.0
    if packs < 0 or packs != round(packs):
        raise UnusableTable(f'{place}, Packs "{value}": write a whole number of packs, 0 or more')
    return packs


def _number(place: str, value: object) -> float:
    """A number; nan where the cell is blank."""
    if isinstance(value, CellError):
        raise UnusableTable(f"{place} shows {value}: correct it, or {_SAVE}")
    if value is None or not str(value).strip():
        return float("nan")
    if isinstance(value, int | float) and not isinstance(value, bool):
        return float(value)
    raise UnusableTable(f'{place} "{value}": write a number')


def _day(place: str, value: object) -> pd.Timestamp:
    """A day; NaT where the cell is blank."""
    if isinstance(value, CellError):
        raise UnusableTable(f"{place} shows {value}: correct it, or {_SAVE}")
    if value is None or not str(value).strip():
        return pd.Timestamp("NaT")
    try:
        return pd.Timestamp(str(value)).normalize()
    except ValueError as error:
        raise UnusableTable(f'{place} "{value}": write a date such as 2026-11-02') from error


def _text(value: object) -> str:
    """A cell as text; a whole number without its decimals."""
    if value is None:
        return ""
    whole = isinstance(value, float) and value == round(value)
    return str(int(value)) if isinstance(value, float) and whole else str(value)


def _orders(path: str, rows: Iterable[Row]) -> dict[int, tuple[str, pd.Timestamp]]:
    """Number and day of each order."""
    orders: dict[int, tuple[str, pd.Timestamp]] = {}
    for row in rows:
        if row["Supplier"] == "Total":
            break
        if not isinstance(row["Order"], int | float):
            continue
        place = f"{path}[Approve], row {row['row']}"
        number, day = (
            _text(row["Order number"]).strip(),
            _day(f"{place}, Goes out", row["Goes out"]),
        )
        if not number or pd.isna(day):
            raise UnusableTable(f"{place}: write the order's number and the day it goes out")
        if any(number == other for other, _ in orders.values()):
            raise UnusableTable(f'{place}, Order number "{number}" stands twice: give each its own')
        orders[int(row["Order"])] = (number, day)
    return orders


def _lines(
    rows: list[Row], typed: pd.DataFrame, orders: Mapping[int, tuple[str, pd.Timestamp]]
) -> pd.DataFrame:
    """The lines with packs under their order."""
    found = []
    for row in rows:
        here = typed[
            (typed["part"] == _text(row["Part"])) & (typed["depot"] == _text(row["Depot"]))
        ]
        if len(here):
            found.append(_line(row, here, orders))
    columns = ["order_number", "goes_out", "supplier", "line", "article", "part", "name", "depot",
               "packs", "pack", "pieces", "unit_price", "line_total", "currency", "wanted",
               "urgent", "ordered"]  # fmt: skip
    lines = pd.DataFrame(found, columns=columns)
    return lines.assign(line=lines.groupby("order_number").cumcount() + 1)


def _line(
    row: Row, here: pd.DataFrame, orders: Mapping[int, tuple[str, pd.Timestamp]]
) -> dict[str, object]:
    """One line; a part that stands twice for a depot counts once, with the packs of both."""
    order = int(str(row["order"]))
    number, day = orders.get(order, ("", pd.Timestamp("NaT")))
    pieces = here["packs"].astype(float) * here["pack"].astype(float)
    total = (pieces * here["price"].astype(float)).round(2).sum(skipna=False)
    return {
        "order_number": number,
        "goes_out": day,
        "supplier": _text(row["Supplier"]),
        "article": _text(row["article"]),
        "part": _text(row["Part"]),
        "name": _text(row["Name"]),
        "depot": _text(row["Depot"]),
        "packs": float(here["packs"].sum()),
        "pack": float(here["pack"].iloc[0]),
        "pieces": float(pieces.sum()),
        "unit_price": float(here["price"].iloc[0]) if len(here) == 1 else total / pieces.sum(),
        "line_total": total,
        "currency": _text(row["currency"]),
        "wanted": _day("Lines", row["wanted"]),
        "urgent": row["urgent"] == "yes",
        "ordered": here["ordered"].max(),
    }


def _refuse_strangers(path: str, typed: pd.DataFrame, known: list[Row]) -> None:
    """A line that no supplier's sheet shows."""
    names = {(_text(line["Part"]), _text(line["Depot"])) for line in known}
    for line in typed.to_dict("records"):
        if (line["part"], line["depot"]) not in names:
            depot = f"for depot {line['depot']}" if line["depot"] else "without a depot"
            raise UnusableTable(
                f"{path}[{line['sheet']}], row {line['row']}: {line['part']} {depot} stands on no "
                "supplier's sheet, as wearcast wrote no such line; correct part and depot, take "
                "the row out, or put the part into the logbook and make the order anew"
            )


def _refuse_lost(path: str, lines: pd.DataFrame) -> None:
    """A line whose order has no row on Approve any more."""
    for line in lines[lines["order_number"] == ""].to_dict("records"):
        raise UnusableTable(
            f"{path}[Approve]: the row of the order to {line['supplier']} is gone, so "
            f"{line['part']} for depot {line['depot']} has no order number; bring it back, or "
            "set its packs to 0"
        )
