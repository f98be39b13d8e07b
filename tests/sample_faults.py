"""What is wrong in ``sample_logs/messy``: every fault by hand, with what should become of it.

`FAULTS` names a table, a row of the clean table (counted from 0), the column, what is written there
instead, and the outcome: ``set aside``, ``repaired`` or ``note``.
"""

from typing import NamedTuple

import pandas as pd


class Fault(NamedTuple):
    """One cell that was written wrong."""

    table: str
    row: int
    column: str
    written: str
    outcome: str


FAULTS = (
    Fault("readings", 12, "hours", "about 900", "set aside"),
    Fault("readings", 150, "date", "2025-02-31", "set aside"),
    Fault("readings", 290, "hours", "", "set aside"),
    Fault("readings", 411, "machine", "fh 05", "repaired"),
    Fault("readings", 700, "hours", "99999", "set aside"),
    Fault("readings", 900, "hours", "-4", "set aside"),
    Fault("changes", 20, "action", "swapped", "set aside"),
    Fault("changes", 77, "cause", "dog", "set aside"),
    Fault("changes", 140, "date", "soon", "set aside"),
    Fault("changes", 260, "hours", "n/a", "note"),
    Fault("changes", 300, "position", "", "set aside"),
    Fault("changes", 333, "date", "2031-05-04", "note"),
    Fault("changes", 400, "machine", "FH-77", "set aside"),
    Fault("floors", 3, "share", "1.7", "set aside"),
    Fault("stock", 2, "on_hand", "-3", "set aside"),
    Fault("stock", 4, "on_hand", "6.5", "set aside"),
    Fault("on_order", 1, "due", "2026-13-01", "set aside"),
    Fault("parts", 6, "price", "58,00", "repaired"),
    Fault("plans", 0, "hours_per_week", "400", "set aside"),
)


def messy(frames: dict[str, pd.DataFrame]) -> dict[str, pd.DataFrame]:
    """The tables with the faults in, the first reading twice, a blank row and a total row."""
    frames = {name: frame.astype(object).copy() for name, frame in frames.items()}
    for fault in FAULTS:
        frame = frames[fault.table]
        frame.iloc[fault.row, list(frame.columns).index(fault.column)] = fault.written
    readings, stock = frames["readings"], frames["stock"]
    blank = pd.DataFrame("", index=[0], columns=readings.columns)
    frames["readings"] = pd.concat([readings, blank, readings.head(1)])
    total = pd.DataFrame([["Total", "293", "", ""]], columns=stock.columns)
    frames["stock"] = pd.concat([stock, total])
    return frames
