"""Makers that the tests of files share."""

from pathlib import Path

import pytest

from tests.logbook.forge import pack, parts, save
from wearcast.logbook.sources.sheet import Sheet
from wearcast.logbook.sources.xlsx_cells import read_workbook


@pytest.fixture
def sheet_of(tmp_path: Path):
    def read(rows: str, **more: str) -> Sheet:
        (sheet,) = read_workbook(save(tmp_path, pack(parts(rows, **more))), "book.xlsx")
        return sheet

    return read


@pytest.fixture
def folder(tmp_path: Path, monkeypatch) -> Path:
    """The working folder, so that paths can be given as a person gives them."""
    monkeypatch.chdir(tmp_path)
    return tmp_path
