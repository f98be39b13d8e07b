"""Every file made to hurt is refused or made harmless, quickly, in little room, in one line."""

import json
import subprocess
import sys
from pathlib import Path

from tests.logbook.forge import pack, parts, save
from tests.studies.reading import (
    hostile,
    hostile_archives,
    hostile_bases,
    hostile_texts,
    hostile_xml,
)

MAKERS = {
    name: make
    for module in (hostile, hostile_archives, hostile_bases, hostile_texts, hostile_xml)
    for name, make in hostile.makers_in(vars(module)).items()
}
SOUND = "a sound logbook"
ROOT = Path(__file__).parents[2]
TIMES, MEGABYTES = 4, 100
"""So many times the processor time of a small sound logbook (a third of a second when idle)."""


def outcomes(folder: Path) -> dict[str, dict]:
    """One run of `check` a file, in forks of one process."""
    paths = {}
    for name, make in {**MAKERS, SOUND: lambda place: save(place, pack(parts()))}.items():
        (folder / name).mkdir()
        paths[name] = str(make(folder / name))
    done = subprocess.run(
        [sys.executable, "-W", "error", "-m", "tests.studies.reading.measure", *paths.values()],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=True,
        timeout=900,
    )
    found = {line["path"]: line for line in map(json.loads, done.stdout.splitlines())}
    return {name: found[path] for name, path in paths.items()}


def harmless(outcome: dict, seconds: float) -> bool:
    """Whether the run ended in words, one line of them if it was refused, and cost little."""
    words = outcome["words"]
    in_words = outcome["code"] in (0, 1, 2) and "Traceback" not in words
    short = outcome["code"] != 2 or len(words.splitlines()) == 1
    return in_words and short and outcome["seconds"] < seconds and outcome["megabytes"] < MEGABYTES


def test_a_hostile_file_ends_in_words_and_costs_little(tmp_path: Path):
    found = outcomes(tmp_path)
    longest = TIMES * found.pop(SOUND)["seconds"]
    assert {name: one for name, one in found.items() if not harmless(one, longest)} == {}
    assert len(found) == len(MAKERS)
