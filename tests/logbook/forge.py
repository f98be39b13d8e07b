"""Workbooks made by hand, part by part, honest or hostile; no spreadsheet library is asked."""

import io
import struct
import zipfile
from pathlib import Path

MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
OFFICE = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
PACKAGE = "http://schemas.openxmlformats.org/package/2006/relationships"
HEAD = '<?xml version="1.0" encoding="UTF-8"?>'


def sheet_xml(rows: str) -> str:
    return f'{HEAD}<worksheet xmlns="{MAIN}"><sheetData>{rows}</sheetData></worksheet>'


def cell(reference: str, value: object) -> str:
    if isinstance(value, str):
        return f'<c r="{reference}" t="inlineStr"><is><t>{value}</t></is></c>'
    return f'<c r="{reference}"><v>{value}</v></c>'


def table_xml(*rows: tuple[object, ...]) -> str:
    """Sheet data from plain rows, from A1 on."""
    return "".join(
        f'<row r="{number}">'
        + "".join(cell(f"{chr(65 + place)}{number}", value) for place, value in enumerate(row))
        + "</row>"
        for number, row in enumerate(rows, 1)
    )


READINGS = table_xml(("machine", "date", "hours"), ("M-1", "2026-01-05", 1204.5))


def links(*targets: tuple[str, str]) -> str:
    inside = "".join(
        f'<Relationship Id="rId{place}" Type="{OFFICE}/{kind}" Target="{target}"/>'
        for place, (kind, target) in enumerate(targets, 1)
    )
    return f'{HEAD}<Relationships xmlns="{PACKAGE}">{inside}</Relationships>'


def parts(
    rows: str = READINGS,
    name: str = "readings",
    strings: str = "",
    styles: str = "",
    flags: str = "",
    state: str = "visible",
) -> dict[str, str]:
    """The parts of a workbook with one sheet."""
    sheet = f'<sheet name="{name}" sheetId="1" state="{state}" r:id="rId1"/>'
    return {
        "_rels/.rels": links(("officeDocument", "xl/workbook.xml")),
        "xl/workbook.xml": f'{HEAD}<workbook xmlns="{MAIN}" xmlns:r="{OFFICE}">'
        f"<workbookPr {flags}/><sheets>{sheet}</sheets></workbook>",
        "xl/_rels/workbook.xml.rels": links(
            ("worksheet", "worksheets/sheet1.xml"),
            ("sharedStrings", "sharedStrings.xml"),
            ("styles", "styles.xml"),
        ),
        "xl/worksheets/sheet1.xml": sheet_xml(rows),
        "xl/sharedStrings.xml": f'{HEAD}<sst xmlns="{MAIN}">{strings}</sst>',
        "xl/styles.xml": f'{HEAD}<styleSheet xmlns="{MAIN}">{styles}</styleSheet>',
    }


def pack(entries: dict[str, str | bytes], method: int = zipfile.ZIP_DEFLATED) -> bytes:
    memory = io.BytesIO()
    with zipfile.ZipFile(memory, "w", method) as archive:
        for name, content in entries.items():
            archive.writestr(name, content)
    return memory.getvalue()


def with_size(content: bytes, entry: str, declared: int) -> bytes:
    """The zip, lying about the unpacked size of one entry in both of its headers."""
    forged = bytearray(content)
    name = entry.encode()
    for magic, size_at, name_at in ((b"PK\x03\x04", 22, 30), (b"PK\x01\x02", 24, 46)):
        place = 0
        while (place := content.find(magic, place)) >= 0:
            if content[place + name_at : place + name_at + len(name)] == name:
                forged[place + size_at : place + size_at + 4] = struct.pack("<L", declared)
            place += 4
    return bytes(forged)


def save(folder: Path, content: bytes, name: str = "book.xlsx") -> Path:
    path = folder / name
    path.write_bytes(content)
    return path
