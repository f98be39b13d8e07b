import json
from pathlib import Path

import openpyxl
import pytest

from wearcast.cli.main import run
from wearcast.logbook.book import read_logbook

LOG = """\
Date,Unit,Meter,Job
2026-01-05,M1,100,
2026-01-08,M1,109,"turned front blade, worn"
2026-01-12,M1,120,new left brush
2026-01-19,M1,141,replaced sealing strip
2026-01-26,M1,163,front blade turned
"""


@pytest.fixture
def log(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    path = tmp_path / "log.csv"
    path.write_text(LOG, encoding="utf-8")
    return path


def decide(path: Path, word: str, **ours: str) -> None:
    """Fill the row of a word, as a person would."""
    book = openpyxl.load_workbook(path)
    sheet = book["words"]
    heads = [cell.value for cell in sheet[1]]
    row = next(row for row in sheet.iter_rows(2) if row[heads.index("theirs")].value == word)
    for name, value in ours.items():
        row[heads.index(name)].value = value
    book.save(path)


def test_the_draft_says_how_far_it_goes(log: Path, capsys: pytest.CaptureFixture[str]):
    assert run(["import", "log.csv", "-o", "mapping.xlsx"]) == 0
    # The line may be broken anywhere between words.
    assert " ".join(capsys.readouterr().out.split()) == (
        "3 of 4 phrases decided, 1 for you. mapping.xlsx is ready: complete the yellow rows of its "
        "sheet words, then run wearcast check log.csv mapping.xlsx"
    )
    assert log.read_text(encoding="utf-8") == LOG


def test_what_nobody_decided_is_set_aside_and_told_and_the_rest_is_read(log: Path):
    run(["import", "log.csv", "-o", "mapping.xlsx", "-q"])
    book = read_logbook("log.csv", "mapping.xlsx")
    done = book.changes[book.changes["observed"]]
    assert list(done["position"]) == ["front blade", "left brush", "front blade"]
    assert [one.value for one in book.told if one.severity == "set aside"] == [
        "replaced sealing strip"
    ]
    decide(Path("mapping.xlsx"), "replaced sealing strip", position="strip", action="fit")
    assert len(read_logbook("log.csv", "mapping.xlsx").changes) == 4


def test_next_quarter_is_read_through_the_same_mapping_and_tells_what_is_new(log: Path):
    run(["import", "log.csv", "-o", "mapping.xlsx", "-q"])
    decide(Path("mapping.xlsx"), "replaced sealing strip", ours="skip")
    log.write_text(
        LOG + "2026-02-02,M1,180,new left brush\n2026-02-09,M1,199,odd job\n", encoding="utf-8"
    )
    book = read_logbook("log.csv", "mapping.xlsx")
    assert [one.value for one in book.told if one.severity == "set aside"] == ["odd job"]
    assert run(["import", "log.csv", "mapping.xlsx", "-o", "next.xlsx", "-q"]) == 0
    rows = [row[2:4] for row in openpyxl.load_workbook("next.xlsx")["words"].values][1:]
    assert rows[0] == ("odd job", None)
    assert ("replaced sealing strip", "skip") in rows


def test_records_become_a_plain_logbook_once(log: Path, capsys: pytest.CaptureFixture[str]):
    run(["import", "log.csv", "-o", "mapping.xlsx", "-q"])
    decide(Path("mapping.xlsx"), "replaced sealing strip", ours="skip")
    assert run(["import", "log.csv", "mapping.xlsx", "--write", "plain.xlsx"]) == 0
    assert capsys.readouterr().out == "plain.xlsx holds 5 readings and 3 changes\n"
    plain, through = read_logbook("plain.xlsx"), read_logbook("log.csv", "mapping.xlsx")
    for name in ("readings", "changes"):
        one, other = (
            getattr(book, name).drop(columns=["source", "row"]) for book in (plain, through)
        )
        assert one.equals(other)


def test_json_says_the_same(log: Path, capsys: pytest.CaptureFixture[str]):
    assert run(["import", "log.csv", "-o", "mapping.xlsx", "--write", "plain.xlsx", "--json"]) == 1
    assert json.loads(capsys.readouterr().out) == {
        "command": "import",
        "mapping": "mapping.xlsx",
        "phrases": 4,
        "decided": 3,
        "told": [],
        "logbook": "plain.xlsx",
        "readings": 5,
        "changes": 3,
        "set_aside": 1,
    }


def test_half_of_what_is_needed_gives_a_draft_and_says_so(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
):
    monkeypatch.chdir(tmp_path)
    Path("work.csv").write_text("Date,Unit,Job\n2026-01-08,M1,turned front blade\n" * 2)
    assert run(["import", "work.csv", "-o", "mapping.xlsx"]) == 1
    said = " ".join(capsys.readouterr().out.split())
    assert "- No sheet shows an hour meter or hours run by machine and day; wear cannot be" in said


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (["log.csv"], "say where the draft goes: -o MAPPING.xlsx; see wearcast import --help"),
        (
            ["log.csv", "-o", "mapping.csv"],
            "mapping.csv: this is written as a workbook; give a name ending in .xlsx",
        ),
        (
            ["log.csv", "-o", "there.xlsx"],
            "there.xlsx is there already and is not ours to replace; choose another name",
        ),
        (
            ["bought.csv", "-o", "mapping.xlsx"],
            "bought.csv says what was bought; purchases alone cannot show wear. No sheet shows an"
            " hour meter or hours run by machine and day; wear cannot be told without it. No sheet"
            " shows what was fitted or turned on which machine; wear cannot be told without it."
            " Type a reading and a change a row into a blank logbook: wearcast new LOGBOOK.xlsx.",
        ),
    ],
)
def test_what_cannot_be_drafted_is_one_line(
    log: Path, arguments: list[str], told: str, capsys: pytest.CaptureFixture[str]
):
    Path("there.xlsx").write_bytes(b"somebody's work")
    Path("bought.csv").write_text("Invoice date,Article,Qty,Unit price\n2026-01-05,blade,4,12\n")
    assert run(["import", *arguments]) == 2
    out, err = capsys.readouterr()
    assert (out, err) == ("", f"wearcast: {told}\n")
