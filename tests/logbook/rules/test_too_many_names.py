"""A column that holds more names than any fleet has is refused before the forecast begins."""

from pathlib import Path

import pytest

from tests.cli.logbooks import write_logbook
from wearcast.errors import UnusableTable
from wearcast.logbook.book import read_logbook


def test_more_floors_than_can_be_fitted_leave_their_table_out(tmp_path: Path):
    floors = "".join(f"A1,floor {number},1\n" for number in range(101))
    book = read_logbook(write_logbook(tmp_path / "log", floors=f"machine,floor,share\n{floors}"))
    (told,) = [one for one in book.told if one.table == "floors"]
    assert (told.column, told.severity, len(told.rows)) == ("floor", "set aside", 101)
    assert told.wrong == (
        "101 different floors are named, more than the 100 that can be forecast at once; the whole"
        " table was left out"
    )
    assert told.remedy == ("See that the right column is headed floor, or give fewer sites at once")
    assert book.floors.empty


def test_more_positions_than_can_be_fitted_leave_out_the_table_that_brings_them(tmp_path: Path):
    rows = "".join(f"A1,place {number},GB-1\n" for number in range(501))
    log = write_logbook(tmp_path / "log", positions=f"machine,position,part\n{rows}")
    book = read_logbook(log)
    assert book.positions.empty
    assert len(book.changes) > 0
    assert [one.table for one in book.told if "different positions" in one.wrong] == ["positions"]


def test_more_positions_among_the_changes_than_can_be_fitted_are_refused(tmp_path: Path):
    rows = "".join(f"A1,2026-01-05,place {number},fit\n" for number in range(501))
    log = write_logbook(tmp_path / "log", changes=f"machine,date,position,action\n{rows}")
    with pytest.raises(UnusableTable, match="501 different positions are named, more than the 500"):
        read_logbook(log)


def test_as_many_floors_as_can_be_fitted_are_read(tmp_path: Path):
    floors = "".join(f"A1,floor {number},1\n" for number in range(100))
    book = read_logbook(write_logbook(tmp_path / "log", floors=f"machine,floor,share\n{floors}"))
    assert book.floors["floor"].nunique() == 100


def test_more_machines_than_can_be_forecast_are_refused(tmp_path: Path):
    readings = "".join(f"M{number},2026-01-05,{number}\n" for number in range(20_001))
    with pytest.raises(UnusableTable, match="20,004 different machines are named"):
        read_logbook(write_logbook(tmp_path / "log", readings=f"machine,date,hours\n{readings}"))
