"""Words, dates and numbers as twenty hands write them: read and told, or set aside with a reason.

Cases are common practice, no source; wordings are ours.
"""

import datetime
from pathlib import Path

import pytest

from tests.logbook.makers import SOUND, cases, changed, read_tables, told_of
from wearcast.errors import UnusableTable
from wearcast.logbook.sheets.dates import read_date

# table, as it stands in the sound logbook, as the person wrote it, the one thing told
CASES = cases("""
replaced | changes | 02-02,front blade,turn | 02-02,front blade,replaced
    changes.csv, row 6, action "replaced": read as fit. Repaired.
rotated | changes | 02-02,front blade,turn | 02-02,front blade,rotated
    changes.csv, row 6, action "rotated": read as turn. Repaired.
ripped | changes | turn,,damaged | turn,,ripped
    changes.csv, row 4, cause "ripped": read as damaged. Repaired.
scheduled | changes | turn,,damaged | turn,,scheduled
    changes.csv, row 4, cause "scheduled": read as planned. Repaired.
squeegee as a kind | parts | ,blade,4 | ,squeegee,4
    parts.csv, row 2, kind "squeegee": read as blade. Repaired.
a cross | readings | 02-16,1318.0, | 02-16,1318.0,\u2717
    readings.csv, row 4, new_meter "\u2717": read as no. Repaired.
a tick | readings | 2026-02-16,1318.0, | 2026-02-16,1318.0,\u2713
    readings.csv, row 4, new_meter "\u2713": read as yes. Repaired.
hours and minutes | readings | 1251.0 | 1251:30
    readings.csv, row 3, hours "1251:30": hours and minutes are read as hours with a decimal
    point. Repaired.
minutes where hours belong | readings | 1251.0 | 75060 min
    readings.csv, row 3, hours "75060 min": not a number. Write a plain number. Set aside for
    now.
an apostrophe in front | readings | 1251.0 | '1251.0
    readings.csv, row 3, hours "'1251.0": hidden characters or a mark in front of the number are
    left out. Repaired.
a zero-width blank in a number | readings | 1251.0 | 1251\u200b.0
    readings.csv, row 3, hours "1251\u200b.0": hidden characters or a mark in front of the
    number are left out. Repaired.
percent as a word | floors | vinyl,0.6 | vinyl,60 percent
    floors.csv, row 2, share "60 percent": a percentage is read as a share. Repaired.
days behind a delivery time | parts | 2,2,14, | 2,2,14 d,
    parts.csv, row 2, lead_days "14 d": the unit behind the number is left out. Repaired.
a dash from a word processor | changes | M-014,2026-02-10 | M\u2013014,2026-02-10
    changes.csv, row 4, machine "M\u2013014": spelled otherwise than elsewhere; read as M-014.
    Repaired.
a remark between rows | readings | M-015,2026-01-05 | # night shift\\nM-015,2026-01-05
    readings.csv, row 5: a remark, not a row of the table; passed over.
units under the headings | readings | new_meter\\n | new_meter\\n-,yyyy-mm-dd,[h],yes/no\\n
    readings.csv, row 2: units, not a row of the table; passed over.
a signature | readings | M-014,2026-01-05 | seen by night shift,,,\\nM-014,2026-01-05
    readings.csv, row 2: a lone text that names nothing else in the logbook; passed over as a
    remark. Complete the row if it is one.
a hall's name between rows | changes | M-022,2026-01-12 | South Hall,,,,,,\\nM-022,2026-01-12
    changes.csv, row 7: a lone text that names nothing else in the logbook; passed over as a
    remark. Complete the row if it is one.
a subtotal | readings | M-015,2026-01-05 | M-014 Total,,3773.5,\\nM-015,2026-01-05
    readings.csv, row 5: a total, not a row of the table; passed over.
a total in another language | stock | BR-2,2 | Summe:,6,,\\nBR-2,2
    stock.csv, row 3: a total, not a row of the table; passed over.
a ditto mark | readings | M-014,2026-01-19 | \u3003,2026-01-19
    readings.csv, row 3, machine "\u3003": this stands for nothing, and machine is needed. Fill
    in machine. Set aside for now.
an accent of its own | machines | M-022,South Hall | M-022,Quay Ha\u0301ll\\nM-023,Quay H\u00e1ll
    machines.csv, row 4, site "Quay Ha\u0301ll": blanks or hidden characters in the name were
    left out. Repaired.
seconds behind the minutes | readings | 1251.0 | 1251:30:00
    readings.csv, row 3, hours "1251:30:00": hours and minutes are read as hours with a decimal
    point. Repaired.
the neighbours' word for hours | readings | 1251.0 | 1251.0 Std.
    readings.csv, row 3, hours "1251.0 Std.": the unit behind the number is left out. Repaired.
a word for a new meter | readings | 2026-02-16,1318.0, | 2026-02-16,1318.0,new meter
    readings.csv, row 4, new_meter "new meter": read as yes. Repaired.
pieces with a comma | stock | GB-1,4 | GB-1,"1,5"
    stock.csv, row 2, on_hand "1,5": not a whole number. Write a whole number of pieces. Set
    aside for now.
a currency in front of a comma | parts | 18.5 | "kr 18,50"
    parts.csv, row 2, price "kr 18,50": a comma is read as the decimal mark. Repaired.
a percentage that is none of 1 | settings | 0.95 | 95
    settings.csv, row 3, value "95": read as 0.95. Repaired.
the highest percentage there may be | settings | 0.95 | 99.9
    settings.csv, row 3, value "99.9": read as 0.999. Repaired.
a seed that is no whole number | settings | service_level,0.95 | seed,1.5
    settings.csv, row 3, value "1.5": seed must be a whole number from 0 to 2,147,483,648; 1 is
    used. Correct the value. Set aside for now.
one date with two readings among sure ones | readings | M-014,2026-01-19 | M-014,05/02/2026
    readings.csv, row 3, date "05/02/2026": can be 5 February 2026 or 2 May 2026, and no other
    date settles it. Write the date as year-month-day, 2026-02-03. Set aside for now.
a month and a year | readings | M-014,2026-01-19 | M-014,01/2026
    readings.csv, row 3, date "01/2026": the day is missing. Write the day; or name your sheet
    and this heading in a table columns for its last day. Set aside for now.
a comma that nobody put in quotation marks | readings | 2026-01-19,1251.0, | 2026-01-19,1251,0,,no
    readings.csv, row 3: more cells than there are headings. Put quotation marks around a text
    or number with the separator in it. Set aside for now.
a row from another program | readings | M-014,2026-01-19,1251.0, | M-014;2026-01-19;1251.0;
    readings.csv, row 3: the whole row stood in one cell; its cells are separated by another
    mark. Repaired.
text kept from a spreadsheet program | readings | 1251.0 | ="1251.0"
    readings.csv, row 3: cells written ="like this" are read as the text between the quotation
    marks.
a day without its year | readings | M-014,2026-01-19 | M-014,19 January
    readings.csv, row 3, date "19 January": the year is missing. Write the date as
    year-month-day, 2026-02-03. Set aside for now.
a month without its day | readings | M-014,2026-01-19 | M-014,January 2026
    readings.csv, row 3, date "January 2026": the day is missing. Write the day; or name your
    sheet and this heading in a table columns for its last day. Set aside for now.
""") | {
    "a remark under no heading": (
        *(
            "readings",
            "new_meter\nM-014,2026-01-05,1204.5,",
            "new_meter,\nM-014,2026-01-05,1204.5,,ok",
        ),
        'readings.csv, row 2, column E "ok": cells under no heading were left out. Give the column'
        " a heading.",
    )
}


@pytest.mark.parametrize("case", CASES, ids=str)
def test_a_word_of_the_shop_floor_is_told_once(case: str, tmp_path: Path):
    table, old, new, words = CASES[case]
    told = told_of(read_tables(tmp_path, changed(table, old, new)))
    assert [line.removeprefix(f"{tmp_path}/") for line in told] == [words]


@pytest.mark.parametrize(
    "text",
    ["3. M\u00e4rz 2026", "3 de marzo de 2026", "3 mars 2026", "3 mrt 2026", "March 3rd, 2026",
     "3-Mar-26", "2026.03.03", "2026-03-03T08:00", "3 March 2026 08:15", "03.03.26",
     "2026 03 03", "Mo 03.03.2026", "mardi 3 mars 2026", "3 de mar\u00e7o de 2026", "'2026-03-03",
     "2026\u201303\u201303", "2026-03-03\u200b", "03.03.2026.", 20260303, 20260303.0],
)  # fmt: skip
def test_a_date_with_one_reading_is_that_date(text: str):
    assert read_date(text).day == datetime.date(2026, 3, 3)


@pytest.mark.parametrize(
    ("readings", "words"),
    [
        (
            "date,M-014,M-015\n2026-01-05,1204.5,310\n2026-02-16,1318,402\n",
            "each machine has a column of its own",
        ),
        (
            "machine,2026-01-05,2026-02-16\nM-014,1204.5,1318\nM-015,310,402\n",
            "each day has a column of its own",
        ),
    ],
    ids=["machines", "days"],
)
def test_readings_laid_out_sideways_are_refused_with_the_cure(
    readings: str, words: str, tmp_path: Path
):
    with pytest.raises(UnusableTable) as stopped:
        read_tables(tmp_path, {**SOUND, "readings": readings})
    assert f"readings.csv, readings, row 1: {words}. Have it turned by" in str(stopped.value)
    other = "machine" if "machine" in words else "date"
    first = "date" if other == "machine" else "machine"
    columns = f"readings,readings,{first},{first}\nreadings,readings,[heading],{other}\n"
    columns = f"table,sheet,theirs,ours\n{columns}readings,readings,[cell],hours\n"
    book = read_tables(tmp_path / "cured", {**SOUND, "readings": readings, "columns": columns})
    assert len(book.readings) == 4


def test_an_unknown_cause_is_not_told_where_the_row_is_set_aside_for_its_action(tmp_path: Path):
    tables = changed("changes", "front blade,turn,,damaged", "front blade,trun,,shreded")
    (told,) = read_tables(tmp_path, tables).told
    assert (told.rows, told.column, told.severity) == ((4,), "action", "set aside")
