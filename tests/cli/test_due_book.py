"""``wearcast due --xlsx``: what is filled in reads back as changes and readings."""

import io
from pathlib import Path

import openpyxl
import pandas as pd
import pytest

from tests.reports.workbook.office import edited, needs_office
from wearcast.cli.main import run
from wearcast.logbook.book import Logbook, read_logbook
from wearcast.reports.workbook.sheets import serial

SAMPLE = str(Path(__file__).parents[2] / "sample_logs")
FEW = ["--draws", "60", "-q"]
DAY = pd.Timestamp("2026-10-31")


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> bytes:
    path = tmp_path_factory.mktemp("due") / "due.xlsx"
    assert run(["due", SAMPLE, "--xlsx", str(path), *FEW]) == 0
    return path.read_bytes()


def cells(content: bytes) -> tuple[dict[str, str], list[tuple[str, str]]]:
    """The column's letter by heading, and machine and position of each line."""
    sheet = openpyxl.load_workbook(io.BytesIO(content))["log"]
    at = {cell.value: cell.column_letter for cell in sheet[1]}
    rows = range(2, sheet.max_row + 1)
    return at, [(sheet[f"{at['Machine']}{n}"].value, sheet[f"{at['Position']}{n}"].value)
                for n in rows]  # fmt: skip


def read_back(content: bytes, place: Path) -> tuple[Logbook, str]:
    path = place / "filled.xlsx"
    path.write_bytes(content)
    return read_logbook(SAMPLE, path), str(path)


def of(book: Logbook, table: str, source: str) -> pd.DataFrame:
    rows = getattr(book, table)
    return rows[rows["source"].str.startswith(source)]


@needs_office
def test_lines_with_an_action_are_changes_and_those_with_a_meter_readings(
    made: bytes, tmp_path: Path
):
    at, lines = cells(made)
    steps = [
        *(f'Type_("log", "{at["Done on"]}{row}", {serial(DAY)})' for row in (2, 3, 4)),
        f'Type_("log", "{at["Hour meter"]}3", 9999.5)',
        f'Write_("log", "{at["Action"]}2", "turn")',
        f'Write_("log", "{at["Action"]}4", "fit")',
        f'Write_("log", "{at["Cause"]}4", "damaged")',
    ]
    book, source = read_back(edited(made, tmp_path, *steps), tmp_path)
    done = of(book, "changes", source).set_index(["machine", "position"])
    assert done.loc[lines[0], ["action", "cause"]].tolist() == ["turn", "worn"]
    assert done.loc[lines[2], ["action", "cause"]].tolist() == ["fit", "damaged"]
    assert len(done) == 2
    (reading,) = of(book, "readings", source).to_dict("records")
    assert (reading["machine"], reading["hours"]) == (lines[1][0], 9999.5)
    found = [told.severity for told in book.told if told.source.startswith(source)]
    assert set(found) <= {"note"}  # that a blank cause is worn is told of all changes


def test_a_list_that_nobody_filled_in_says_nothing(made: bytes, tmp_path: Path):
    book, source = read_back(made, tmp_path)
    assert of(book, "changes", source).empty
    assert of(book, "readings", source).empty
    assert not [told for told in book.told if told.severity == "set aside"]


def test_only_a_due_list_of_ours_is_replaced(
    made: bytes, tmp_path: Path, capsys: pytest.CaptureFixture[str]
):
    ours, other = tmp_path / "due.xlsx", tmp_path / "other.xlsx"
    ours.write_bytes(made)
    other.write_bytes(b"PK but no workbook")
    assert run(["due", SAMPLE, "--xlsx", str(ours), *FEW]) == 0
    assert ours.read_bytes() == made
    assert run(["due", SAMPLE, "--xlsx", str(other), *FEW]) == 2
    assert "is not ours to replace" in capsys.readouterr().err
