"""The newest day that a log can mean: slips in the year are set aside, pauses are not."""

from pathlib import Path

import pandas as pd
import pytest

from tests.logbook.makers import read_tables
from wearcast.logbook.book import Logbook

CHANGES = "machine,date,position,action\nA,2025-11-03,blade,fit\nB,2025-11-03,blade,fit\n"


def read(folder: Path, *days: tuple[str, str]) -> Logbook:
    """Two machines read weekly for ten weeks up to 5 January 2026, and on these days besides."""
    weekly = [f"{day:%Y-%m-%d}" for day in pd.date_range("2025-11-03", periods=10, freq="7D")]
    dated = [(name, day) for name in "AB" for day in weekly] + list(days)
    rows = "".join(f"{name},{day},{at}\n" for at, (name, day) in enumerate(sorted(dated)))
    return read_tables(folder, {"readings": f"machine,date,hours\n{rows}", "changes": CHANGES})


@pytest.mark.parametrize(
    ("days", "newest"),
    [
        ([("A", "2026-03-05")], "2026-03-05"),
        ([("A", "2026-05-05")], "2026-01-05"),
        ([("A", "2026-05-05"), ("B", "2026-05-05")], "2026-05-05"),
        ([("A", "2026-05-05"), ("A", "2026-05-12")], "2026-05-12"),
        ([("A", "2027-01-12"), ("B", "2027-01-12")], "2026-01-05"),
        ([("A", "2027-01-12"), ("A", "2027-01-19")], "2026-01-05"),
        ([("A", "2027-01-12"), ("B", "2027-01-12"), ("A", "2027-01-19")], "2027-01-19"),
        ([("A", "2062-01-12"), ("B", "2062-01-12"), ("A", "2062-01-19")], "2026-01-05"),
        ([("A", "2026-02-12"), ("A", "2027-03-19"), ("A", "2062-01-19")], "2026-02-12"),
        ([("A", "2006-01-12"), ("B", "2006-01-12")], "2026-01-05"),
    ],
    ids=[
        "two months on",
        "a lone date",
        "a round after a pause",
        "one machine after a pause",
        "a round with the wrong year",
        "one machine with the wrong year",
        "weeks after a year's pause",
        "weeks of another age",
        "slip upon slip",
        "slips of long ago",
    ],
)
def test_the_newest_day_is_one_that_the_log_leads_to(
    days: list[tuple[str, str]], newest: str, tmp_path: Path
):
    book = read(tmp_path, *days)
    assert book.as_of == pd.Timestamp(newest)
    later = {row for one in book.told if one.severity == "set aside" for row in one.rows}
    assert len(later) == sum(day > newest for _, day in days)


def test_a_log_that_is_written_once_a_year_goes_on(tmp_path: Path):
    rows = "".join(f"{name},{year}-01-15,{year}\n" for name in "AB" for year in range(2021, 2027))
    tables = {"readings": f"machine,date,hours\n{rows}", "changes": CHANGES.replace("2025", "2021")}
    assert read_tables(tmp_path, tables).as_of == pd.Timestamp("2026-01-15")


def test_two_lone_days_are_both_used(tmp_path: Path):
    rows = "machine,date,hours\nA,2025-01-15,1\nA,2026-01-15,900\n"
    changes = "machine,date,position,action\nA,2025-01-15,blade,fit\n"
    book = read_tables(tmp_path, {"readings": rows, "changes": changes})
    assert book.as_of == pd.Timestamp("2026-01-15")


def test_the_cure_for_a_day_that_is_right_is_to_name_it(tmp_path: Path):
    book = read(tmp_path, ("A", "2026-05-05"))
    (told,) = book.told
    assert told.remedy == "Correct the date; if it is right, give it as as_of"
    tables = {
        name.stem: name.read_text() for name in tmp_path.glob("*.csv")
    }  # the remedy carried out
    assert read_tables(tmp_path / "again", tables, as_of="2026-05-05").told == ()
