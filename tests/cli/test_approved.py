"""``wearcast order --from-workbook``: what was approved, on the screen and as files."""

import json
from pathlib import Path

import pytest

from tests.reports import makers
from wearcast.cli.main import run
from wearcast.reports.workbook.order_book import order_workbook


@pytest.fixture
def workbook(tmp_path: Path) -> Path:
    (tmp_path / "order.xlsx").write_bytes(order_workbook(makers.forecast(), "x"))
    return tmp_path / "order.xlsx"


def test_the_files_stand_in_a_folder_beside_the_workbook(workbook: Path, capsys):
    assert run(["order", "--from-workbook", str(workbook)]) == 0
    names = sorted(each.name for each in (workbook.parent / "approved").iterdir())
    assert names == [
        "approved-hill-sons-20261031-2.xml", "approved-hill-sons-20261031-3.xml",
        "approved-hill-sons.csv", "approved-minus-ltd-20261031-1.xml", "approved-minus-ltd.csv",
        "approved.csv", "run.json",
    ]  # fmt: skip
    shown = capsys.readouterr()
    assert "Total 298.00 EUR" in shown.out
    assert "Nobody has signed on the sheet Approve" in shown.err
    assert "Nobody is named as From on the sheet Addresses; the documents say so." in shown.err


def test_json_gives_the_lines(workbook: Path, tmp_path: Path, capsys):
    words = ["order", "--from-workbook", str(workbook), "-o", str(tmp_path / "out"), "--json"]
    assert run(words) == 0
    lines = json.loads(capsys.readouterr().out)["approved"]
    assert [line["line_total"] for line in lines] == [48, 125, 125]


@pytest.mark.parametrize("also", [[], ["log.csv", "--from-workbook", "order.xlsx"]])
def test_a_logbook_or_a_workbook_is_given_never_both(also: list[str], capsys):
    assert run(["order", *also]) == 2
    told = capsys.readouterr().err
    assert "give either LOGBOOK or --from-workbook FILE" in told
