"""What is changed, where, and what is left out (run by name: ``pytest tests/benchmarks``)."""

from pathlib import Path

import pytest

from tests.studies.mutation.changes import changed, lines_run, sites_of

SOURCE = """
@dataclass(frozen=True)
class Pair:
    one: int | None = 3

def both(first, second=2):
    if first > second:
        return [
            a + b for a, b in zip(first, second, strict=True) if a
        ]
    return -1
"""


@pytest.fixture
def module(tmp_path: Path) -> Path:
    path = tmp_path / "pairs.py"
    path.write_text(SOURCE, encoding="utf-8")
    return path


def test_everything_but_annotations_and_flags_without_effect_is_changed(module: Path):
    words = [changed(module, *site)[0].partition(":")[2] for site in sites_of(module)]
    assert sorted(words) == [
        "11 constant: 1 -> 2",
        "11 unary: -1 -> --1",
        "4 constant: 3 -> 4",
        "6 constant: 2 -> 3",
        "7 comparison: first > second -> first >= second",
        "7 condition: if first > second: -> if not first > second:",
        "9 filter:  for a, b in zip(first, second, strict=True) if a ->  "
        "for a, b in zip(first, second, strict=True)",
        "9 sign: a + b -> a - b",
    ]


def test_a_place_runs_with_its_statement_and_a_default_with_its_function(module: Path):
    lines = {changed(module, *site)[0]: lines_run(module, site[0]) for site in sites_of(module)}
    assert lines["pairs.py:4 constant: 3 -> 4"] == range(0)
    assert lines["pairs.py:6 constant: 2 -> 3"] == range(7, 12)
    assert lines["pairs.py:7 comparison: first > second -> first >= second"] == range(7, 8)
    assert lines["pairs.py:9 sign: a + b -> a - b"] == range(8, 11)


def test_one_change_alters_one_thing(module: Path):
    place, how = next(site for site in sites_of(module) if site[1] == "comparison")
    before = compile(SOURCE, "", "exec", 1024)
    assert before
    assert changed(module, place, how)[1].count(">=") == 1
