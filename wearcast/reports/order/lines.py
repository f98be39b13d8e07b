"""The order, supplier by supplier: which lines go out, and one CSV a supplier."""

import pandas as pd

from wearcast.reports.frames import csv_text

SUPPLIER_COLUMNS = [
    "depot",
    "part",
    "name",
    "order_pieces",
    "order_packs",
    "unit_price",
    "line_total",
    "order_by",
    "order_on",
]
NO_SUPPLIER = "no supplier named"


def lines_to_order(order: pd.DataFrame) -> pd.DataFrame:
    """The lines with something to order: by supplier, then date, then depot and part."""
    wanted = order[order["order_pieces"] > 0]
    keys = ["supplier", "order_on", "order_by", "depot", "part"]
    return wanted.sort_values(keys, kind="stable")


def by_supplier(order: pd.DataFrame) -> dict[str, pd.DataFrame]:
    """Supplier to its lines, in the order of their names."""
    lines = lines_to_order(order)
    return {str(supplier): group for supplier, group in lines.groupby("supplier", sort=True)}


def supplier_csvs(order: pd.DataFrame) -> dict[str, bytes]:
    """File name and bytes, one a supplier, such as ``order-example-parts.csv``."""
    groups = by_supplier(order)
    names = file_names(list(groups))
    return {
        f"order-{names[supplier]}.csv": csv_text("order", lines[SUPPLIER_COLUMNS]).encode()
        for supplier, lines in groups.items()
    }


def file_names(suppliers: list[str]) -> dict[str, str]:
    """A plain, unique file name for each supplier: lower-case letters and digits, joined by -."""
    names: dict[str, str] = {}
    for supplier in sorted(suppliers):
        words = "".join(each if each.isalnum() else " " for each in supplier.casefold()).split()
        base = "-".join(words)[:40].strip("-") or NO_SUPPLIER.replace(" ", "-")
        name, number = base, 2
        while name in names.values():
            name, number = f"{base}-{number}", number + 1
        names[supplier] = name
    return names
