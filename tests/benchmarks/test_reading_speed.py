"""How long reading and history of clean fleets take, beside what the files alone take.

``python -m pytest tests/benchmarks/test_reading_speed.py -n 0 -s``. The ways are timed in turn, so
that whatever else the machine does hits all of them; the figure is the ratio of medians of
processor times. Reading CSV files is held against `pandas.read_csv` of the same files, as is the
history; reading a workbook against a bare pass of openpyxl over its cells.
"""

import statistics
import time
from collections.abc import Callable
from pathlib import Path

import openpyxl
import pandas as pd
import pytest

from tests.benchmarks.fleets import write_fleet
from wearcast.history.story import read_history
from wearcast.logbook.book import read_logbook
from wearcast.logbook.sources.files import read_sheets

ROUNDS = 5
CSV_RATIO, HISTORY_RATIO, CELLS_RATIO = 6.0, 2.0, 1.5
"""What was asked for."""
BOOK_MACHINES = 100


def ratios(bare: Callable[[], object], *ways: Callable[[], object]) -> list[float]:
    """Median processor time of each way over that of the bare one, timed in turn."""
    taken: list[list[float]] = [[] for _ in (bare, *ways)]
    for _ in range(ROUNDS):
        for seconds, way in zip(taken, (bare, *ways), strict=True):
            begun = time.process_time()
            way()
            seconds.append(time.process_time() - begun)
    first, *rest = (statistics.median(seconds) for seconds in taken)
    return [one / first for one in rest]


@pytest.mark.parametrize("machines", [2000, 10_000])
def test_reading_and_history_beside_the_bare_files(machines: int, tmp_path: Path):
    write_fleet(machines, tmp_path)
    files = sorted(tmp_path.glob("*.csv"))
    book = read_logbook(tmp_path)
    reading, history = ratios(
        lambda: [pd.read_csv(file) for file in files],
        lambda: read_logbook(tmp_path),
        lambda: read_history(book),
    )
    print(
        f"{machines:,} machines: reading {reading:.1f} x pandas.read_csv (asked {CSV_RATIO:g}),"
        f" history {history:.1f} x (asked {HISTORY_RATIO:g})"
    )


def test_reading_a_workbook_beside_openpyxl(tmp_path: Path):
    write_fleet(BOOK_MACHINES, tmp_path / "fleet")
    path = tmp_path / "fleet.xlsx"
    with pd.ExcelWriter(path, engine="xlsxwriter") as book:
        for file in sorted((tmp_path / "fleet").glob("*.csv")):
            pd.read_csv(file).to_excel(book, sheet_name=file.stem, index=False)
    cells, whole = ratios(
        lambda: bare_pass(path), lambda: read_sheets([path]), lambda: read_logbook(path)
    )
    print(
        f"{BOOK_MACHINES} machines in a workbook: cells {cells:.2f} x openpyxl (asked"
        f" {CELLS_RATIO:g}), logbook {whole:.2f} x"
    )


def bare_pass(path: Path) -> int:
    """Every cell of a workbook once, as openpyxl streams them."""
    book = openpyxl.load_workbook(path, read_only=True, data_only=True)
    filled = sum(
        cell is not None
        for sheet in book.worksheets
        for row in sheet.iter_rows(values_only=True)
        for cell in row
    )
    book.close()
    return filled
