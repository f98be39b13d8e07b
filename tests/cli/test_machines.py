"""``wearcast machines`` in words and as JSON."""

import json
from pathlib import Path

import pytest

from wearcast.cli.main import run

SAMPLE = str(Path(__file__).parents[2] / "sample_logs")
FEW = ["--draws", "60", "-q"]


def test_it_names_the_machines_worth_a_look_and_what_it_often_is(
    capsys: pytest.CaptureFixture[str],
):
    assert run(["machines", SAMPLE, *FEW]) == 0
    said = " ".join(capsys.readouterr().out.split())
    assert "Machines worth a look" in said
    assert "Wears slow: down pressure" in said
    assert "1 false alarm in 20 fleets" in said


def test_a_day_given_compares_every_machine_of_the_site(capsys: pytest.CaptureFixture[str]):
    command = ["machines", SAMPLE, "--since", "2025-11-01", "--site", "Tram Barn", "--json"]
    assert run([*command, *FEW]) == 0
    said = json.loads(capsys.readouterr().out)
    assert {row["since"] for row in said["changes"]} == {"2025-11-01"}
    assert {row["machine"][:2] for row in said["changes"]} == {"TB"}
    chances = [row["chance"] for row in said["changes"]]
    assert chances == sorted(chances)
