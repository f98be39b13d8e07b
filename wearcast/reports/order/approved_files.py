"""The files of an approved order: one CSV with every line, one a supplier, a document an order."""

import hashlib
from pathlib import Path

import pandas as pd

from wearcast import __version__
from wearcast.reports.frames import csv_text
from wearcast.reports.order.approved import Approved
from wearcast.reports.order.document import order_document
from wearcast.reports.order.lines import file_names
from wearcast.reports.writing.folder import RunResult, put_files
from wearcast.reports.writing.ownership import Label


def write_approved(approved: Approved, folder: str | Path, workbook: str | Path) -> RunResult:
    """Write what a purchasing system reads of an approved order, whole or not at all.

    Parameters
    ----------
    approved : Approved
    folder : path
        Made if it is not there. Only files that an earlier run wrote there are replaced.
    workbook : path
        Where the order was read from; it is never written over.

    Raises
    ------
    CannotWrite
        If the folder cannot be written or holds other people's files of these names.
    """
    files = approved_files(approved)
    run = hashlib.sha256(b"\0".join(files.values()) + __version__.encode()).hexdigest()[:12]
    label = Label(run, "approved", __version__, f"{approved.as_of:%Y-%m-%d}", 0, 0)
    return put_files(files, folder, label, [str(workbook)])


def approved_files(approved: Approved) -> dict[str, bytes]:
    """Name and bytes of each file; approved.csv holds what all the others hold."""
    table = approved_table(approved)
    files = {"approved.csv": _csv(table)}
    suppliers = table.groupby("supplier", sort=True)
    names = file_names([str(supplier) for supplier, _ in suppliers])
    files |= {f"approved-{names[str(supplier)]}.csv": _csv(lines) for supplier, lines in suppliers}
    orders = {str(number): lines for number, lines in approved.lines.groupby("order_number")}
    labels = {number: f"{lines['supplier'].iloc[0]} {number}" for number, lines in orders.items()}
    named = file_names(list(labels.values()))
    return files | {
        f"approved-{named[labels[number]]}.xml": order_document(approved, lines)
        for number, lines in orders.items()
    }


def approved_table(approved: Approved) -> pd.DataFrame:
    """The lines as approved.csv holds them."""
    lines = approved.lines
    return lines.assign(deliver_to=lines["depot"].map(approved.addresses).fillna(""))


def _csv(lines: pd.DataFrame) -> bytes:
    return csv_text("approved", lines).encode()
