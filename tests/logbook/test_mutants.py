"""Whatever a logbook has become, reading it ends in findings or in one sentence.

Every row is accounted for: read = used + set aside + ignored.
"""

from pathlib import Path

import pytest

from tests.studies.reading import fuzz
from tests.studies.reading.mutants import mutant
from wearcast.cli.main import run
from wearcast.errors import WearcastError
from wearcast.logbook.book import read_logbook
from wearcast.logbook.sources.files import read_sheets

BLOCK = 20


def read_mutant(number: int, folder: Path) -> bool:
    """Read a mutant; whether it could be read."""
    path = mutant(number, folder)
    try:
        book = read_logbook(path)
    except WearcastError:
        return False
    for tally in book.tallies:
        assert tally.read == tally.used + tally.set_aside + tally.ignored, number
    return True


@pytest.mark.parametrize("block", range(20))
def test_the_cells_of_a_mutant_come_out_or_the_file_is_refused(block: int, tmp_path: Path):
    for number in range(block * BLOCK, (block + 1) * BLOCK):
        folder = tmp_path / str(number)
        folder.mkdir()
        try:
            sheets, _ = read_sheets([mutant(number, folder)])
        except WearcastError:
            continue
        for sheet in sheets:
            assert len(sheet.rows) == len(sheet.row_numbers)
            assert sheet.row_numbers == sorted(sheet.row_numbers)


@pytest.mark.parametrize("number", range(1020, 1028))
def test_a_mutant_is_checked_without_a_traceback(number: int):
    assert fuzz.outcome(number, whole=True) in {"0", "1", "2"}


@pytest.mark.parametrize("number", range(4000, 4004))
def test_a_mutant_that_can_be_read_can_be_marked(number: int, tmp_path: Path, capsys):
    path, copy = mutant(number, tmp_path), tmp_path / "marked.xlsx"
    code = run(["check", str(path), "--marked", str(copy)])
    assert code in (0, 1, 2), number
    assert copy.exists() == (code != 2), capsys.readouterr().err


@pytest.mark.parametrize("number", range(2000, 2010))
def test_every_row_of_a_mutant_is_accounted_for(number: int, tmp_path: Path):
    read_mutant(number, tmp_path)


def test_most_mutants_get_past_the_first_look(tmp_path: Path):
    """The mutator would prove little if its logbooks were all refused at the door."""
    read = 0
    for number in range(3000, 3014):
        folder = tmp_path / str(number)
        folder.mkdir()
        read += read_mutant(number, folder)
    assert read >= 5


@pytest.mark.study
@pytest.mark.parametrize("block", range(200))
def test_twenty_thousand_mutants_are_checked(block: int):
    start = 10_000 + block * fuzz.BLOCK
    found = fuzz.outcomes(range(start, start + fuzz.BLOCK))
    assert {number: code for number, code in found.items() if code not in {"0", "1", "2"}} == {}
