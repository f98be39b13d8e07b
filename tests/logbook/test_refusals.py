"""What stops a run or leaves a table out, and what is counted of it."""

from pathlib import Path

import pytest

from tests.logbook.makers import SOUND, read_tables
from wearcast.errors import NothingToFit

HEAD = "machine,date,hours\n"


@pytest.mark.parametrize(
    ("rows", "words"),
    [
        ("", "the table has no rows; write down"),
        ("M1,soon,7\n", 'has no row that can be used (row 2, date "soon": not a date). Write'),
        ("M1,2026-01-05,x\nM1,soon,7\nM1,late,8\n", '(rows 3-4, date "soon, late": not a date)'),
        ("Total,,7\nM1,soon,7 h\nSum,,7\nTotal,,9\n", '(row 3, date "soon": not a date)'),
    ],
    ids=["no rows", "one bad row", "the commonest", "notes are no reason"],
)  # fmt: skip
def test_readings_without_a_row_to_use_say_why(tmp_path: Path, rows: str, words: str):
    with pytest.raises(NothingToFit) as stopped:
        read_tables(tmp_path, {**SOUND, "readings": HEAD + rows})
    assert words in str(stopped.value)


def test_an_as_of_before_the_log_says_so(tmp_path: Path):
    with pytest.raises(NothingToFit, match="no row that can be used up to 2025-01-01"):
        read_tables(tmp_path, SOUND, as_of="2025-01-01")
