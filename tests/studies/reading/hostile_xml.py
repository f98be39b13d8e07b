"""Workbooks whose XML is made to hurt: each maker writes one into a folder and returns its path.

Random digits keep the files from being packed so hard that the zip alone gives them away.
"""

import random
from collections.abc import Callable
from pathlib import Path

from tests.logbook.forge import MAIN, OFFICE, READINGS, cell, pack, parts, save, sheet_xml
from tests.studies.reading.hostile import SHEET


def _digits(count: int) -> str:
    return random.Random(7).randbytes(count // 2).hex()


def _odd(number: int) -> int:
    return number * 2_654_435_761 % 4_294_967_291


def _after(folder: Path, xml: str) -> Path:
    """The sound rows, and XML of no meaning behind them."""
    return save(folder, pack(parts(READINGS + xml)))


def _sheet(folder: Path, xml: str | bytes) -> Path:
    return save(folder, pack(parts() | {SHEET: xml}))


def _named(folder: Path, encoding: str) -> Path:
    """The plain sheet, which says that it is in another encoding."""
    return _sheet(folder, sheet_xml(READINGS).replace("UTF-8", encoding))


def _many(folder: Path, count: int, tag: Callable[[int], str]) -> Path:
    return _after(folder, "".join(map(tag, range(count))))


def _encoded(folder: Path, encoding: str) -> Path:
    """A sheet with a DOCTYPE, hidden from whoever looks for its letters in the bytes."""
    xml = sheet_xml(READINGS).replace("UTF-8", encoding).replace("?>", "?><!DOCTYPE x>", 1)
    return _sheet(folder, xml.encode(encoding))


def a_tag_of_two_hundred_thousand_attributes(folder: Path) -> Path:
    attributes = " ".join(f'a{_odd(n)}=""' for n in range(200_000))
    return _after(folder, f"<x {attributes}/>")


def tags_of_many_attributes_each_another(folder: Path) -> Path:
    tags = (" ".join(f'a{_odd(100 * n + k)}=""' for k in range(100)) for n in range(2_000))
    return _after(folder, "".join(f"<x {tag}/>" for tag in tags))


def a_name_space_as_long_as_it_may_be(folder: Path) -> Path:
    inside = "".join(f'<a:y a:b{_odd(n) % 99}="1"/>' for n in range(60_000))
    return _after(folder, f'<x xmlns:a="{_digits(1_000)}">{inside}</x>')


def a_long_default_name_space(folder: Path) -> Path:
    xml = sheet_xml(READINGS + "".join(f"<y{_odd(n)}/>" for n in range(9_000)))
    return _sheet(folder, xml.replace(MAIN, _digits(100_000)))


def references_to_letters(folder: Path) -> Path:
    letters = "".join(f"&#{20_000 + _odd(n) % 20_000};" for n in range(200_000))
    return _after(folder, f'<row r="3"><c t="inlineStr"><is><t>{letters}</t></is></c></row>')


def parameter_entities(folder: Path) -> Path:
    doctype = '<!DOCTYPE x [<!ENTITY % p SYSTEM "file:///etc/hostname">%p;]>'
    xml = sheet_xml(READINGS).replace("?>", f"?>{doctype}", 1)
    return _sheet(folder, xml)


def an_inclusion_of_a_file(folder: Path) -> Path:
    inclusion = (
        '<i:include xmlns:i="http://www.w3.org/2001/XInclude" href="file:///etc/hostname"'
        ' parse="text"/>'
    )
    return _after(folder, f'<x xml:base="http://127.0.0.1:9/">{inclusion}</x>')


def cells_within_cells(folder: Path) -> Path:
    inner = '<c r="B9"><v>1</v></c><row r="10"><v>5</v></row>'
    return _after(folder, f'<row r="9"><c r="A9">{inner}</c></row>')


def rows_whose_numbers_are_odd(folder: Path) -> Path:
    numbers = ("-5", "0", "2", "1", "1048577", "9" * 500, "x", "1e3", "2.5", "\uff11")
    rows = (
        f'<row r="{number}" spans="1:{"9" * 20}" ht="1e308">{cell("A1", "M-1")}'
        f"{cell('B1', f'2026-02-{day:02d}')}{cell('C1', day)}</row>"
        for day, number in enumerate(numbers, 1)
    )
    return _after(folder, "".join(rows))


def dates_beyond_all_measure(folder: Path) -> Path:
    dates = ("0001-01-01", "9999-12-31T23:59:59.999999", "2026-01-05T24:00:00", "--", "x" * 2_000)
    rows = (
        f'<row>{cell("A9", "M-1")}<c r="B9" t="d"><v>{day}</v></c><c r="C9"><v>5</v></c></row>'
        for day in dates
    )
    return _after(folder, "".join(rows))


def escapes_of_what_is_no_letter(folder: Path) -> Path:
    text = "_x0000__xD800__xDFFF__xFFFF__x005F_x0041_" * 20
    return _after(folder, f"<row r='3'>{cell('A3', text)}{cell('B3', '2026-01-06')}</row>")


def one_long_format_for_every_cell(folder: Path) -> Path:
    code = "[h" * 120
    formats = "".join(f'<xf numFmtId="164" a="{_odd(n)}"/>' for n in range(60_000))
    styles = f"<numFmts><numFmt numFmtId='164' formatCode='{code}'/></numFmts>"
    return save(folder, pack(parts(styles=f"{styles}<cellXfs>{formats}</cellXfs>")))


def a_long_format_for_each_cell(folder: Path) -> Path:
    codes = (f'<numFmt numFmtId="{n}" formatCode="{_odd(n)}{"[h" * 100}"/>' for n in range(20_000))
    formats = "".join(f'<xf numFmtId="{n}"/>' for n in range(20_000))
    styles = f"<numFmts>{''.join(codes)}</numFmts><cellXfs>{formats}</cellXfs>"
    return save(folder, pack(parts(styles=styles)))


def links_to_the_network(folder: Path) -> Path:
    entries = parts()
    home = "xl/_rels/workbook.xml.rels"
    entries[home] = entries[home].replace(
        "</Relationships>",
        f'<Relationship Id="x" Type="{OFFICE}/externalLink" Target="http://127.0.0.1:9/"'
        ' TargetMode="External"/></Relationships>',
    )
    link = f'<hyperlinks xmlns:r="{OFFICE}"><hyperlink ref="A1" r:id="x"/></hyperlinks>'
    entries[SHEET] = entries[SHEET].replace("</sheetData>", f"</sheetData>{link}")
    return save(folder, pack(entries))


def fifty_thousand_links(folder: Path) -> Path:
    entries = parts()
    home = "xl/_rels/workbook.xml.rels"
    more = "".join(
        f'<Relationship Id="q{_odd(n)}" Type="t" Target="{"../" * 30}{_odd(n)}"/>'
        for n in range(50_000)
    )
    entries[home] = entries[home].replace("</Relationships>", f"{more}</Relationships>")
    return save(folder, pack(entries))


def a_workbook_that_is_its_own_sheet(folder: Path) -> Path:
    entries = parts()
    home = "xl/_rels/workbook.xml.rels"
    entries[home] = entries[home].replace("worksheets/sheet1.xml", "workbook.xml")
    return save(folder, pack(entries))


PLAIN: dict[str, Callable[[Path], Path]] = {
    "an_attribute_of_ten_million_digits": lambda at: _after(at, f'<x a="{_digits(10_000_000)}"/>'),
    "an_attribute_without_an_end": lambda at: _after(at, f'<x a="{_digits(10_000_000)}'),
    "a_tag_without_an_end": lambda at: _after(at, f"<x{_digits(10_000_000)}"),
    "a_comment_without_an_end": lambda at: _after(at, f"<!--{_digits(10_000_000)}"),
    "a_section_without_an_end": lambda at: _after(at, f"<![CDATA[{_digits(5_000_000)}"),
    "elements_each_of_another_name": lambda at: _many(at, 300_000, lambda n: f"<e{_odd(n)}/>"),
    "instructions_each_of_another_name": lambda at: _many(
        at, 200_000, lambda n: f"<?p{_odd(n)} x?>"
    ),
    "a_name_space_of_a_million_letters": lambda at: _after(
        at, f'<a:x xmlns:a="{_digits(900_000)}">{"<a:y/>" * 20_000}</a:x>'
    ),
    "name_spaces_declared_again_and_again": lambda at: _many(
        at, 100_000, lambda n: f'<x xmlns:a="u{_odd(n)}"/>'
    ),
    "an_encoding_that_nobody_knows": lambda at: _named(at, f"x-{'9' * 5_000}"),
    "an_encoding_that_is_no_encoding_of_text": lambda at: _named(at, "rot13"),
    "an_encoding_that_undoes_escapes": lambda at: _named(at, "raw_unicode_escape"),
    "entities_in_utf_7": lambda at: _encoded(at, "utf-7"),
    "entities_in_utf_32": lambda at: _encoded(at, "utf-32"),
    "entities_in_ebcdic": lambda at: _encoded(at, "cp037"),
}
"""Files of a line each, by name."""
