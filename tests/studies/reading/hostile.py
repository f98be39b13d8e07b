"""Files made to hurt: each maker writes one into a folder and returns its path."""

import sqlite3
from collections.abc import Callable, Mapping
from pathlib import Path
from xml.sax.saxutils import escape

from tests.logbook.forge import READINGS, cell, pack, parts, save, sheet_xml, table_xml, with_size

SHEET = "xl/worksheets/sheet1.xml"
HEADINGS = ("machine", "date", "hours")
LAUGHS = "<!DOCTYPE x [<!ENTITY a0 'ha'>{}]>".format(
    "".join(f"<!ENTITY a{n} '{f'&a{n - 1};' * 10}'>" for n in range(1, 10))
)
MARKUP = (
    "<script>alert(1)</script>",
    "../../etc/passwd",
    "=cmd|' /C calc'!A0",
    "@SUM(1+1)",
    "{{ 7*7 }}",
    "%s%n%x",
    "a\u202eb",
    "\x1b[2J",
    "'; drop table machines; --",
    "M\u0301\u200b",
    "CON",
    "]]>&amp;",
)


def _text(folder: Path, rows: bytes) -> Path:
    return save(folder, b"machine,date,hours\n" + rows, "readings.csv")


def _rows(folder: Path, rows: str) -> Path:
    return save(folder, pack(parts(rows)))


def entity_bomb(folder: Path) -> Path:
    xml = sheet_xml(table_xml(("&a9;",)))
    return save(folder, pack(parts() | {SHEET: xml.replace("?>", f"?>{LAUGHS}", 1)}))


def entity_from_a_file(folder: Path) -> Path:
    doctype = "<!DOCTYPE x [<!ENTITY a SYSTEM 'file:///etc/hostname'>]>"
    xml = sheet_xml(table_xml(("&a;",))).replace("?>", f"?>{doctype}", 1)
    return save(folder, pack(parts() | {SHEET: xml}))


def one_long_entity_many_times(folder: Path) -> Path:
    doctype = f"<!DOCTYPE x [<!ENTITY a '{'x' * 100_000}'>]>"
    xml = sheet_xml(table_xml(("&a;" * 10_000,))).replace("?>", f"?>{doctype}", 1)
    return save(folder, pack(parts() | {SHEET: xml}))


def many_small_bombs(folder: Path) -> Path:
    more = {f"xl/worksheets/s{n}.xml": b" " * 1_900_000 for n in range(100)}
    return save(folder, pack(parts() | more))


def cell_beyond_any_sheet(folder: Path) -> Path:
    rows = f'<row r="99999999999">{cell("ZZZZZZZZ99999999999", "x")}</row>'
    return _rows(folder, READINGS + rows)


def a_dimension_over_the_whole_sheet(folder: Path) -> Path:
    xml = sheet_xml(READINGS).replace("<sheetData>", '<dimension ref="A1:XFD1048576"/><sheetData>')
    return save(folder, pack(parts() | {SHEET: xml}))


def one_sheet_listed_a_thousand_times(folder: Path) -> Path:
    entries = parts()
    entry = '<sheet name="readings" sheetId="1" state="visible" r:id="rId1"/>'
    entries["xl/workbook.xml"] = entries["xl/workbook.xml"].replace(entry, entry * 1_000)
    return save(folder, pack(entries))


def a_sheet_that_points_outside(folder: Path) -> Path:
    entries = parts()
    name = "xl/_rels/workbook.xml.rels"
    entries[name] = entries[name].replace("worksheets/sheet1.xml", "../../../../etc/passwd")
    return save(folder, pack(entries))


def markup_in_every_name(folder: Path) -> Path:
    texts = [escape(text.replace("\x1b", "_x001B_")) for text in MARKUP]
    rows = [(text, f"2026-01-{n:02d}", 100 * n) for n, text in enumerate(texts, 1)]
    return _rows(folder, table_xml(HEADINGS, *rows))


def markup_in_csv(folder: Path) -> Path:
    lines = ["machine,date,hours"]
    for number, text in enumerate(MARKUP, 1):
        lines.append(f'"{text}",2026-01-{number:02d},{number * 10}')
    return save(folder, "\n".join(lines).encode(), "readings.csv")


def csv_of_long_headings(folder: Path) -> Path:
    headings = ",".join(("machine" * 140)[n : n + 900] for n in range(90))
    return save(folder, f"machine,date,{headings}\nM-1,2026-01-01\n".encode(), "readings.csv")


def csv_of_control_characters(folder: Path) -> Path:
    text = "machine,date,hours\n" + "".join(
        f"M{chr(n % 31 + 1)},2026-01-05,{n}\n" for n in range(200)
    )
    return save(folder, text.encode(), "readings.csv")


def database_with_a_view_without_end(folder: Path) -> Path:
    base = sqlite3.connect(folder / "log.sqlite")
    with base:
        base.execute(
            "create view readings as with recursive n(x) as (select 1 union all select x + 1"
            " from n) select x as machine, x as date, x as hours from n"
        )
    base.close()
    return folder / "log.sqlite"


PLAIN: dict[str, Callable[[Path], Path]] = {
    "zip_bomb": lambda at: save(at, pack(parts() | {SHEET: b" " * 400_000_000})),
    "twenty_thousand_entries": lambda at: save(at, pack({f"{n}": "" for n in range(20_000)})),
    "size_forged_small": lambda at: save(
        at, with_size(pack(parts("<row/>" * 300_000)), SHEET, 100)
    ),
    "size_forged_large": lambda at: save(at, with_size(pack(parts()), SHEET, 2**32 - 2)),
    "far_cell": lambda at: _rows(
        at, READINGS + f'<row r="1048576">{cell("XFD1048576", "x")}</row>'
    ),
    "far_cell_in_every_row": lambda at: _rows(at, '<row><c r="CV1"><v>1</v></c></row>' * 50_000),
    "a_million_columns": lambda at: _rows(at, f"<row>{'<c><v>1</v></c>' * 120_000}</row>"),
    "blank_rows_to_the_end": lambda at: _rows(at, READINGS + "<row/>" * 300_000),
    "deeply_nested_xml": lambda at: _rows(at, "<x>" * 200_000 + "</x>" * 200_000),
    "an_attribute_of_a_million_letters": lambda at: _rows(
        at, f'<row r="{"1" * 1_000_000}"><c r="{"A" * 900_000}1"><v>1</v></c></row>'
    ),
    "a_number_of_a_million_digits": lambda at: _rows(
        at, READINGS + f'<row r="3"><c r="C3"><v>{"9" * 1_000_000}</v></c></row>'
    ),
    "csv_of_quotation_marks": lambda at: _text(at, b'"' + b'"a\n' * 30_000),
    "csv_of_open_quotations": lambda at: _text(at, b'"M-1,x,1\n' * 30_000),
    "csv_of_commas": lambda at: _text(at, b"," * 3_000_000),
    "csv_of_one_long_cell": lambda at: _text(at, b"M-1,x," + b"9" * 3_000_000),
    "csv_of_blank_lines": lambda at: _text(at, b"\n" * 300_000),
    "database_of_noise": lambda at: save(
        at, b"SQLite format 3\0" + bytes(range(256)) * 40, "log.sqlite"
    ),
}
"""Files of a line each, by name."""


def makers_in(module: Mapping[str, object]) -> dict[str, Callable[[Path], Path]]:
    """The makers that a module defines, by name."""
    own = {
        name: maker
        for name, maker in module.items()
        if getattr(maker, "__module__", "") == module["__name__"]
        and callable(maker) and name[0] != "_" and name != "makers_in"
    }  # fmt: skip
    return own | module["PLAIN"]
