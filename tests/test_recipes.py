"""How DEVELOPERS says to change things works: each change is made in a copy of the package."""

import json
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from tests import fleets
from tests.recipes import RECIPES, Recipe, make

ROOT = Path(__file__).parents[1]
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")


@pytest.fixture(scope="module")
def found(tmp_path_factory: pytest.TempPathFactory) -> dict[str, str]:
    """What each recipe's check ran into in a copy where all are made, by its name."""
    scratch, logs = tmp_path_factory.mktemp("scratch"), tmp_path_factory.mktemp("logs")
    write_logs(logs)
    shutil.copytree(ROOT / "wearcast", scratch / "wearcast",
                    ignore=shutil.ignore_patterns("__pycache__"))  # fmt: skip
    for recipe in RECIPES:
        make(recipe, scratch / "wearcast")
    done = subprocess.run(
        [sys.executable, ROOT / "tests" / "recipes.py", logs], cwd=logs, timeout=300,
        env={"PYTHONPATH": str(scratch), "OPENBLAS_NUM_THREADS": "1"},
        capture_output=True, text=True, check=True,
    )  # fmt: skip
    told: dict[str, str] = json.loads(done.stdout)
    return told


def write_logs(folder: Path) -> None:
    """One fleet's log, with what only a changed package knows."""
    fleet = fleets.make_fleet(11, machines=6, sites=2)
    for name in ("front", "left", "stolen", "other"):
        fleets.write_log(fleet, folder / name)
    sides = {"front blade": "left blade", "rear blade": "right blade"}
    for file in ("changes", "positions"):
        reword(folder / "left" / f"{file}.csv", sides)
    reword(folder / "stolen" / "changes.csv", {"planned": "stolen"})
    reword(folder / "other" / "changes.csv", {"planned": "other"})
    parts = folder / "front" / "parts.csv"
    head, *lines = parts.read_text().splitlines()
    parts.write_text("\n".join([f"{head},colour", *(f"{line},green" for line in lines)]) + "\n")
    (folder / "front" / "settings.csv").write_text("setting,value\nrest_days,2\n")


def reword(path: Path, words: dict[str, str]) -> None:
    text = path.read_text(encoding="utf-8")
    for old, new in words.items():
        assert old in text
        text = text.replace(old, new)
    path.write_text(text, encoding="utf-8")


each_recipe = pytest.mark.parametrize(
    "recipe", [pytest.param(each, id=each.name) for each in RECIPES]
)


@each_recipe
def test_a_change_made_by_its_recipe_works(recipe: Recipe, found: dict[str, str]):
    assert found[recipe.name] == ""


@each_recipe
def test_developers_says_how_many_files_a_change_touches(recipe: Recipe):
    said = re.search(rf"^- \*\*{recipe.name}\*\* \((\d) files?\)", DEVELOPERS, re.M)
    assert said, f"DEVELOPERS: - **{recipe.name}** ({len(recipe.edits)} files): how"
    assert int(said[1]) == len(recipe.edits)
