"""The same facts give the same bytes, whatever the surroundings and however they are handed over.

Every day a small logbook is tried in a few surroundings at once; the studies (``-m study``) take
every pair of time zone and hash seed with each locale and thread count, and the sample logbook.
"""

import csv
import json
import os
import random
import re
import subprocess
import sys
from datetime import date, datetime
from pathlib import Path

import openpyxl
import pytest

from tests.cli.logbooks import write_logbook
from wearcast.cli.main import run

FEW = ["--draws", "60", "--backtest-dates", "0"]
ZONES = ("UTC", "Pacific/Kiritimati", "America/St_Johns")
LOCALES = ("C.UTF-8", "de_DE.UTF-8", "tr_TR.UTF-8")
"""Where a locale is not installed the variables alone are set."""
SEEDS = ("0", "1", "7", "42", "4294967295")
SAMPLE = Path(__file__).parent.parent / "sample_logs"

Surroundings = dict[str, str]


def around(zone: str, locale: str, seed: str, threads: str) -> Surroundings:
    lone = {"LC_ALL": locale, "LANG": locale, "TZ": zone, "PYTHONHASHSEED": seed}
    return lone | {f"{each}_NUM_THREADS": threads for each in ("OMP", "OPENBLAS", "MKL")}


def report_in(surroundings: Surroundings, place: Path, *logbooks: Path, few: bool = True) -> Path:
    """A report made by a process of its own."""
    command = [sys.executable, "-m", "wearcast", "report", *map(str, logbooks), "-o", str(place)]
    options = ["-q", *(FEW if few else [])]
    subprocess.run([*command, *options], env={**os.environ, **surroundings}, check=True,
                   capture_output=True)  # fmt: skip
    return place


def report(place: Path, *logbooks: Path) -> Path:
    """A report made here."""
    assert run(["report", *map(str, logbooks), "-o", str(place), "-q", *FEW]) == 0
    return place


def contents(place: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in sorted(place.iterdir())}


def facts(place: Path) -> dict[str, object]:
    """Every file, but for what names the files and rows that the facts were read from."""
    held: dict[str, object] = {**contents(place)}
    told = json.loads((place / "run.json").read_text(encoding="utf-8"))
    named = ("problems.csv", "report.html", "order.xlsx")
    held["run.json"] = told | {
        "files": {name: digest for name, digest in told["files"].items() if name not in named}
    }
    with (place / "problems.csv").open(encoding="utf-8", newline="") as file:
        rows = [{**row, "file": "", "row": ""} for row in csv.DictReader(file)]
    held["problems.csv"] = sorted(map(repr, rows))
    page = (place / "report.html").read_text(encoding="utf-8")
    page = re.sub(r'<section id="problems">.*?</section>', "", page, flags=re.DOTALL)
    held["report.html"] = re.sub(r'<th scope="row">Logbook</th><td[^>]*>.*?</td>', "", page)
    held["order.xlsx"] = cells(place / "order.xlsx")
    return held


def cells(workbook: Path) -> list[tuple[str, str, object]]:
    book = openpyxl.load_workbook(workbook)
    return [
        (sheet.title, cell.coordinate, cell.value)
        for sheet in book
        for row in sheet.iter_rows()
        for cell in row
        if sheet.title != "Problems" and not (sheet.title == "Assumptions" and "Logbook" in str(
            row[0].value))
    ]  # fmt: skip


def shuffled(logbook: Path, place: Path, dice: random.Random) -> Path:
    """The logbook with the rows of each table in another order."""
    place.mkdir()
    for path in sorted(logbook.glob("*.csv")):
        heading, *rows = path.read_text(encoding="utf-8").splitlines(keepends=True)
        dice.shuffle(rows)
        (place / path.name).write_text("".join([heading, *rows]), encoding="utf-8")
    return place


def split(logbook: Path, place: Path, dice: random.Random) -> tuple[Path, Path]:
    """The rows of each table dealt out over two folders; an empty table is left out."""
    halves = place / "one", place / "two"
    for half in halves:
        half.mkdir(parents=True)
    for path in sorted(logbook.glob("*.csv")):
        heading, *rows = path.read_text(encoding="utf-8").splitlines(keepends=True)
        side = [dice.random() < 0.5 for _ in rows]
        for number, half in enumerate(halves):
            mine = [row for row, here in zip(rows, side, strict=True) if here == bool(number)]
            if mine:
                (half / path.name).write_text("".join([heading, *mine]), encoding="utf-8")
    return halves


def as_workbook(logbook: Path, path: Path) -> Path:
    """The logbook as one workbook with typed cells."""
    book = openpyxl.Workbook()
    book.remove(book.active)
    for table in sorted(logbook.glob("*.csv")):
        sheet = book.create_sheet(table.stem)
        with table.open(encoding="utf-8", newline="") as file:
            heading, *rows = csv.reader(file)
        sheet.append(heading)
        for row in rows:
            sheet.append([typed(cell) for cell in row])
    book.save(path)
    return path


def typed(cell: str) -> object:
    if re.fullmatch(r"\d{4}-\d\d-\d\d", cell):
        return datetime.combine(date.fromisoformat(cell), datetime.min.time())
    return float(cell) if re.fullmatch(r"\d+(\.\d+)?", cell) else cell or None


@pytest.fixture(scope="module")
def logbook(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return write_logbook(tmp_path_factory.mktemp("log") / "logbook")


@pytest.fixture(scope="module")
def reported(logbook: Path) -> Path:
    return report(logbook.parent / "reports", logbook)


def test_the_surroundings_leave_every_byte_alone(logbook: Path, reported: Path, tmp_path: Path):
    far = around("Pacific/Kiritimati", "tr_TR.UTF-8", "7", "2")
    assert contents(report_in(far, tmp_path / "r", logbook)) == contents(reported)


def test_row_order_split_and_format_leave_every_figure_alone(
    logbook: Path, reported: Path, tmp_path: Path
):
    dice = random.Random(5)
    halves = split(shuffled(logbook, tmp_path / "mixed", dice), tmp_path / "halves", dice)
    book = as_workbook(logbook, tmp_path / "logbook.xlsx")
    wanted = facts(reported)
    for name, given in {"split": halves, "book": (book,)}.items():
        made = facts(report(tmp_path / name, *given))
        for file, held in wanted.items():
            assert made[file] == held, f"{file} of {name}"
        assert set(made) == set(wanted)


@pytest.mark.study
@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize("zone", ZONES)
def test_every_pair_of_surroundings_leaves_every_byte_alone(
    logbook: Path, reported: Path, tmp_path: Path, zone: str, seed: str
):
    turn = ZONES.index(zone) + SEEDS.index(seed)
    there = around(zone, LOCALES[turn % 3], seed, str(1 + turn % 2))
    assert contents(report_in(there, tmp_path / "r", logbook)) == contents(reported)


@pytest.fixture(scope="module")
def sampled(tmp_path_factory: pytest.TempPathFactory) -> Path:
    plain = around("UTC", "C.UTF-8", "0", "1")
    return report_in(plain, tmp_path_factory.mktemp("sample") / "r", SAMPLE, few=False)


@pytest.mark.study
def test_the_sample_is_the_same_far_away_and_with_two_threads(sampled: Path, tmp_path: Path):
    far = around("America/St_Johns", "tr_TR.UTF-8", "42", "2")
    made = report_in(far, tmp_path / "r", SAMPLE, few=False)
    assert contents(made) == contents(sampled)


@pytest.mark.study
@pytest.mark.parametrize("way", ["shuffled and split", "workbook"])
def test_the_sample_is_the_same_however_it_is_handed_over(sampled: Path, tmp_path: Path, way: str):
    dice = random.Random(11)
    mixed = shuffled(SAMPLE, tmp_path / "mixed", dice)
    given = split(mixed, tmp_path / "halves", dice)
    if way == "workbook":
        given = (as_workbook(SAMPLE, tmp_path / "logbook.xlsx"),)
    plain = around("UTC", "de_DE.UTF-8", "1", "1")
    made, wanted = facts(report_in(plain, tmp_path / "r", *given, few=False)), facts(sampled)
    if way == "shuffled and split":
        # A finding is told once a file, so that two halves of a table may tell it twice.
        for each in (made, wanted):
            del each["problems.csv"]
    for file, held in wanted.items():
        assert made[file] == held, file
    assert set(made) == set(wanted)
