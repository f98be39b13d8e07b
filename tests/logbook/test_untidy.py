"""Logbooks that are untidy in several ways at once: read as the sound one, each fault told once."""

import random
from pathlib import Path

import pytest

from tests.studies.reading.untidy import Untidy, complaints, trial, untidied
from tests.studies.reading.untidy_files import fleet, write_files
from wearcast.logbook.book import Logbook, read_logbook


@pytest.fixture(scope="module")
def sound(tmp_path_factory: pytest.TempPathFactory) -> Logbook:
    folder = tmp_path_factory.mktemp("sound")
    return read_logbook(*write_files(Untidy(fleet(), random.Random(0)), folder / "log"))


@pytest.mark.parametrize("number", range(16))
def test_an_untidy_logbook_is_read_as_the_sound_one(number: int, sound: Logbook, tmp_path: Path):
    assert trial(number, tmp_path / "log", sound) == [], untidied(number).done


def test_a_fault_that_is_not_told_would_be_noticed(sound: Logbook):
    log = next(log for log in map(untidied, range(99)) if log.faults)
    assert any(line.startswith("not told") for line in complaints(log, sound.told))


@pytest.mark.study
@pytest.mark.parametrize("block", range(20))
def test_two_thousand_untidy_logbooks_are_read_as_the_sound_one(
    block: int, sound: Logbook, tmp_path: Path
):
    numbers = range(100 * block + 100, 100 * block + 200)
    odd = {number: trial(number, tmp_path / str(number), sound) for number in numbers}
    assert {number: said for number, said in odd.items() if said} == {}
