"""An untidy logbook as files: CSV in some dress, a workbook, or a database."""

import datetime
import re
import sqlite3
from pathlib import Path
from typing import TYPE_CHECKING

import openpyxl

from tests.logbook.test_single_faults import Rows

if TYPE_CHECKING:
    from tests.studies.reading.untidy import Untidy

NUMBER = re.compile(r"-?(?:0|[1-9][0-9]*)(?:\.[0-9]+)?")


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
