"""LibreOffice at work on our workbooks: it computes them anew, prints and edits them."""

import html
import io
import re
import shutil
import subprocess
import tempfile
import zipfile
from functools import cache
from pathlib import Path

import openpyxl
import pytest

OFFICE = shutil.which("soffice")
needs_office = pytest.mark.skipif(OFFICE is None, reason="LibreOffice is not installed")
needs_poppler = pytest.mark.skipif(shutil.which("pdftotext") is None, reason="no poppler here")
_HOME = tempfile.TemporaryDirectory(prefix="office-")

_MODULE = """<?xml version="1.0" encoding="UTF-8"?>
<!DOCTYPE script:module PUBLIC "-//OpenOffice.org//DTD OfficeDocument 1.0//EN" "module.dtd">
<script:module xmlns:script="http://openoffice.org/2000/script" script:name="Clerk"
 script:language="StarBasic">{code}</script:module>
"""
_LIBRARY = """<?xml version="1.0" encoding="UTF-8"?>
<!DOCTYPE library:library PUBLIC "-//OpenOffice.org//DTD OfficeDocument 1.0//EN" "library.dtd">
<library:library xmlns:library="http://openoffice.org/2000/library" library:name="Standard"
 library:readonly="false" library:passwordprotected="false">
 <library:element library:name="Clerk"/></library:library>
"""
_CODE = """
Sub Work
  Dim load(0) As New com.sun.star.beans.PropertyValue
  Dim save(0) As New com.sun.star.beans.PropertyValue
  load(0).Name = "Hidden" : load(0).Value = True
  save(0).Name = "FilterName" : save(0).Value = "Calc MS Excel 2007 XML"
  book = StarDesktop.loadComponentFromURL("file://{place}/order.xlsx", "_blank", 0, load())
{steps}
  book.calculateAll()
  book.storeToURL("file://{place}/edited.xlsx", save())
  book.close(True)
End Sub
Sub SortBy(book, name, area, column, rising)
  Dim how(1) As New com.sun.star.beans.PropertyValue
  Dim field(0) As New com.sun.star.table.TableSortField
  field(0).Field = column : field(0).IsAscending = rising
  how(0).Name = "SortFields" : how(0).Value = field()
  how(1).Name = "ContainsHeader" : how(1).Value = False
  book.Sheets.getByName(name).getCellRangeByName(area).sort(how())
End Sub
Sub DeleteRow(book, name, row)
  book.Sheets.getByName(name).Rows.removeByIndex(row - 1, 1)
End Sub
Sub Type_(book, name, cell, value)
  book.Sheets.getByName(name).getCellRangeByName(cell).Value = value
End Sub
Sub Write_(book, name, cell, text)
  book.Sheets.getByName(name).getCellRangeByName(cell).String = text
End Sub
"""


def opened(content: bytes, **how: bool) -> openpyxl.Workbook:
    """The workbook as openpyxl reads it."""
    return openpyxl.load_workbook(io.BytesIO(content), **how)


def values(content: bytes) -> openpyxl.Workbook:
    """The workbook with the stored values in place of formulas."""
    return opened(content, data_only=True)


def converted(content: bytes, kind: str, place: Path) -> Path:
    """The workbook, computed and saved by LibreOffice."""
    (place / "order.xlsx").write_bytes(content)
    (place / "out").mkdir()
    _office("--convert-to", kind, "--outdir", str(place / "out"), str(place / "order.xlsx"))
    return place / "out" / f"order.{kind}"


def edited(content: bytes, place: Path, *steps: str) -> bytes:
    """The workbook after a clerk's steps: SortBy, DeleteRow, Type_ and Write_ above."""
    (place / "order.xlsx").write_bytes(content)
    home = _profile() / "user" / "basic" / "Standard"
    calls = "\n".join(f"  {step.replace('(', '(book, ', 1)}" for step in steps)
    code = html.escape(_CODE.format(place=place, steps=calls), quote=False)
    (home / "Clerk.xba").write_text(_MODULE.format(code=code))
    (home / "script.xlb").write_text(_LIBRARY)
    _office("macro:///Standard.Clerk.Work")
    return (place / "edited.xlsx").read_bytes()


@cache
def _profile() -> Path:
    """A profile of its own for this process, made by a first start: it would replace our macro."""
    _start(_HOME.name, "--terminate_after_init")
    return Path(_HOME.name)


def _office(*words: str) -> None:
    _start(str(_profile()), *words)


def _start(profile: str, *words: str) -> None:
    home = f"-env:UserInstallation=file://{profile}"
    command = [str(OFFICE), "--headless", "--norestore", home, *words]
    subprocess.run(command, check=True, capture_output=True, timeout=120)


def without_values(content: bytes) -> bytes:
    """The workbook with its formulas' values taken out, so that they must be computed anew."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(content)) as old, zipfile.ZipFile(out, "w") as new:
        for entry in old.infolist():
            data = old.read(entry)
            if entry.filename.startswith("xl/worksheets/sheet"):
                data = re.sub(rb"</f><v>[^<]*</v>", b"</f>", data)
            new.writestr(entry, data)
    return out.getvalue()


def shown(book: openpyxl.Workbook, sheet: str) -> list[list[object]]:
    """The rows of a sheet that show anything, without their blank cells."""
    rows = [[cell.value for cell in row if cell.value not in (None, "")] for row in book[sheet]]
    return [row for row in rows if row]
