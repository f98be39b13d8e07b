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
from pathlib import Path

import openpyxl
from openpyxl.cell.cell import ILLEGAL_CHARACTERS_RE, Cell, MergedCell
from openpyxl.utils.cell import range_boundaries
from openpyxl.workbook.workbook import Workbook
from openpyxl.worksheet.worksheet import Worksheet

from wearcast.logbook.files.guard import listen, open_entry, open_zip
from wearcast.logbook.files.sources import Sheet
from wearcast.reports.workbook.sheets import sheet_names

LAST_ROW = 1_048_576
WIDEST_RANGE = 100_000
"""Cells of one merged or linked area; the library that copies would make each of them."""
OURS = b"marked copy by wearcast"
"""The zip's comment: a program that saves the copy again drops it."""
_NO_CLOCK = datetime.datetime(2000, 1, 1)


Placed = list[tuple[Sheet, str]]
"""Each sheet that was read, and the title of the copy's sheet that shows it."""


def own_copy(logbooks: Sequence[str | Path], sheets: Sequence[Sheet]) -> Workbook | None:
    """The person's own workbook; None if it is none, or the library cannot copy it."""
    if len(logbooks) != 1:
        return None
    book = _copied(Path(logbooks[0]))
    complete = book is not None and {sheet.name for sheet in sheets} <= set(book.sheetnames)
    return book if complete else None


def _copied(path: Path) -> Workbook | None:
    if not zipfile.is_zipfile(path):
        return None
    with open_zip(path, str(path)) as archive:
        if _widest_range(archive, str(path)) > WIDEST_RANGE:
            return None
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            return openpyxl.load_workbook(path)
    except Exception:
        # The library stops at odd workbooks in many ways of its own; the cells were read by our
        # own reader, so that a plain copy can be made all the same.
        return None


def _widest_range(archive: zipfile.ZipFile, source: str) -> int:
    """Cells in the largest merged or linked area of any sheet."""
    widest = 0

    def look(tag: str, attributes: dict[str, str]) -> None:
        nonlocal widest
        if tag in ("mergeCell", "hyperlink"):
            widest = max(widest, _cells_in(attributes.get("ref", "")))

    for name in archive.namelist():
        if "worksheets/" in name and name.endswith(".xml"):
            with open_entry(archive, name, source) as stream:
                listen(stream, source, look)
    return widest


def _cells_in(area: str) -> int:
    """Cells in an area such as ``B2:C9``; more than any limit where it cannot be told."""
    try:
        left, top, right, bottom = range_boundaries(area)
        return int((abs(right - left) + 1) * (abs(bottom - top) + 1))  # type: ignore[operator]
    except (ValueError, TypeError):
        return WIDEST_RANGE + 1


def plain_copy(sheets: Sequence[Sheet]) -> tuple[Workbook, Placed]:
    """A workbook with the cells of every sheet, each on its own row."""
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
