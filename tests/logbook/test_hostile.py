"""Every file made to hurt is refused or made harmless, quickly, in little room, in one line."""

import json
import subprocess
import sys
from pathlib import Path

import pytest

from tests.logbook.hostile import MAKERS

ROOT = Path(__file__).parents[2]
SECONDS, MEGABYTES = 2.5, 100
"""Processor time: about a second on an idle machine, and room for a busy one."""


@pytest.fixture(scope="module")
def outcomes(tmp_path_factory) -> dict[str, dict]:
    """One run of `check` a file, in forks of one process."""
    paths = {}
    for name, make in MAKERS.items():
        paths[name] = str(make(tmp_path_factory.mktemp(name)))
    done = subprocess.run(
        [sys.executable, "-W", "error", "-m", "tests.logbook.measure", *paths.values()],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=True,
        timeout=300,
    )
    found = {line["path"]: line for line in map(json.loads, done.stdout.splitlines())}
    return {name: found[path] for name, path in paths.items()}


@pytest.mark.parametrize("name", sorted(MAKERS))
def test_a_hostile_file_ends_in_words_not_in_a_traceback(outcomes, name: str):
    outcome = outcomes[name]
    assert outcome["code"] in (0, 1, 2), outcome["words"]
    assert "Traceback" not in outcome["words"]
    if outcome["code"] == 2:
        assert len(outcome["words"].splitlines()) == 1


@pytest.mark.parametrize("name", sorted(MAKERS))
def test_a_hostile_file_costs_little(outcomes, name: str):
    assert outcomes[name]["seconds"] < SECONDS
    assert outcomes[name]["megabytes"] < MEGABYTES
