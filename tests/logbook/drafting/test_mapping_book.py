import io
from pathlib import Path

import openpyxl

from tests.logbook.drafting.makers import sheet
from wearcast.logbook.drafting.draft import draft_mapping
from wearcast.logbook.drafting.mapping_book import mapping_book
from wearcast.logbook.mapping import read_mapping
from wearcast.logbook.sources.files import read_sheets

LOG = """
    Date        Machine  Remarks
    2026-01-08  M1       turned front blade, worn
    2026-01-12  M1       replaced sealing strip
"""


def book() -> openpyxl.Workbook:
    return openpyxl.load_workbook(io.BytesIO(mapping_book(draft_mapping([sheet(LOG)]))))


def test_the_same_records_give_the_same_bytes():
    draft = draft_mapping([sheet(LOG)])
    assert mapping_book(draft) == mapping_book(draft)


def test_what_waits_for_the_person_stands_on_top_in_yellow():
    words = book()["words"]
    assert [cell.value for cell in words[2]] == [
        *("changes", "did", "replaced sealing strip", None, None, None, None, 1),
        "records.xlsx, Log, row 3",
    ]
    fills = [cell.fill.fgColor.rgb for cell in words[2]]
    assert [place for place, fill in enumerate(fills) if fill == "FFFFE699"] == [2, 4, 5, 6]
    assert {cell.fill.fgColor.rgb for cell in words[3]} == {"00000000"}


def test_our_words_are_offered():
    rules = {
        str(rule.sqref): rule.formula1 for rule in book()["words"].data_validations.dataValidation
    }
    assert rules["F2:F203"] == '"fit,turn,remove"'
    assert rules["D2:D3"] == '"skip"'


def test_the_workbook_reads_back_as_the_mapping_it_shows(tmp_path: Path):
    path = tmp_path / "mapping.xlsx"
    path.write_bytes(mapping_book(draft_mapping([sheet(LOG)])))
    mapping, drafts = read_mapping([sheet(LOG), *read_sheets([path])[0]])
    assert [(rule.table, rule.sheet, rule.theirs, rule.ours) for rule in mapping.rules] == [
        ("changes", "Log", "Date", "date"),
        ("changes", "Log", "Machine", "machine"),
        ("changes", "Log", "Remarks", "did"),
    ]
    said = mapping.words["changes", "did"]["turned front blade, worn"]
    assert [(word.position, word.action, word.cause) for word in said] == [
        ("front blade", "turn", "worn")
    ]
    assert not mapping.words["changes", "did"]["replaced sealing strip"][0].decided
    assert not [problem for draft in drafts.values() for problem in draft.told]
