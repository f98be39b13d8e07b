"""Workbooks of records as sites keep them, and mappings as a person writes them."""

from pathlib import Path

from openpyxl import Workbook

from wearcast.logbook.book import Logbook, read_logbook


def records(path: Path, **sheets: list[list[object]]) -> Path:
    """A workbook; blanks in the names of sheets are written as ``_``."""
    book = Workbook()
    book.remove(book.worksheets[0])
    for name, rows in sheets.items():
        sheet = book.create_sheet(name.replace("_", " "))
        for row in rows:
            sheet.append(row)
    path.parent.mkdir(parents=True, exist_ok=True)
    book.save(path)
    return path


def mapping(path: Path, columns: str, words: str = "") -> Path:
    """A workbook of the two tables from lines with commas between."""
    heads = {
        "columns": ["table", "sheet", "theirs", "ours"],
        "words": ["table", "column", "theirs", "ours", "position", "action", "cause"],
    }
    sheets: dict[str, list[list[object]]] = {}
    for name, text in (("columns", columns), ("words", words)):
        lines = [line.strip().split(",") for line in text.strip().splitlines()]
        sheets[name] = [heads[name], *([cell or None for cell in line] for line in lines)]
    return records(path, **sheets)


def lines_of(table: str, of: str, pairs: str) -> str:
    """Lines of one table and sheet, or column, from what is theirs and ours: ``Tag date | ...``."""
    each = (pair.rpartition(" ") for pair in pairs.split(" | "))
    return "\n".join(f"{table},{of},{theirs},{ours}" for theirs, _, ours in each)


def read(folder: Path, columns: str, words: str = "", **sheets: list[list[object]]) -> Logbook:
    """Records of these sheets, read through the mapping."""
    book = records(folder / "log.xlsx", **sheets)
    return read_logbook(book, mapping(folder / "mapping.xlsx", columns, words))


def readings_of(book: Logbook) -> list[tuple[str, str, float]]:
    rows = book.readings[["machine", "date", "hours"]].itertuples(index=False)
    return [(machine, f"{day:%Y-%m-%d}", hours) for machine, day, hours in rows]


def changes_of(book: Logbook) -> list[tuple[str, ...]]:
    """Machine, date, position, action and cause of the changes that were observed."""
    rows = book.changes[book.changes["observed"]]
    names = ["machine", "date", "position", "action", "cause"]
    shown = rows[names].assign(date=rows["date"].dt.strftime("%Y-%m-%d"))
    return list(shown.itertuples(index=False, name=None))
