"""A column that holds more names than any fleet has is refused before the forecast begins."""

from pathlib import Path

import pytest

from tests.cli.logbooks import write_logbook
from wearcast.errors import UnusableTable
from wearcast.logbook.book import read_logbook


def test_more_floors_than_can_be_fitted_are_refused(tmp_path: Path):
    floors = "".join(f"A1,floor {number},1\n" for number in range(101))
    with pytest.raises(UnusableTable) as told:
        read_logbook(write_logbook(tmp_path / "log", floors=f"machine,floor,share\n{floors}"))
    assert str(told.value) == (
        "101 different floors are named, more than the 100 that can be forecast at once; see that"
        " the right column is headed floor, or give fewer sites at once."
    )


def test_as_many_floors_as_can_be_fitted_are_read(tmp_path: Path):
    floors = "".join(f"A1,floor {number},1\n" for number in range(100))
    book = read_logbook(write_logbook(tmp_path / "log", floors=f"machine,floor,share\n{floors}"))
    assert book.floors["floor"].nunique() == 100


def test_more_machines_than_can_be_forecast_are_refused(tmp_path: Path):
    readings = "".join(f"M{number},2026-01-05,{number}\n" for number in range(20_001))
    with pytest.raises(UnusableTable, match="20,004 different machines are named"):
        read_logbook(write_logbook(tmp_path / "log", readings=f"machine,date,hours\n{readings}"))
