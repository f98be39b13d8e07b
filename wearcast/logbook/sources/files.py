"""Files -> raw cells: a workbook, a folder of CSV files, one CSV file, a database, a feed.

What a file is, is told by its first bytes; its ending only words the refusal. Nothing is
judged here but the file itself: cells come as written, with the row that the person sees.
"""

from collections.abc import Sequence
from difflib import get_close_matches
from pathlib import Path

from wearcast.errors import UnreadableFile
from wearcast.logbook.schema.names import table_named
from wearcast.logbook.sources.csv_cells import read_csv
from wearcast.logbook.sources.guard import MAGIC_OLE, MAGIC_SQLITE, MAGIC_ZIP
from wearcast.logbook.sources.sheet import CellError, Sheet, note, shown
from wearcast.logbook.sources.sqlite_cells import read_database
from wearcast.logbook.sources.telematics import read_feed
from wearcast.logbook.sources.xlsx_cells import read_workbook
from wearcast.told import Problem

__all__ = ["CellError", "Sheet", "read_sheets"]

_WORKBOOKS = {".xlsx", ".xlsm", ".xls", ".xlsb", ".xltx", ".ods"}
_DATABASES = {".sqlite", ".sqlite3", ".db", ".db3"}
_SYSTEM = {"thumbs.db", "desktop.ini"}
"""Files that a system lays into every folder."""
MOST_TABLES = 300
"""Sheets and files that bear a table's name; a site each, and some to spare."""


def read_sheets(paths: Sequence[str | Path]) -> tuple[list[Sheet], list[Problem]]:
    """Every sheet of the logbooks given, and what was decided about whole files.

    Parameters
    ----------
    paths : sequence of str or Path
        Each an .xlsx workbook, a folder with CSV files directly in it, a CSV file, a SQLite
        file or an hour-meter feed in XML.

    Raises
    ------
    UnreadableFile
        If one of them is missing, not what its name says, or not safe to open.
    """
    sheets: list[Sheet] = []
    told: list[Problem] = []
    for given in paths:
        found, problems = _read_path(Path(given), shown(given))
        sheets += found
        told += problems
    if not sheets and not told:
        raise UnreadableFile("No logbook was given; name a workbook, a folder or a file.")
    tables = sum(table_named(sheet.name)[0] is not None for sheet in sheets)
    if tables > MOST_TABLES:
        raise UnreadableFile(
            f"{sheets[0].source}: {tables:,} sheets or files bear the name of a table, more than"
            f" the {MOST_TABLES} that can be joined at once; put the rows of a table together."
        )
    return sheets, told


def _read_path(path: Path, source: str) -> tuple[list[Sheet], list[Problem]]:
    try:
        if path.is_dir():
            return _read_folder(path, source)
        if not path.exists():
            raise UnreadableFile(f"{source}: there is no such file or folder; {_near(path)}")
        if not path.is_file():
            raise UnreadableFile(f"{source}: this is neither a file nor a folder; give a logbook.")
        return _read_file(path, source)
    except OSError as error:
        words = error.strerror or "not readable"
        raise UnreadableFile(
            f"{source}: cannot be opened ({words}); see that it is there and that you may read it."
        ) from error


def _near(path: Path) -> str:
    if not path.parent.is_dir():
        return f"the folder {shown(path.parent)} is not there either."
    names = sorted(other.name for other in path.parent.iterdir())
    close = get_close_matches(path.name, names, 1)
    return f"did you mean {shown(path.parent / close[0])}?" if close else "look at the spelling."


def _read_folder(path: Path, source: str) -> tuple[list[Sheet], list[Problem]]:
    files = sorted(file for file in path.iterdir() if file.is_file())
    own = [
        file
        for file in files
        if not file.name.startswith(("~$", ".")) and file.name.lower() not in _SYSTEM
    ]
    tables = [file for file in own if _is_table(file)]
    books = [shown(file.name) for file in own if file.suffix.lower() in _WORKBOOKS | _DATABASES]
    if not tables and books:
        raise UnreadableFile(
            f"{source}: no .csv file in this folder; to use {books[0]}, name the file itself."
        )
    if not tables:
        raise UnreadableFile(
            f"{source}: no .csv file directly in this folder; put readings.csv and"
            " changes.csv there."
        )
    told = [
        note(source, "", f"{name} in the folder was not read", "Name it to use it")
        for name in books
    ]
    sheets: list[Sheet] = []
    for file in tables:
        place = shown(Path(source) / file.name)
        try:
            sheets.append(read_csv(file, place))
        except UnreadableFile as error:
            if table_named(file.stem)[0] is not None:
                raise
            words = "bears no table's name and cannot be read; it was left out"
            why = str(error).removeprefix(f"{place}: ").rstrip(".")
            told.append(note(source, "", f"{shown(file.name)} {words}", f"If it counts: {why}"))
    return sheets, told


def _is_table(file: Path) -> bool:
    """A file of separated values, or another text file that bears a table's name."""
    ending = file.suffix.lower()
    return ending in (".csv", ".tsv") or (
        ending == ".txt" and table_named(file.stem)[0] is not None
    )


def _read_file(path: Path, source: str) -> tuple[list[Sheet], list[Problem]]:
    if path.name.startswith("~$"):
        words = "a lock file of a spreadsheet program was skipped"
        return [], [note(source, "", words, "Name the workbook without ~$")]
    with path.open("rb") as file:
        head = file.read(512)
    ending = path.suffix.lower()
    if head.startswith(MAGIC_SQLITE):
        return read_database(path, source)
    if head.startswith(MAGIC_ZIP) and ending != ".csv":
        return read_workbook(path, source), []
    if ending == ".xml":
        return [read_feed(path, source)], []
    if ending == ".json":
        raise UnreadableFile(
            f"{source}: JSON is not read as a logbook; export a feed as XML, tables as .csv."
        )
    if ending in _WORKBOOKS | _DATABASES:
        raise UnreadableFile(f"{source}: {_why_not(path, head, ending)}")
    return [read_csv(path, source)], []


def _directory(path: Path, head: bytes) -> bytes:
    """Where an old office file names what it holds (MS-CFB 2.2; remembered), and its beginning."""
    sector = 1 << min(int.from_bytes(head[30:32], "little"), 12)
    place = sector * (1 + int.from_bytes(head[48:52], "little"))
    with path.open("rb") as file:
        beginning = file.read(1_000_000)
        file.seek(min(place, path.stat().st_size))
        return beginning + file.read(65_536)


def _why_not(path: Path, head: bytes, ending: str) -> str:
    """Why a file with a workbook's or database's name is none, and the cure."""
    save = "open it in your spreadsheet program and save it as .xlsx."
    if not head:
        return "the file is empty (0 bytes); save or export it again."
    if head.startswith(MAGIC_OLE):
        if "EncryptedPackage".encode("utf-16-le") in _directory(path, head):
            return "the workbook is encrypted with a password; save a copy without the password."
        return f"this is a workbook of the old kind (.xls), which cannot be read here; {save}"
    if head.lstrip(b"\xef\xbb\xbf \t\r\n").lower().startswith((b"<html", b"<!doctype", b"<table")):
        return f"this is a web page called {ending}; {save}"
    if head.lstrip(b"\xef\xbb\xbf \t\r\n").startswith(b"<"):
        return f"this is XML called {ending}; {save}"
    if ending in _DATABASES:
        return "this is no SQLite file; export the database again."
    return f"this is no workbook, whatever its name says; {save}"
