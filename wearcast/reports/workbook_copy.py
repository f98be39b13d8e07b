"""A copy of a logbook as a workbook that can be marked, and its bytes.

One workbook is copied with its looks and formulas. Folders of CSV, databases and several
logbooks become a workbook with a sheet a table, every cell on the row where the person sees it.
"""

import datetime
import io
import re
import warnings
import zipfile
from collections.abc import Iterable, Sequence
from math import inf
from pathlib import Path

import openpyxl
from openpyxl.cell.cell import ILLEGAL_CHARACTERS_RE, Cell, MergedCell
from openpyxl.utils.cell import range_boundaries
from openpyxl.workbook.workbook import Workbook
from openpyxl.worksheet.worksheet import Worksheet

from wearcast.logbook.sources.files import Sheet
from wearcast.logbook.sources.guard import listen, open_entry, open_zip
from wearcast.logbook.sources.xlsx_parts import read_book
from wearcast.reports.workbook.sheets import sheet_names

LAST_ROW = 1_048_576
MOST_ELEMENTS, MOST_A_CELL = 30_000, 4
"""Elements of a workbook that is copied with its looks: so many, and so many a filled cell."""
LONG_CELL, SHARED = 200, 10
"""Bytes of a sheet that weigh as much as an element; elements that a shared formula weighs."""
MOST_REST = 1_000_000
"""Bytes of its styles, names, notes and charts, unpacked."""
OURS = b"marked copy by wearcast"
"""The zip's comment: a program that saves the copy again drops it."""
_NO_CLOCK = datetime.datetime(2000, 1, 1)


Placed = list[tuple[Sheet, str]]
"""Each sheet that was read, and the title of the copy's sheet that shows it."""


def own_copy(logbooks: Sequence[str | Path], sheets: Sequence[Sheet]) -> Workbook | None:
    """The person's own workbook; None if it is none, or too much for the library that copies."""
    if len(logbooks) != 1:
        return None
    filled = sum(cell is not None for sheet in sheets for row in sheet.rows for cell in row)
    book = _copied(Path(logbooks[0]), MOST_ELEMENTS + MOST_A_CELL * filled)
    complete = book is not None and {sheet.name for sheet in sheets} <= set(book.sheetnames)
    return book if complete else None


def _copied(path: Path, most: int) -> Workbook | None:
    if not zipfile.is_zipfile(path):
        return None
    with open_zip(path, str(path)) as archive:
        if not _is_light(archive, str(path), most):
            return None
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            return openpyxl.load_workbook(path)
    except Exception:
        # The library stops at odd workbooks in many ways of its own; the cells were read by our
        # own reader, so that a plain copy can be made all the same.
        return None


class _TooMuch(Exception):
    """More than the library that copies can hold."""


def _is_light(archive: zipfile.ZipFile, source: str, most: float) -> bool:
    """Whether the sheets hold no more elements than that, and all else in the workbook is small.

    The library makes an object of each element: of empty cells, too, and of each cell of an area.
    """
    own = {entry for _, entry, _ in read_book(archive, source).sheets}
    sizes = {one.filename: one.file_size for one in archive.infolist()}
    rest = [size for name, size in sizes.items() if name not in own and _is_read(name)]
    found = sum(sizes[name] for name in own) / LONG_CELL

    def look(tag: str, attributes: dict[str, str]) -> None:
        nonlocal found
        found += 1 + attributes.get("sqref", "").count(" ")
        if tag in ("mergeCell", "hyperlink"):
            found += _cells_in(attributes.get("ref", ""))
        elif tag == "f" and attributes.get("t") == "shared":
            found += SHARED
        if found > most:
            raise _TooMuch

    try:
        for name in own if sum(rest) <= MOST_REST else ():
            with open_entry(archive, name, source) as stream:
                listen(stream, source, look)
    except _TooMuch:
        return False
    return sum(rest) <= MOST_REST


def _is_read(name: str) -> bool:
    """Whether the library reads a part as XML that no rows of a table lie in."""
    low = name.lower()
    return low.endswith(".xml") and not low.endswith(("sharedstrings.xml", "calcchain.xml"))


def _cells_in(area: str) -> float:
    """Cells in an area such as ``B2:C9``; no end to them where it cannot be told."""
    try:
        left, top, right, bottom = range_boundaries(area)
        return int((abs(right - left) + 1) * (abs(bottom - top) + 1))  # type: ignore[operator]
    except (ValueError, TypeError):
        return inf


def plain_copy(sheets: Sequence[Sheet]) -> tuple[Workbook, Placed]:
    """A workbook with the cells of these sheets, each on its own row."""
    book = Workbook()
    book.remove(book.worksheets[0])
    book.properties.created = _NO_CLOCK
    book.properties.creator = "wearcast"
    labels = [f"{sheet.name}\n{place}" for place, sheet in enumerate(sheets)]
    titles = _titles([sheet.name for sheet in sheets], labels)
    placed: Placed = []
    for sheet, label in zip(sheets, labels, strict=True):
        page = book.create_sheet(titles[label])
        for number, row in zip(sheet.row_numbers, sheet.rows, strict=True):
            if number <= LAST_ROW:
                _write_row(page, number, row)
        placed.append((sheet, page.title))
    return book, placed


def _titles(names: Sequence[str], labels: Sequence[str]) -> dict[str, str]:
    """A title for each label; the first sheet of a name keeps the plain name."""
    titles: dict[str, str] = {}
    for name, label in zip(names, labels, strict=True):
        titles[label] = sheet_names([name or "sheet"], titles.values())[name or "sheet"]
    return titles


def _write_row(page: Worksheet, number: int, row: Iterable[object]) -> None:
    for place, value in enumerate(row, 1):
        if value is not None and value != "":
            write_inert(page.cell(number, place), value)


def write_inert(cell: Cell | MergedCell, value: object) -> None:
    """A value as it stands; a text is never a formula and holds no control characters."""
    plain = isinstance(value, bool | int | float | datetime.datetime | datetime.date)
    cell.value = value if plain else clean(str(value))  # type: ignore[assignment]
    if not plain:
        cell.data_type = "s"


def clean(text: str) -> str:
    """The text without the characters that a workbook cannot hold."""
    return ILLEGAL_CHARACTERS_RE.sub("�", text)


def bytes_of(book: Workbook) -> bytes:
    """The workbook as bytes that know no clock, with our mark at the end."""
    memory, fixed = io.BytesIO(), io.BytesIO()
    book.save(memory)
    with zipfile.ZipFile(memory) as saved, zipfile.ZipFile(fixed, "w") as archive:
        for entry in saved.infolist():
            content = saved.read(entry)
            if entry.filename == "docProps/core.xml":
                content = _MODIFIED.sub(rb"\g<1>2000-01-01T00:00:00Z<", content)
            info = zipfile.ZipInfo(entry.filename, (1980, 1, 1, 0, 0, 0))
            archive.writestr(info, content, zipfile.ZIP_DEFLATED)
        archive.comment = OURS
    return fixed.getvalue()


_MODIFIED = re.compile(rb"(<dcterms:modified[^>]*>)[^<]*<")
