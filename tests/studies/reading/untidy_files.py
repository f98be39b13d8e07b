"""A sound logbook to be made untidy; and one as files: CSV, a workbook, a database."""

import datetime
import re
import sqlite3
from pathlib import Path
from typing import TYPE_CHECKING

import openpyxl

if TYPE_CHECKING:
    from tests.studies.reading.untidy import Untidy

Rows = list[list[str]]
Tables = dict[str, Rows]
NUMBER = re.compile(r"-?(?:0|[1-9][0-9]*)(?:\.[0-9]+)?")


def fleet(machines: int = 8, weeks: int = 12) -> Tables:
    """Machines with weekly readings, fits and turns, all in order."""
    names = [f"M-{at:03d}" for at in range(11, 11 + machines)]
    days = [f"2026-{1 + week // 4:02d}-{5 + 7 * (week % 4):02d}" for week in range(weeks)]
    readings = [
        [name, day, f"{1000 + 40 * at + 18.5 * week:.1f}", ""]
        for at, name in enumerate(names)
        for week, day in enumerate(days)
    ]
    changes = [
        [name, days[week], place, "fit" if week == 0 else act, part, "" if week == 0 else "worn"]
        for name in names
        for place, part, act in (("front blade", "GB-1", "turn"), ("left brush", "BR-2", "fit"))
        for week in (0, 4, 8)
    ]
    floors = [
        [name, *rest] for name in names for rest in (("vinyl", "0.6"), ("quarry tile", "0.4"))
    ]
    carried = (("front blade", "GB-1", "1"), ("left brush", "BR-2", "2"))
    return {
        "machines": [
            ["machine", "site", "depot"],
            *([name, "North Hall", "main"] for name in names),
        ],
        "readings": [["machine", "date", "hours", "new_meter"], *readings],
        "changes": [["machine", "date", "position", "action", "part", "cause"], *changes],
        "floors": [["machine", "floor", "share"], *floors],
        "parts": [
            ["part", "name", "kind", "price", "pack", "lead_days"],
            ["GB-1", "gum blade", "blade", "18.5", "2", "14"],
            ["BR-2", "nylon brush", "brush", "92.0", "1", "21"],
        ],
        "positions": [
            ["machine", "position", "part", "pieces"],
            *([name, *one] for name in names for one in carried),
        ],
        "stock": [["part", "on_hand", "counted"], ["GB-1", "4", days[-2]], ["BR-2", "2", days[-2]]],
        "on_order": [["part", "pieces", "due"], ["GB-1", "6", "2026-04-20"]],
        "plans": [["machine", "start", "hours_per_week", "end"], [names[0], "2026-07-06", "0", ""]],
    }


def write_files(log: "Untidy", folder: Path) -> list[Path]:
    """Where the logbook was written."""
    folder.mkdir(parents=True)
    tables = {name: [*log.titles.get(name, []), *rows] for name, rows in log.tables.items()}
    kind = log.rng.choice(["csv", "csv", "workbook", "database"])
    if kind == "workbook":
        return [_workbook(tables, folder / "log.xlsx")]
    if kind == "database" and not log.titles:
        found = _database(tables, folder / "log.sqlite")
        if found:
            return [found]
    mark = log.rng.choice([",", ",", ";", "\t", "|"])
    encoding = log.rng.choice(["utf-8", "utf-8-sig", "utf-16"])
    end = log.rng.choice(["\n", "\r\n", "\r"])
    for name, rows in tables.items():
        lines = [mark.join(_quoted(cell, mark) for cell in row) for row in rows]
        (folder / f"{name}.csv").write_bytes(end.join([*lines, ""]).encode(encoding))
    return [folder]


def _quoted(cell: str, mark: str) -> str:
    return f'"{cell}"' if mark in cell or "\n" in cell else cell


def _typed(text: str) -> object:
    """The cell as a spreadsheet keeps it."""
    if re.fullmatch(r"\d{4}-\d\d-\d\d", text):
        return datetime.datetime.fromisoformat(text)
    return float(text) if NUMBER.fullmatch(text) else text or None


def _workbook(tables: dict[str, Rows], path: Path) -> Path:
    book = openpyxl.Workbook()
    book.remove(book.active)
    for name, rows in tables.items():
        sheet = book.create_sheet(name)
        for row in rows:
            sheet.append([_typed(cell) for cell in row])
    book.save(path)
    return path


def _database(tables: dict[str, Rows], path: Path) -> Path | None:
    """The tables of a database; None where two headings are one to it."""
    if any(
        len({cell.strip().lower() for cell in rows[0]}) < len(rows[0]) for rows in tables.values()
    ):
        return None
    base = sqlite3.connect(path)
    for name, (head, *rows) in tables.items():
        columns = ", ".join(f'"{cell}"' for cell in head)
        base.execute(f'create table "{name}" ({columns})')
        marks = ", ".join("?" * len(head))
        for row in rows:
            cells = [
                None if not cell else float(cell) if NUMBER.fullmatch(cell) else cell
                for cell in row
            ]
            base.execute(
                f'insert into "{name}" values ({marks})', [*cells, *[None] * (len(head) - len(row))]
            )
    base.commit()
    base.close()
    return path
