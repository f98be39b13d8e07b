"""Hour-meter feeds in the standard's XML."""

import datetime
from pathlib import Path

import pytest

from wearcast.errors import UnreadableFile
from wearcast.logbook.sources.files import read_sheets
from wearcast.logbook.sources.telematics import read_feed

FEED = """<?xml version="1.0" encoding="UTF-8"?>
<Fleet xmlns="http://standards.iso.org/iso/15143/-3">
  <Equipment>
    <EquipmentHeader><Model>x</Model><EquipmentID> M-1 </EquipmentID><PIN>P1</PIN></EquipmentHeader>
    <CumulativeOperatingHours datetime="2026-01-05T23:30:00Z"><Hour>1204.5</Hour>
    </CumulativeOperatingHours>
    <CumulativeIdleHours datetime="2026-01-05T23:30:00Z"><Hour>9</Hour></CumulativeIdleHours>
  </Equipment>
  <Equipment>
    <EquipmentHeader><EquipmentID/><SerialNumber>S-2</SerialNumber></EquipmentHeader>
    <CumulativeOperatingHours datetime="soon"><Hour>88</Hour></CumulativeOperatingHours>
  </Equipment>
  <Equipment><CumulativeOperatingHours datetime="2026-01-06T01:00:00+02:00"/></Equipment>
</Fleet>
"""


def read(folder: Path, text: str):
    (folder / "feed.xml").write_text(text)
    return read_sheets([folder / "feed.xml"])


def test_a_feed_is_told(tmp_path: Path):
    (sheet,), _ = read(tmp_path, FEED)
    assert [problem.wrong for problem in sheet.told] == [
        "read as a feed of hour meters (ISO/TS 15143-3); its first reading counts as row 2"
    ]


@pytest.mark.parametrize(
    ("written", "hours"),
    [
        ("PT1204H30M", "1204.5"),
        ("P50DT4H", "1204"),
        ("P0Y0M50DT4H", "1204"),
        ("P1Y0M50DT4H", "P1Y0M50DT4H"),
        ("PT72270M", "1204.5"),
        ("PT4336200S", "1204.5"),
        ("PT", "PT"),
        ("P1Y", "P1Y"),
    ],
)
def test_a_duration_is_read_as_hours_and_told(written: str, hours: str, tmp_path: Path):
    (sheet,), _ = read(tmp_path, FEED.replace("1204.5", written))
    assert sheet.rows[1][2] == hours
    (told,) = sheet.told
    assert told.wrong.endswith("; durations are read as hours") == (written != hours)


UNSAFE = "this XML is cut short, damaged or not safe to read; export the feed again."


@pytest.mark.parametrize(
    ("text", "message"),
    [
        (FEED[:-20], UNSAFE),
        (FEED.replace("?>", "?><!DOCTYPE x [<!ENTITY a 'b'>]>", 1), UNSAFE),
        ("<Fleet/>", "this XML holds no CumulativeOperatingHours as ISO/TS 15143-3 has them; export"
         " the feed in that form, or write the readings into a table."),
    ],
    ids=["cut short", "entities", "no hours"],
)  # fmt: skip
def test_what_is_no_feed_is_refused(tmp_path: Path, text: str, message: str):
    with pytest.raises(UnreadableFile) as refused:
        read(tmp_path, text)
    assert str(refused.value) == f"{tmp_path / 'feed.xml'}: {message}"


def test_a_feed_in_json_is_refused_rather_than_passed_over(tmp_path: Path):
    path = tmp_path / "feed.json"
    path.write_text('{"Equipment": []}')
    with pytest.raises(UnreadableFile, match="JSON is not read as a logbook"):
        read_sheets([path])


@pytest.mark.parametrize(
    ("size", "message"),
    [(40_000_000, "is cut short, damaged"), (40_000_001, "the feed is too large; export fewer")],
)
def test_forty_megabytes_of_a_feed_are_read_and_a_byte_more_is_not(tmp_path, size, message):
    path = tmp_path / "feed.xml"
    path.touch()
    with path.open("r+b") as file:
        file.truncate(size)
    with pytest.raises(UnreadableFile, match=message):
        read_feed(path, "feed.xml")


def test_the_names_of_one_machine_are_not_the_next_one_s(tmp_path: Path):
    text = FEED.replace("<EquipmentID/><SerialNumber>S-2</SerialNumber>", "<Model>x</Model>")
    (sheet,), _ = read(tmp_path, text)
    assert [row[0] for row in sheet.rows[1:]] == ["M-1", "", ""]


def test_hours_outside_the_reading_are_not_its_hours(tmp_path: Path):
    text = FEED.replace("</Fleet>", "<Hour>7</Hour></Fleet>").replace(
        "<Hour>88</Hour>", "</CumulativeOperatingHours><Hour>9</Hour><CumulativeOperatingHours>"
    )
    (sheet,), _ = read(tmp_path, text)
    assert [row[2] for row in sheet.rows[1:]] == ["1204.5", "", "", ""]


@pytest.mark.parametrize("name", ["dateTime", "Datetime"])
def test_the_case_of_the_moment_s_name_does_not_count(name: str, tmp_path: Path):
    (sheet,), _ = read(tmp_path, FEED.replace(" datetime=", f" {name}="))
    assert sheet.rows[1][1] == datetime.datetime(2026, 1, 5, 23, 30)
