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
squeegee as a kind | parts | ,blade,4 | ,squeegee,4
    parts.csv, row 2, kind "squeegee": read as blade. Repaired.
percent as a word | floors | vinyl,0.6 | vinyl,60 percent
    floors.csv, row 2, share "60 percent": a percentage is read as a share. Repaired.
a remark between rows | readings | M-015,2026-01-05 | # night shift\\nM-015,2026-01-05
    readings.csv, row 5: a remark, not a row of the table; passed over.
units under the headings | readings | new_meter\\n | new_meter\\n-,yyyy-mm-dd,[h],yes/no\\n
    readings.csv, row 2: units, not a row of the table; passed over.
a signature | readings | M-014,2026-01-05 | seen by night shift,,,\\nM-014,2026-01-05
    readings.csv, row 2: a lone text that names nothing else in the logbook; passed over as a
    remark. Complete the row if it is one.
an accent of its own | machines | M-022,South Hall | M-022,Quay Ha\u0301ll\\nM-023,Quay H\u00e1ll
    machines.csv, row 4, site "Quay Ha\u0301ll": blanks or hidden characters in the name were
    left out. Repaired.
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
