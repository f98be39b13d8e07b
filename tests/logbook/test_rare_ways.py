"""Ways through the reader that few logbooks take: each still says what it did.

Cases are common practice (no source); the wordings are ours.
"""

import datetime
import sqlite3
import struct
from pathlib import Path

import pandas as pd
import pytest

from tests.logbook.forge import READINGS, pack, parts, save
from tests.logbook.makers import SOUND, read_tables, told_of
from wearcast.errors import UnreadableFile, UnusableTable
from wearcast.logbook.book import read_logbook
from wearcast.logbook.choices import choose
from wearcast.logbook.sheets.headings import lay_out
from wearcast.logbook.sources import csv_text, telematics, xlsx_parts
from wearcast.logbook.sources.csv_cells import read_records
from wearcast.logbook.sources.files import read_sheets
from wearcast.logbook.sources.formats import as_shown
from wearcast.logbook.sources.guard import open_zip
from wearcast.logbook.sources.merged import fill_merged
from wearcast.logbook.sources.sheet import Sheet


@pytest.mark.parametrize(
    ("asked", "days"),
    [
        pytest.param("", (), id="a blank: none"),
        pytest.param("2026-12-25", ("2026-12-25",), id="as text"),
        pytest.param(datetime.date(2026, 12, 25), ("2026-12-25",), id="one day"),
        pytest.param(
            [datetime.date(2027, 1, 1), datetime.date(2026, 12, 25)],
            ("2026-12-25", "2027-01-01"),
            id="several days",
        ),
    ],
)
def test_closed_days_may_be_asked_for_as_text_or_days(tmp_path: Path, asked, days):
    book = read_tables(tmp_path, SOUND)
    assert choose(book, closed_days=asked).closed_days == tuple(map(pd.Timestamp, days))


def test_as_many_dates_of_either_order_settle_nothing(tmp_path: Path):
    readings = "machine,date,hours\nM-014,13/01/2026,1204.5\nM-014,01/19/2026,1251.0\n"
    with pytest.raises(UnusableTable) as refused:
        read_tables(tmp_path, {**SOUND, "readings": readings})
    assert str(refused.value).endswith(
        "readings.csv, readings, row 2: date 13/01/2026 stands in a column with as many dates day"
        " first as month first. Set dates to day first or month first (settings, or --dates), then"
        " run again."
    )
    assert choose(read_tables(tmp_path, {**SOUND, "readings": readings}, dates="day first"))


def test_a_sheet_that_bears_no_table_s_name_is_not_laid_out():
    with pytest.raises(ValueError, match="diary is no table"):
        lay_out(Sheet("log.xlsx", "diary", [["machine"]], [1]), 0, {})


def test_two_unknown_columns_are_told_in_one_finding(tmp_path: Path):
    stock = "part,on_hand,shelf colour,weather\nGB-1,4,red,wet\n"
    told = told_of(read_tables(tmp_path, {**SOUND, "stock": stock}))
    wanted = '"shelf colour" and "weather" are no columns of stock and were left out'
    either = wanted.replace(" and ", ", ", 1)
    assert sum(wanted in line or either in line for line in told) == 1


def test_a_quotation_mark_that_swallows_many_rows_is_read_line_by_line():
    lines = ['M-014,"2026-01-05\n', *["M-014,2026-01-06,1\n"] * 25, 'M-015",2\n']
    records, unpaired = read_records(lines, ",")
    assert len(records) == len(lines)
    assert unpaired == (1,)


@pytest.mark.parametrize(
    ("room", "name", "wrong"),
    [
        (csv_text, "readings.csv", "0 MB is too large; give one file a site."),
        (telematics, "feed.xml", "the feed is too large; export fewer days at once."),
    ],
    ids=["csv", "feed"],
)
def test_a_file_over_the_size_is_refused(tmp_path: Path, monkeypatch, room, name, wrong):
    (tmp_path / name).write_text("machine,date,hours\n" * 10)
    monkeypatch.setattr(room, "MOST_BYTES", 100)
    with pytest.raises(UnreadableFile, match=wrong):
        read_sheets([tmp_path / name])


def test_a_number_shown_as_an_amount_stays_a_number():
    assert as_shown(45000.5, "amount", date1904=False) == 45000.5


def test_a_forged_zip64_list_of_contents_is_not_read(tmp_path: Path):
    size_of_list = b"\x00" * 40 + (10**12).to_bytes(8, "little")
    locator = b"PK\x06\x07" + struct.pack("<LQL", 0, 0, 1)
    end = b"PK\x05\x06" + b"\xff" * 16 + b"\x00\x00"
    (tmp_path / "book.xlsx").write_bytes(size_of_list + locator + end)
    with pytest.raises(UnreadableFile, match="not safe to open"):
        open_zip(tmp_path / "book.xlsx", "book.xlsx")


def test_a_workbook_of_more_texts_than_a_logbook_has_is_refused(tmp_path: Path, monkeypatch):
    save(tmp_path, pack(parts(READINGS, strings="<si><t>a</t></si>" * 3)))
    monkeypatch.setattr(xlsx_parts, "MOST_TEXTS", 2)
    with pytest.raises(UnreadableFile) as refused:
        read_sheets([tmp_path / "book.xlsx"])
    assert str(refused.value).endswith(
        "book.xlsx: it holds more than 2 different texts, more than a logbook does; give one file"
        " a site."
    )
    monkeypatch.setattr(xlsx_parts, "MOST_TEXTS", 3)
    (sheet,), _ = read_sheets([tmp_path / "book.xlsx"])
    assert sheet.name == "readings"


def test_a_merged_area_leaves_alone_what_is_written_in_it():
    rows: list[list[object]] = [["M-014", 1], ["M-015", 2], [None, 3]]
    assert fill_merged(rows, [2, 3, 4], ["A2:A4"]) == (4,)
    assert [row[0] for row in rows] == ["M-014", "M-015", "M-014"]


def test_a_name_that_the_system_does_not_take_is_refused():
    with pytest.raises(UnreadableFile, match=r"cannot be opened \(.+\); see that it is there"):
        read_sheets([Path("x" * 300)])


def test_text_of_a_database_in_another_encoding_is_read(tmp_path: Path):
    base = sqlite3.connect(tmp_path / "log.sqlite")
    base.execute("create table readings (machine text, date text, hours real)")
    base.execute("insert into readings values (cast(x'4dfc6c' as text), '2026-01-05', 1)")
    base.commit()
    base.close()
    (sheet,), _ = read_sheets([tmp_path / "log.sqlite"])
    assert sheet.rows[1][0] == "Mül"


def test_an_endless_text_in_a_feed_is_cut(tmp_path: Path):
    name = "M" * 200_000
    (tmp_path / "feed.xml").write_text(
        f"<Fleet><Equipment><EquipmentHeader><EquipmentID>{name}</EquipmentID></EquipmentHeader>"
        '<CumulativeOperatingHours datetime="2026-01-05T00:00:00Z"><Hour>1</Hour>'
        "</CumulativeOperatingHours></Equipment></Fleet>"
    )
    (sheet,), _ = read_sheets([tmp_path / "feed.xml"])
    assert len(str(sheet.rows[1][0])) < 2_000


def test_two_rows_of_one_machine_ask_for_a_date_under_since(tmp_path: Path):
    machines = SOUND["machines"] + "M-014,North Hall,main,80,,,\n"
    told = told_of(read_tables(tmp_path, {**SOUND, "machines": machines}))
    asked = [line for line in told if "or give the later one a date under since" in line]
    assert len(asked) == 1
    assert "say different things about M-014" in asked[0]


def test_a_proposal_without_machines_knows_those_of_its_positions(tmp_path: Path):
    for name in ("positions", "floors", "parts"):
        (tmp_path / f"{name}.csv").write_text(SOUND[name])
    book = read_logbook(tmp_path, proposal=True)
    assert set(book.floors["machine"]) == {"M-014", "M-015", "M-022"}
