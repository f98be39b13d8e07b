"""Rows, headings and whole tables as people hand them over: what is told, and what becomes of them.

Cases are common practice (no source); the wordings are ours.
"""

from pathlib import Path

import pytest

from tests.conftest import assert_table
from tests.logbook.makers import READINGS, SOUND, cases, changed, read_tables, told_of

SET_ASIDE = "Set aside for now."

# table, as it stands in the sound logbook, as the person wrote it, what is told
ROW_CASES = cases("""
a name in other spelling | readings | M-014,2026-01-19 | m 014,2026-01-19
    readings.csv, row 3, machine "m 014": spelled otherwise than elsewhere; read as M-014.
    Repaired.
a no-break space behind a name | readings | M-014,2026-01-19 | M-014\u00a0,2026-01-19
    readings.csv, row 3, machine "M-014\u00a0": blanks or hidden characters in the name were
    left out. Repaired.
a part in other spelling | stock | GB-1,4 | gb_1,4
    stock.csv, row 2, part "gb_1": spelled otherwise than elsewhere; read as GB-1. Repaired.
a position in other spelling | changes | 2026-01-21,front blade | 2026-01-21,Front_Blade
    changes.csv, row 3, position "Front_Blade": spelled otherwise than elsewhere; read as front
    blade. Repaired.
a change on a machine that nobody knows | changes | M-014,2026-01-21 | M-O14,2026-01-21
    changes.csv, row 3, machine "M-O14": no machine of that name is known. Did you mean M-014?
    Correct the name, or add it to the table machines. Set aside for now.
stock of a part that nobody knows | stock | GB-1,4 | GB-7,4
    stock.csv, row 2, part "GB-7": no part of that name is known. Did you mean GB-1? Correct the
    name, or add it to the table parts. Set aside for now.
a reading of a machine without a row | readings | M-014,2026-01-19 | M-0l4,2026-01-19
    readings.csv, row 3, machine "M-0l4": has no row in the table machines; counted as a machine
    of its own. Did you mean M-014? Add it to the table machines, or correct the name.
a slip in the machines table itself | machines | M-014,North | M-0l4,North
    machines.csv, row 2, machine "M-0l4": no other table names it, and M-014 has no row here.
    Did you mean M-014? Correct the name.
a fitted part without a catalogue line | changes | fit,GB-1,,1204.5 | fit,GB-l,,1204.5
    changes.csv, row 2, part "GB-l": has no line in the table parts; forecast like any other,
    without a price. Did you mean GB-1? Add it to the table parts, or correct the name.
a slip in the catalogue | parts | GB-1,gum | GB-l,gum
    parts.csv, row 2, part "GB-l": no other table names it, and GB-1 has no row here. Did you
    mean GB-1? Correct the name.
a change at a position that is not listed | changes | 2026-01-21,front blade | 2026-01-21,frnt blade
    changes.csv, row 3, position "frnt blade": the positions table lists no such position on
    that machine. Did you mean front blade? Add it to the table positions, or correct the name.
a floor that looks like another | floors | M-015,vinyl | M-015,vinly
    floors.csv, row 4, floor "vinly": looks like vinyl; kept apart from it. If vinly is vinyl,
    write it so.
a blank cause | changes | turn,,damaged | turn,,
    changes.csv, row 4, cause: blank on 1 of 4 changes; read as worn. Write why the edge ended.
two different rows for one position | positions | M-022,left | M-015,front blade,GB-1,2\\nM-022,left
    positions.csv, rows 3-4, pieces "1, 2": rows 3-4 say different things about M-015 front
    blade. Keep the right one. Set aside for now.
shares that sum to 0.97 | floors | quarry tile,0.4 | quarry tile,0.37
    floors.csv, rows 2-3, share "0.6, 0.37": the shares of M-014 sum to 0.97; scaled to 1.
    Repaired.
a share that is no number | floors | quarry tile,0.4 | quarry tile,half
    floors.csv, row 3, share "half": not a number; the machine's other floors of that date go
    with it. Write a plain number. Set aside for now.
an everyday heading | readings | machine,date,hours | Unit,Day,Meter
    readings.csv, row 1: headings read: "Unit" as machine, "Day" as date, "Meter" as hours.
a heading that is none of ours | readings | new_meter | remarks
    readings.csv, row 1, remarks: "remarks" is no column of readings and was left out.
a heading that is nearly one of ours | parts | usual_hours | usul hours
    parts.csv, row 1, usul hours: "usul hours" is no column of parts and was left out. Rename if
    meant: "usul hours" may be usual_hours.
an optional table without its needed column | stock | on_hand | how many
    stock.csv, row 1: no column for on_hand; the nearest headings are "how many"; the whole
    table was left out. Name the column on_hand, or give your heading in a columns table. Set
    aside for now.
""") | {
    "the same row twice": (
        *("readings", "M-014,2026-01-19,1251.0,\n", "M-014,2026-01-19,1251.0,\n" * 2),
        "readings.csv, row 4: the same row stands in the table already; it was counted once.",
    ),
    "shares that sum to 130": (
        *("floors", "vinyl,0.6,\nM-014,quarry tile,0.4", "vinyl,90,\nM-014,quarry tile,40"),
        'floors.csv, rows 2-3, share "90, 40": the shares of M-014 sum to 130, which is neither 1'
        f" nor 100. Correct the shares of that machine and date. {SET_ASIDE}",
    ),
    "a total at the bottom": (
        *("readings", "M-022,2026-02-16,214.0,\n", "M-022,2026-02-16,214.0,\nTotal,,3561.5,\n"),
        "readings.csv, row 11: a total, not a row of the table; passed over.",
    ),
    "the headings once more": (
        *("readings", "M-022,2026-01-05", "machine,date,hours,new_meter\nM-022,2026-01-05"),
        "readings.csv, row 8: the headings once more; passed over.",
    ),
    "a stray cell far down": (
        *("readings", "M-022,2026-02-16,214.0,\n", f"M-022,2026-02-16,214.0,\n{chr(10) * 90}x\n"),
        "readings.csv, row 101: a lone cell outside the table; passed over. Remove it, or complete"
        " the row.",
    ),
}


@pytest.mark.parametrize("case", ROW_CASES, ids=str)
def test_one_cause_gives_one_finding(case: str, tmp_path: Path):
    table, sound, written, told = ROW_CASES[case]
    assert told_of(read_tables(tmp_path, changed(table, sound, written))) == [told]


def test_a_sound_logbook_gives_no_finding(tmp_path: Path):
    assert told_of(read_tables(tmp_path, SOUND)) == []


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("machine,date,hours,new_meter", "MACHINE, Date ,HOURS,New Meter"),
        ("machine,date", "Readings of all halls,,,\n,,,\nmachine,date"),
        ("M-015,2026-01-05", ",,,\n\nM-015,2026-01-05"),
        ("1204.5", "1204.50"),
        ("machine,date,hours", "machine,date,hours (h)"),
    ],
    ids=["case and blanks", "titles above", "blank rows", "a trailing nought", "a unit"],
)
def test_what_changes_nothing_is_not_told(old: str, new: str, tmp_path: Path):
    book = read_tables(tmp_path, changed("readings", old, new))
    assert told_of(book) == []
    assert len(book.readings) == 9


def test_an_exact_heading_beats_an_everyday_word(tmp_path: Path):
    book = read_tables(tmp_path, changed("readings", "new_meter", "Meter"))
    assert book.readings["hours"].max() == 1318.0
    assert told_of(book) == [
        'readings.csv, row 1, Meter: "Meter" is no column of readings and was left out. Rename if'
        ' meant: "Meter" may be new_meter.'
    ]


def test_a_sheet_by_another_name_is_told(tmp_path: Path):
    tables = {name: text for name, text in SOUND.items() if name != "readings"}
    book = read_tables(tmp_path, {**tables, "Hour Meter": READINGS})
    assert told_of(book) == [
        'Hour Meter.csv, readings: "Hour Meter" is read as the table readings.'
    ]


def test_a_sheet_that_is_no_table_is_told_with_the_nearest_name(tmp_path: Path):
    book = read_tables(tmp_path, {**SOUND, "plns": "a,b\n1,2\n"})
    assert told_of(book) == [
        'plns.csv: "plns" is not the name of a table; it was left out. If it is plans, give it'
        " that name."
    ]


def test_a_lone_row_is_enough(tmp_path: Path):
    tables = {
        "readings": "machine,date,hours\nM-1,2026-01-05,10\n",
        "changes": "machine,date,position,action\nM-1,2026-01-05,blade,fit\n",
    }
    book = read_tables(tmp_path, tables)
    assert told_of(book) == []
    assert_table(
        book.parts,
        """
        part   kind   wears_as  edges  pack  min_order  catalogued
        blade  blade  blade     4      1     0          False
        """,
    )
