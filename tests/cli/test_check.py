"""``wearcast check``: what a person and a script are shown of a logbook."""

import json
from pathlib import Path

import pytest

from wearcast.cli.main import run

BLANK = (
    "nothing is written in the logbook yet; fill in its tables readings and changes,"
    " then run again."
)
CHANGES = "machine,date,position,action\nM-1,2026-01-05,front blade,fit\n"


def folder_of(place: Path, readings: str, changes: str) -> str:
    place.mkdir()
    (place / "readings.csv").write_text(readings)
    (place / "changes.csv").write_text(changes)
    return str(place)


@pytest.fixture
def template(tmp_path: Path) -> str:
    path = str(tmp_path / "blank.xlsx")
    assert run(["new", path, "-q"]) == 0
    return path


def test_an_untouched_blank_logbook_has_no_fault(template: str, capsys):
    assert run(["check", template]) == 0
    assert capsys.readouterr().out == f"N{BLANK[1:]}\n"


def test_an_untouched_blank_logbook_cannot_be_reported_on(template: str, tmp_path: Path, capsys):
    assert run(["report", template, "-o", str(tmp_path / "out")]) == 2
    assert capsys.readouterr().err == f"wearcast: {BLANK}\n"
    assert not (tmp_path / "out").exists()


def test_headings_alone_are_a_blank_logbook(tmp_path: Path, capsys):
    head = CHANGES.splitlines()[0]
    folder = folder_of(tmp_path / "log", "machine,date,hours\n", f"{head}\n")
    assert run(["check", folder]) == 0
    assert capsys.readouterr().out == f"N{BLANK[1:]}\n"


def test_a_blank_logbook_answers_in_json_too(template: str, capsys):
    assert run(["check", template, "--json"]) == 0
    answer = json.loads(capsys.readouterr().out)
    assert answer == {"command": "check", "as_of": None, "tables": [], "problems": []}


def test_a_blank_logbook_can_be_marked(template: str, tmp_path: Path):
    copy = tmp_path / "marked.xlsx"
    assert run(["check", template, "--marked", str(copy)]) == 0
    assert copy.exists()


def test_a_reading_that_the_curve_contradicts_is_counted_as_set_aside(tmp_path: Path, capsys):
    # The third reading is below the second, and the fourth goes on from the second.
    readings = "".join(
        f"M-1,2026-0{month}-05,{hours}\n"
        for month, hours in ((1, 100), (2, 180), (3, 20), (4, 340), (5, 420))
    )
    folder = folder_of(tmp_path / "log", f"machine,date,hours\n{readings}", CHANGES)
    assert run(["check", folder, "--json"]) == 1
    tables = json.loads(capsys.readouterr().out)["tables"]
    counts = next(each for each in tables if each["table"] == "readings")
    assert [counts[name] for name in ("read", "used", "set_aside", "ignored")] == [5, 4, 1, 0]
