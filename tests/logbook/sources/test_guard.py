"""Workbooks that would flood a computer are refused before any parser sees them."""

import zipfile
from pathlib import Path

import openpyxl
import pytest

from tests.logbook.forge import READINGS, cell, pack, parts, save, sheet_xml, with_size
from wearcast.errors import UnreadableFile
from wearcast.logbook.sources import guard
from wearcast.logbook.sources.xlsx_cells import read_workbook

UNSAFE = (
    "book.xlsx: this workbook is not safe to open ({}); open it in your spreadsheet program and"
    " save it under a new name."
)
BROKEN = (
    "book.xlsx: the workbook is cut short or damaged; copy it again from where it came from, or"
    " open it in your spreadsheet program and save it under a new name."
)
ENTITIES = (
    "book.xlsx: its XML declares entities, which no spreadsheet does and which can flood a"
    " computer; open it in your spreadsheet program and save it under a new name."
)
SHEET = "xl/worksheets/sheet1.xml"


@pytest.fixture
def refusal(tmp_path: Path):
    def of(content: bytes) -> str:
        with pytest.raises(UnreadableFile) as refused:
            read_workbook(save(tmp_path, content), "book.xlsx")
        return str(refused.value)

    return of


def test_the_hardened_parser_is_the_one_in_use():
    assert guard.DefusedXMLParser.__module__ == "defusedxml.ElementTree"
    assert openpyxl.DEFUSEDXML


def test_a_sheet_of_ordinary_size_passes(tmp_path: Path):
    rows = "".join(
        f'<row r="{place}">{cell(f"A{place}", place * 1.37)}</row>' for place in range(1, 60_000)
    )
    (sheet,) = read_workbook(save(tmp_path, pack(parts(rows))), "book.xlsx")
    assert len(sheet.rows) == 59_999


def test_a_packed_sea_of_zeros_is_refused(refusal):
    blank = sheet_xml("<row/>" * 3_000_000)
    message = refusal(pack(parts() | {SHEET: blank}))
    assert "would grow" in message
    assert message.startswith("book.xlsx: this workbook is not safe to open (a file in it")


def test_a_list_of_formats_without_end_is_refused(refusal):
    styles = "<cellXfs>" + "<xf/>" * 150_000 + "</cellXfs>"
    assert refusal(pack(parts(styles=styles))) == UNSAFE.format("xl/styles.xml goes on and on")


@pytest.mark.parametrize("method", [zipfile.ZIP_BZIP2, zipfile.ZIP_LZMA])
def test_packing_that_no_spreadsheet_uses_is_refused(refusal, method: int):
    assert refusal(pack(parts(), method)) == UNSAFE.format("packed in a way no spreadsheet uses")


def test_an_entry_that_says_it_is_smaller_than_it_is_is_refused(refusal):
    assert refusal(with_size(pack(parts()), SHEET, 20)) == BROKEN


def test_an_encrypted_entry_is_refused(refusal):
    content = bytearray(pack(parts()))
    place = content.rfind(b"PK\x01\x02")
    content[place + 8] |= 1
    assert refusal(bytes(content)) == UNSAFE.format("files in it are encrypted")


def test_entries_that_share_their_bytes_are_refused(refusal):
    content = bytearray(pack(parts()))
    first, second = (
        content.find(b"PK\x01\x02"),
        content.find(b"PK\x01\x02") + 46 + len("_rels/.rels"),
    )
    assert content[second : second + 4] == b"PK\x01\x02"
    content[second + 42 : second + 46] = content[first + 42 : first + 46]
    assert refusal(bytes(content)) in (UNSAFE.format("files in it overlap"), BROKEN)


def test_an_entry_that_bears_two_names_is_refused(refusal):
    content = pack(parts())
    place = content.find(SHEET.encode())
    assert refusal(content[:place] + b"X" + content[place + 1 :]) == BROKEN


@pytest.mark.parametrize("block", range(10))
def test_no_byte_of_a_workbook_can_break_more_than_the_workbook(block: int, tmp_path: Path):
    content = pack(parts())
    for place in range(block, len(content), 10):
        changed = bytearray(content)
        changed[place] ^= 0xFF
        path = save(tmp_path, bytes(changed))
        try:
            sheets = read_workbook(path, "book.xlsx")
        except UnreadableFile:
            continue
        assert len(sheets) == 1


LAUGHS = (
    '<!DOCTYPE x [<!ENTITY a "ha"><!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;&a;&a;">'
    '<!ENTITY c "&b;&b;&b;&b;&b;&b;&b;&b;&b;&b;">]>'
)
OUTSIDE = '<!DOCTYPE x [<!ENTITY a SYSTEM "file:///etc/hostname">]>'


@pytest.mark.parametrize("part", sorted(set(parts())))
@pytest.mark.parametrize("doctype", [LAUGHS, OUTSIDE, "<!DOCTYPE x>"], ids=["bomb", "file", "bare"])
def test_a_doctype_in_any_part_is_refused(refusal, part: str, doctype: str):
    entries = parts()
    head, mark, rest = entries[part].partition("?>")
    assert refusal(pack(entries | {part: head + mark + doctype + rest})) == ENTITIES


def test_a_doctype_in_another_encoding_is_refused(refusal):
    text = sheet_xml(READINGS).replace("UTF-8", "UTF-16").replace("?>", f"?>{LAUGHS}", 1)
    assert refusal(pack(parts() | {SHEET: text.encode("utf-16")})) == ENTITIES


@pytest.mark.parametrize("share", [0.1, 0.5, 0.9, 0.99])
def test_a_workbook_cut_short_is_refused(refusal, share: float):
    content = pack(parts())
    assert refusal(content[: int(len(content) * share)]) == BROKEN


def test_sheet_xml_that_breaks_off_is_refused(refusal):
    assert refusal(pack(parts() | {SHEET: sheet_xml(READINGS)[:-20]})) == BROKEN
