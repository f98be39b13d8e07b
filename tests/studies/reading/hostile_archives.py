"""Zips made to hurt, and workbooks that are hostile beyond their zip: each maker writes one."""

import io
import struct
import zipfile
from collections.abc import Callable
from pathlib import Path

from tests.logbook.forge import READINGS, cell, pack, parts, save, sheet_xml, with_size
from tests.studies.reading.hostile import SHEET


def zip_in_a_zip_in_a_zip(folder: Path) -> Path:
    """Forty-two kilobytes of this kind hold petabytes, for whoever unpacks what was packed."""
    inner = pack({"0": b"0" * 1_000_000})
    for _ in range(4):
        inner = pack({str(n): inner for n in range(16)})
    return save(folder, pack(parts() | {"xl/media/image1.zip": inner}))


def entries_that_overlap(folder: Path) -> Path:
    """A hundred names in the directory for the bytes of one entry."""
    content = pack(parts() | {"xl/media/a": b"x" * 1_000_000})
    place = content.rindex(b"PK\x01\x02")
    end = content.rindex(b"PK\x05\x06")
    entry = content[place:end]
    more = b"".join(
        entry[:46] + f"xl/media/{n:02d}".encode()[:10].ljust(10, b"_") for n in range(99)
    )
    names = struct.unpack("<H", content[place + 28 : place + 30])[0]
    more = more if names == 10 else entry * 99
    return save(folder, _with_directory(content, more))


def _with_directory(content: bytes, more: bytes) -> bytes:
    """The zip with entries added to its directory, counted as they should be."""
    end = content.rindex(b"PK\x05\x06")
    count, size, start = struct.unpack("<HLL", content[end + 10 : end + 20])
    added = more.count(b"PK\x01\x02")
    tail = struct.pack("<HHLL", count + added, count + added, size + len(more), start)
    return content[:end] + more + content[end : end + 8] + tail + content[end + 20 :]


def directory_that_counts_wrong(folder: Path) -> Path:
    content = bytearray(pack(parts()))
    end = content.rindex(b"PK\x05\x06")
    content[end + 8 : end + 12] = struct.pack("<HH", 65_535, 65_535)
    return save(folder, bytes(content))


def directory_that_starts_beyond_the_end(folder: Path) -> Path:
    content = bytearray(pack(parts()))
    end = content.rindex(b"PK\x05\x06")
    content[end + 16 : end + 20] = struct.pack("<L", 2**32 - 2)
    return save(folder, bytes(content))


def directory_that_points_beyond_the_end(folder: Path) -> Path:
    content = bytearray(pack(parts()))
    place = content.rindex(b"PK\x01\x02")
    content[place + 42 : place + 46] = struct.pack("<L", 2**31)
    return save(folder, bytes(content))


def zip64_of_an_absurd_size(folder: Path) -> Path:
    """The directory says 2^63 bytes and as many entries, in the records for large zips."""
    content = pack(parts())
    end = content.rindex(b"PK\x05\x06")
    record = b"PK\x06\x06" + struct.pack("<QHHLLQQQQ", 44, 45, 45, 0, 0, *(2**63 - 1,) * 4)
    locator = b"PK\x06\x07" + struct.pack("<LQL", 0, end, 1)
    last = content[end : end + 8] + struct.pack("<HHLLH", 65_535, 65_535, 2**32 - 1, 2**32 - 1, 0)
    return save(folder, content[:end] + record + locator + last)


def zip64_that_points_nowhere(folder: Path) -> Path:
    content = pack(parts())
    end = content.rindex(b"PK\x05\x06")
    locator = b"PK\x06\x07" + struct.pack("<LQL", 0, 2**63, 1)
    return save(folder, content[:end] + locator + content[end:])


def sizes_only_after_the_data(folder: Path) -> Path:
    """Honest, and as programs that write to a pipe do it: sizes follow in a data descriptor."""

    class Pipe(io.BytesIO):
        def seekable(self) -> bool:
            return False

    memory = Pipe()
    with zipfile.ZipFile(memory, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in parts().items():
            archive.writestr(name, content)
    return save(folder, memory.getvalue())


def sizes_after_the_data_that_lie(folder: Path) -> Path:
    content = sizes_only_after_the_data(folder).read_bytes()
    return save(folder, with_size(content, SHEET, 2**31))


def names_that_climb_out(folder: Path) -> Path:
    more = {"../../../../tmp/x": b"x", "/etc/x": b"x", "C:\\x": b"x", "xl/worksheets/\0x": b"x"}
    return save(folder, pack(parts() | more))


def a_million_shared_texts(folder: Path) -> Path:
    strings = "".join(f"<si><t>{n * 7919 % 1_000_003}</t></si>" for n in range(1_000_000))
    row = '<row><c t="s"><v>999999</v></c></row>'
    return save(folder, pack(parts(READINGS + row, strings=strings)))


def a_shared_text_beyond_the_list(folder: Path) -> Path:
    rows = "".join(f'<row><c t="s"><v>{n}</v></c></row>' for n in (-1, 5, 2**40, "x", ""))
    return save(folder, pack(parts(READINGS + rows)))


def a_million_honest_columns(folder: Path) -> Path:
    cells = "".join(f"<c><v>{n * 7919 % 1_000_003}</v></c>" for n in range(1_000_000))
    return save(folder, pack(parts(f"<row>{cells}</row>")))


def days_from_1904_beyond_any_calendar(folder: Path) -> Path:
    days = (-1, 0, 59, 60, 2_957_003, 2_957_004, 2_958_466, 1e15, "1e308", "1e309", "nan", "-0.5")
    styles = '<cellXfs><xf numFmtId="0"/><xf numFmtId="14"/></cellXfs>'
    rows = "".join(
        f'<row>{cell("A9", "M-1")}<c s="1"><v>{day}</v></c><c><v>{n}</v></c></row>'
        for n, day in enumerate(days)
    )
    head = READINGS.replace('r="A2"', 'r="A2"')
    book = parts(head + rows, styles=styles, flags='date1904="1"')
    return save(folder, pack(book))


def formats_that_take_long_to_read(folder: Path) -> Path:
    """Number formats that make a careless pattern go back and forth for ever."""
    code = ("[" * 50_000) + ("&quot;" * 49_999) + "\\" * 9_999
    styles = f'<numFmts><numFmt numFmtId="164" formatCode="{code}"/></numFmts>'
    styles += '<cellXfs><xf numFmtId="164"/></cellXfs>'
    return save(folder, pack(parts(styles=styles)))


def a_hundred_thousand_name_spaces(folder: Path) -> Path:
    spaces = " ".join(f'xmlns:n{n}="u{n * 7919}"' for n in range(100_000))
    return save(folder, pack(parts(f"{READINGS}<x {spaces}/>")))


def hundreds_of_sheets_of_one_name(folder: Path) -> Path:
    entries = parts()
    book, links, sheet = "xl/workbook.xml", "xl/_rels/workbook.xml.rels", entries[SHEET]
    listed, pointed = "", ""
    for n in range(400):
        listed += f'<sheet name="readings" sheetId="{n + 2}" r:id="x{n}"/>'
        pointed += f'<Relationship Id="x{n}" Type="t/worksheet" Target="worksheets/x{n}.xml"/>'
        entries[f"xl/worksheets/x{n}.xml"] = sheet
    entries[book] = entries[book].replace("</sheets>", f"{listed}</sheets>")
    entries[links] = entries[links].replace("</Relationships>", f"{pointed}</Relationships>")
    return save(folder, pack(entries))


def a_merged_area_over_the_whole_sheet(folder: Path) -> Path:
    area = '<mergeCells><mergeCell ref="A1:XFD1048576"/></mergeCells>'
    return save(folder, pack(parts() | {SHEET: _behind_the_rows(READINGS, area)}))


def merged_columns_without_an_end(folder: Path) -> Path:
    names = [chr(65 + n // 26 - 1).strip("@") + chr(65 + n % 26) for n in range(99)]
    tops = "".join(cell(f"{name}2", "v") for name in names)
    tail = "".join(f'<row r="{n}"><c r="CV{n}"><v>{n}</v></c></row>' for n in range(3, 15_000))
    areas = "".join(f'<mergeCell ref="{name}2:{name}1048576"/>' for name in names)
    rows = f'<row r="2">{tops}</row>{tail}'
    xml = _behind_the_rows(rows, f"<mergeCells>{areas}</mergeCells>")
    return save(folder, pack(parts() | {SHEET: xml}))


def _behind_the_rows(rows: str, xml: str) -> str:
    return sheet_xml(rows).replace("</sheetData>", f"</sheetData>{xml}")


def a_zip_in_the_comment_of_a_zip(folder: Path) -> Path:
    memory = io.BytesIO(pack(parts()))
    with zipfile.ZipFile(memory, "a") as archive:
        archive.comment = pack(parts())[:60_000]
    return save(folder, memory.getvalue())


def checksums_that_are_wrong(folder: Path) -> Path:
    content = bytearray(pack(parts()))
    for magic, at in ((b"PK\3\4", 14), (b"PK\1\2", 16)):
        place = -1
        while (place := content.find(magic, place + 1)) >= 0:
            content[place + at : place + at + 4] = b"\1\2\3\4"
    return save(folder, bytes(content))


PLAIN: dict[str, Callable[[Path], Path]] = {
    "a_name_with_no_end": lambda at: save(at, pack(parts() | {"x" * 60_000: b""})),
    "a_zip_behind_a_zip": lambda at: save(at, pack(parts()) + pack(parts(READINGS + "<row/>"))),
    "a_picture_that_is_a_bomb": lambda at: save(
        at, pack(parts() | {"xl/media/image1.png": b"\0" * 250_000_000})
    ),
}
"""Files of a line each, by name."""
