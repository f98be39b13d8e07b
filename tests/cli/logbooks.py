"""A small logbook in a folder: three machines, half a year, one blade each."""

from pathlib import Path

import numpy as np
import pandas as pd

MACHINES = """machine,site,depot
A1,Hall A,north
A2,Hall A,north
B1,Hall B,north
"""
POSITIONS = """machine,position,part,pieces
A1,front blade,BL-1,1
A2,front blade,BL-1,1
B1,front blade,BL-1,1
"""
PARTS = """part,name,kind,edges,price,pack,lead_days,supplier
BL-1,gum blade,blade,4,12.50,5,10,Hill & Sons
"""
STOCK = "part,on_hand,depot\nBL-1,1,north\n"
FLOORS = "machine,floor,share\nA1,concrete,100\nA2,concrete,100\nB1,vinyl,100\n"


def write_logbook(place: Path, **tables: str) -> Path:
    """The logbook's CSV files in a folder; a table given by name replaces the usual one."""
    place.mkdir(parents=True, exist_ok=True)
    usual = {
        "machines": MACHINES,
        "positions": POSITIONS,
        "parts": PARTS,
        "stock": STOCK,
        "floors": FLOORS,
        "readings": readings(),
        "changes": changes(),
    }
    for name, text in {**usual, **tables}.items():
        (place / f"{name}.csv").write_text(text, encoding="utf-8")
    return place


def readings() -> str:
    """A reading a week, 20 hours apart."""
    days = pd.date_range("2026-05-01", "2026-10-30", freq="7D")
    lines = [
        f"{machine},{day:%Y-%m-%d},{100 + 20 * week}"
        for machine in ("A1", "A2", "B1")
        for week, day in enumerate(days)
    ]
    return "\n".join(["machine,date,hours", *lines]) + "\n"


def changes() -> str:
    """A fit, then turns some weeks apart, fewer on vinyl; a fit after the fourth edge."""
    lines = []
    for machine, weeks in (
        ("A1", (3, 2, 4, 1, 5, 3)),
        ("A2", (2, 3, 4, 5, 2, 4)),
        ("B1", (6, 8, 5)),
    ):
        days = pd.Timestamp("2026-05-01") + pd.to_timedelta(7 * np.cumsum([0, *weeks]), unit="D")
        for number, day in enumerate(days):
            action = "fit" if number % 4 == 0 else "turn"
            lines.append(f"{machine},{day:%Y-%m-%d},front blade,{action},worn")
    return "\n".join(["machine,date,position,action,cause", *lines]) + "\n"
