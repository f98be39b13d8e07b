"""A measured figure whose rooms have changed says so by itself."""

from pathlib import Path

import pytest

from tests.studies.results import RESULTS, ROOT, digest_of, read_results, renewed, stale_rooms

TEXT = """# What the studies gave

## One study

_2026-01-01, commit abc1234; rests on wear 00000000_

| figure | 1 |

## Another

No figures yet.
"""


@pytest.fixture
def house(tmp_path: Path) -> Path:
    room = tmp_path / "wearcast" / "wear"
    room.mkdir(parents=True)
    (room / "fit.py").write_text('"""Why."""\n\n\ndef fit():\n    """What."""\n    return 1\n')
    return tmp_path


def test_comments_docstrings_and_layout_make_nothing_stale(house: Path):
    before = digest_of("wear", house)
    text = '"""Anew."""\n# why\ndef fit():\n\n    "Else."\n    return (1)\n'
    (house / "wearcast" / "wear" / "fit.py").write_text(text)
    assert digest_of("wear", house) == before


@pytest.mark.parametrize("text", ["def fit():\n    return 2\n", "def fit(more=1):\n    return 1\n"])
def test_another_program_makes_stale(house: Path, text: str):
    before = digest_of("wear", house)
    (house / "wearcast" / "wear" / "fit.py").write_text(text)
    assert digest_of("wear", house) != before


def test_another_module_in_the_room_makes_stale(house: Path):
    before = digest_of("wear", house)
    (house / "wearcast" / "wear" / "more.py").write_text("")
    assert digest_of("wear", house) != before


def test_a_study_that_was_run_again_holds():
    (stale,) = read_results(TEXT)
    assert stale_rooms(stale) == ["wear"]
    (fresh,) = read_results(renewed(TEXT, "One study"))
    assert stale_rooms(fresh) == []
    assert "| figure | 1 |" in renewed(TEXT, "One study")


def test_every_section_with_a_table_says_what_it_rests_on():
    text = RESULTS.read_text(encoding="utf-8")
    headings = {part.splitlines()[0] for part in text.split("\n## ")[1:] if "\n|" in part}
    assert {each.heading for each in read_results(text)} == headings


def test_what_results_rest_on_are_rooms():
    results = read_results(RESULTS.read_text(encoding="utf-8"))
    rooms = {room for each in results for room in each.rooms}
    assert all((ROOT / "wearcast" / room).exists() for room in rooms)
