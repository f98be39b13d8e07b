"""What the sheets of a workbook share: styles, texts, links, and where they are looked for."""

import re
from pathlib import Path

import openpyxl
import pytest
from openpyxl.comments import Comment

from tests.logbook.forge import OFFICE, READINGS, pack, parts, save
from wearcast.errors import UnreadableFile
from wearcast.logbook.sources import xlsx_parts
from wearcast.logbook.sources.xlsx_cells import read_workbook
from wearcast.logbook.sources.xlsx_parts import plain, whole

STRUCK = (
    "<fonts><font/><font><strike/></font><font><strike val='0'/></font>"
    "<font><strike val='true'/></font></fonts><cellStyleXfs><xf fontId='1'/></cellStyleXfs>"
    "<cellXfs><xf fontId='0'/><xf fontId='1'/><xf fontId='2'/><xf fontId='3'/><xf fontId='9'/>"
    "</cellXfs><cellStyles/><dxfs><dxf><font><strike/></font></dxf></dxfs>"
)


def styled(*styles: str) -> str:
    return "".join(
        f'<row r="{at}"><c r="A{at}" s="{style}"><v>1</v></c></row>'
        for at, style in enumerate(styles, 1)
    )


def test_a_cell_in_the_first_font_may_be_struck_through(sheet_of):
    first = "<strike/><fonts><font><strike val='1'/></font></fonts><cellXfs><xf/>"
    last = "<xf fontId='0'/><xf fontId='1'/></cellXfs>"
    (told,) = sheet_of(styled("0", "1", "2"), styles=first + last).told
    assert told.rows == (1, 2)


def test_rows_with_a_cell_that_is_struck_through_are_told(sheet_of):
    sheet = sheet_of(styled("0", "1", "2", "3", "4", "5"), styles=STRUCK)
    (told,) = sheet.told
    assert told.rows == (2, 4)
    assert told.wrong == "struck through, but read like the others"
    assert len(sheet.rows) == 6


def test_too_many_shared_texts_are_refused(sheet_of, monkeypatch):
    monkeypatch.setattr(xlsx_parts, "MOST_TEXTS", 2)
    text = "<si><t>a</t></si>"
    assert sheet_of(READINGS, strings=text * 2).rows
    with pytest.raises(UnreadableFile, match="more than 2 different texts"):
        sheet_of(READINGS, strings=text * 3)


@pytest.mark.parametrize(
    ("text", "number"),
    [("0", 0), ("12", 12), ("-1", -1), ("", -1), ("1.0", -1), ("\u0663", -1),
     ("9" * 11, int("9" * 11)), ("9" * 12, -1)],
)  # fmt: skip
def test_a_count_is_a_short_whole_number(text, number):
    assert whole(text) == number


@pytest.mark.parametrize(
    ("stored", "shown"),
    [("a_x0041_b", "aAb"), ("_x0001_", "\x01"), ("_xD7FF_", "\ud7ff"), ("_xDFFF_", "\ufffd"),
     ("_xE000_", "\ue000"), ("x_y", "x_y"), ("_x41_", "_x41_")],
)  # fmt: skip
def test_a_letter_that_xml_cannot_hold_is_shown_as_itself(stored, shown):
    assert plain(stored) == shown


def test_what_lies_outside_the_workbook_is_not_looked_for(tmp_path: Path):
    entries = parts()
    outside = (
        f'<Relationship Id="o" Type="{OFFICE}/officeDocument" Target="x" TargetMode="External"/>'
    )
    first = f"{outside}<Relationship "
    entries["_rels/.rels"] = entries["_rels/.rels"].replace("<Relationship ", first, 1)
    (sheet,) = read_workbook(save(tmp_path, pack(entries)), "book.xlsx")
    assert sheet.name == "readings"


def test_a_workbook_without_a_list_of_its_parts_is_looked_for_where_it_usually_is(tmp_path: Path):
    entries = parts()
    del entries["_rels/.rels"]
    (sheet,) = read_workbook(save(tmp_path, pack(entries)), "book.xlsx")
    assert sheet.name == "readings"


def test_lists_of_a_workbook_end_somewhere(sheet_of, monkeypatch):
    monkeypatch.setattr(xlsx_parts, "MOST_ELEMENTS", 5)
    five = "<cellXfs>" + "<xf/>" * 4 + "</cellXfs>"
    assert sheet_of(READINGS, styles=five).rows
    with pytest.raises(UnreadableFile, match=r"xl/styles\.xml goes on and on"):
        sheet_of(READINGS, styles=five + "<cellStyles/>")


def test_reading_aids_are_no_part_of_a_shared_text(sheet_of):
    aided = "<si><r><t>a</t></r><rPh><t>x</t></rPh><r><t>b</t></r>\n<phoneticPr/>\n</si>"
    rows = '<row><c t="s"><v>0</v></c></row>'
    assert sheet_of(rows, strings=aided).rows == [["ab"]]


@pytest.mark.parametrize(
    "renamed",
    [str.upper, lambda name: name.replace("/", "\\"), lambda name: name.replace("e", "%65")],
    ids=["capitals", "backslashes", "percent signs"],
)
def test_a_part_is_found_however_its_name_is_written(renamed, tmp_path: Path):
    # Names of parts do not differ by case (ECMA-376 part 2, remembered); backslashes seen in use.
    made = {name if name[0] in "[_" else renamed(name): body for name, body in parts().items()}
    (sheet, *_) = read_workbook(save(tmp_path, pack(made)), "book.xlsx")
    assert sheet.rows == read_workbook(save(tmp_path, pack(parts())), "book.xlsx")[0].rows


def test_a_workbook_without_a_sheet_or_without_the_sheet_it_lists_is_refused(tmp_path: Path):
    bare = parts()
    bare["xl/workbook.xml"] = re.sub("<sheet .*?/>", "", bare["xl/workbook.xml"])
    missing = parts()
    del missing["xl/worksheets/sheet1.xml"]
    for entries in (bare, missing):
        with pytest.raises(UnreadableFile, match="list of sheets does not fit its contents"):
            read_workbook(save(tmp_path, pack(entries)), "book.xlsx")


def test_only_a_sheet_of_cells_is_one_of_the_sheets(tmp_path: Path):
    entries = parts()
    chart = '<sheet name="chart" sheetId="2" r:id="rId2"/></sheets>'
    entries["xl/workbook.xml"] = entries["xl/workbook.xml"].replace("</sheets>", chart)
    (sheet,) = read_workbook(save(tmp_path, pack(entries)), "book.xlsx")
    assert sheet.name == "readings"


@pytest.mark.parametrize(
    ("flags", "date1904"),
    [('date1904="1"', True), ('date1904="true"', True), ('date1904="0"', False), ("", False)],
)
def test_a_workbook_says_from_when_its_days_count(sheet_of, flags, date1904):
    assert sheet_of(READINGS, flags=flags).date1904 == date1904


def test_a_style_is_what_its_number_or_its_own_code_says(sheet_of):
    styles = (
        '<numFmts><numFmt numFmtId="170" formatCode="0000"/></numFmts>'
        '<cellStyleXfs><xf numFmtId="14"/></cellStyleXfs>'
        '<cellXfs><xf numFmtId="170"/><xf/><xf numFmtId="x"/></cellXfs>'
        '<cellStyles><xf numFmtId="14"/></cellStyles>'
    )
    cells = "".join(f'<c s="{style}"><v>14</v></c>' for style in range(4))
    assert sheet_of(f"<row>{cells}</row>", styles=styles).rows == [["0014", 14, 14, 14]]


def test_comments_below_the_headings_are_told(tmp_path):
    book = openpyxl.Workbook()
    for row in (["Site log"], ["machine", "date"], ["M1", "2026-01-05"], ["M1", "2026-01-12"]):
        book.active.append(row)
    for cell in ("A1", "B2", "A3", "B4"):
        book.active[cell].comment = Comment("blade turned", "jb")
    book.save(tmp_path / "noted.xlsx")
    ((told,),) = (sheet.told for sheet in read_workbook(tmp_path / "noted.xlsx", "noted.xlsx"))
    assert (told.rows, told.wrong) == ((3, 4), "comments in cells are not read")
