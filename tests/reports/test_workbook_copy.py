"""Which workbooks are copied with their looks, and which cell by cell."""

import zipfile
from pathlib import Path

import openpyxl
import pytest

from tests.logbook.forge import pack, save
from wearcast.logbook.sources.files import read_sheets
from wearcast.logbook.sources.sheet import Sheet
from wearcast.reports.workbook_copy import MOST_ELEMENTS, MOST_REST, own_copy, plain_copy

SHEET = "xl/worksheets/sheet1.xml"


@pytest.fixture
def entries(tmp_path: Path) -> dict[str, bytes]:
    """A sound workbook as the library itself writes it."""
    book = openpyxl.Workbook()
    page = book.active
    page.title = "readings"
    page.append(["machine", "date", "hours"])
    page.append(["M-1", "2026-01-05", 1204.5])
    book.save(tmp_path / "sound.xlsx")
    with zipfile.ZipFile(tmp_path / "sound.xlsx") as archive:
        return {name: archive.read(name) for name in archive.namelist()}


def with_looks(folder: Path, entries: dict[str, bytes]) -> bool:
    path = save(folder, pack(entries))
    sheets, _ = read_sheets([path])
    return own_copy([path], sheets) is not None


def test_a_workbook_is_copied_with_its_looks(tmp_path: Path, entries):
    assert with_looks(tmp_path, entries)


def beside(xml: str) -> str:
    return f"</sheetData>{xml}"


TOO_MUCH = {
    "many areas": "<mergeCells>"
    + "".join(f'<mergeCell ref="F{at}:Z{at + 98}"/>' for at in range(20, 2000, 99))
    + "</mergeCells>",
    "an area of no known size": '<mergeCells><mergeCell ref="here"/></mergeCells>',
    "a note's many areas": '<conditionalFormatting sqref="'
    + " ".join(f"F{at}" for at in range(MOST_ELEMENTS + 50))
    + '"/>',
    "one long text": f"<x>{''.join(f'{at:x}' for at in range(1_500_000))}</x>",
}


@pytest.mark.parametrize("xml", TOO_MUCH.values(), ids=TOO_MUCH)
def test_what_the_library_would_make_too_much_of_is_copied_plainly(xml, tmp_path: Path, entries):
    entries[SHEET] = entries[SHEET].replace(b"</sheetData>", beside(xml).encode())
    assert not with_looks(tmp_path, entries)


def test_a_sheet_is_weighed_wherever_it_lies(tmp_path: Path, entries):
    area = beside('<mergeCells><mergeCell ref="F9:XFD1048576"/></mergeCells>')
    entries["xl/tab/x.xml"] = entries.pop(SHEET).replace(b"</sheetData>", area.encode())
    for name in ("xl/_rels/workbook.xml.rels", "[Content_Types].xml"):
        entries[name] = entries[name].replace(SHEET.encode(), b"xl/tab/x.xml")
    assert not with_looks(tmp_path, entries)


def test_empty_cells_weigh_and_filled_ones_may_be_many(tmp_path: Path, entries):
    def rows(inside: str) -> bytes:
        made = (
            f'<row r="{at}">{"".join(inside.format(c, at) for c in "ABC")}</row>'
            for at in range(3, 10_003)
        )
        return f"{''.join(made)}</sheetData>".encode()

    empty = entries[SHEET].replace(b"</sheetData>", rows('<c r="{0}{1}" s="0"/>'))
    filled = entries[SHEET].replace(b"</sheetData>", rows('<c r="{0}{1}"><v>{1}</v></c>'))
    assert not with_looks(tmp_path, entries | {SHEET: empty})
    assert with_looks(tmp_path, entries | {SHEET: filled})


def test_large_styles_are_not_copied_and_shared_texts_may_be_large(tmp_path: Path, entries):
    words = "".join(f"{at:x}" for at in range(MOST_REST // 4)).encode()
    shared = b"<sst><si><t>" + words + b"</t></si></sst>"
    assert with_looks(tmp_path, entries | {"xl/sharedStrings.xml": shared})
    assert not with_looks(tmp_path, entries | {"xl/notes.xml": b"<x>" + words + b"</x>"})


def test_a_plain_copy_holds_the_sheets_it_is_given():
    sheets = [Sheet("log.sqlite", name, [["a"]], [1]) for name in ("readings", "diary")]
    book, placed = plain_copy(sheets)
    assert book.sheetnames == ["readings", "diary"]
    assert [sheet.name for sheet, _ in placed] == ["readings", "diary"]
