"""README and DEVELOPERS.md say what the program does."""

import re
import tomllib
from pathlib import Path

import pytest

from tests.readme import with_outputs, with_tables
from wearcast.cli.main import COMMANDS

ROOT = Path(__file__).parent.parent
README = (ROOT / "README.md").read_text(encoding="utf-8")


def test_readme_tables_are_the_declared_ones():
    assert with_tables(README) == README, "run python -m tests.readme"


def test_readme_prints_what_its_example_prints(monkeypatch: pytest.MonkeyPatch):
    monkeypatch.chdir(ROOT)
    assert with_outputs(README) == README, "run python -m tests.readme"


@pytest.mark.parametrize("command", COMMANDS)
def test_readme_shows_each_command(command: str):
    table = README[README.index("### All commands") : README.index("## In Python")]
    assert re.search(rf"`(wearcast )?{command}[ `]", table)


def test_start_is_two_commands():
    block = re.search(r"## Start.*?```sh\n(.*?)```", README, re.S)
    assert block is not None
    assert len(block.group(1).strip().splitlines()) == 2


def test_each_dependency_has_its_reason():
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    guide = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    for line in project["dependencies"]:
        name = re.split(r"[><=]", line)[0]
        assert f"| {name} |" in guide, f"{name} has no line in DEVELOPERS.md"


def test_what_developers_names_is_there():
    guide = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    rooms = "logbook|history|wear|outlook|decisions|backtesting|reports|cli|tests"
    named = re.findall(rf"`((?:{rooms})/[a-z_/]+(?:\.[a-z]+)?)`", guide)
    assert named
    gone = [
        each for each in named if not any((ROOT / top / each).exists() for top in ("wearcast", ""))
    ]
    assert not gone


def test_the_top_level_holds_nothing_else():
    known = {"README.md", "DEVELOPERS.md", "pyproject.toml"}
    known |= {"wearcast", "tests", "sample_logs", "reports"}
    here = {path.name for path in ROOT.iterdir() if not path.name.startswith(".")}
    assert {name for name in here if not name.endswith(".egg-info")} <= known
