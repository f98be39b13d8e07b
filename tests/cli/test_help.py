"""The words of the declaration, a table at a time."""

import json

import pytest

from wearcast.cli.main import run
from wearcast.logbook.schema.tables import SETTINGS, TABLES
from wearcast.reports.fields import OUTPUTS


def said(arguments: list[str], capsys: pytest.CaptureFixture[str]) -> str:
    assert run(["help", *arguments]) == 0
    return capsys.readouterr().out


def test_without_a_name_every_table_is_listed(capsys: pytest.CaptureFixture[str]):
    lines = said([], capsys).splitlines()
    assert [line.split()[0] for line in lines][: len(TABLES)] == [table.name for table in TABLES]


@pytest.mark.parametrize("table", TABLES, ids=lambda table: table.name)
def test_a_table_is_told_column_by_column(table, capsys: pytest.CaptureFixture[str]):
    out = said([table.name], capsys)
    told = SETTINGS if table.name == "settings" else table.columns
    for each in told:
        assert any(line.startswith(each.name) and each.meaning in line for line in out.splitlines())


def test_a_file_of_the_report_is_told_where_a_table_has_its_name(
    capsys: pytest.CaptureFixture[str],
):
    out = said(["floors.csv"], capsys)
    assert [line.split()[0] for line in out.splitlines()] == [
        field.name for field in OUTPUTS["floors"]
    ]


def test_a_command_shows_its_own_help(capsys: pytest.CaptureFixture[str]):
    assert "List the edges due for a turn" in said(["due"], capsys)


def test_json_holds_the_same(capsys: pytest.CaptureFixture[str]):
    answer = json.loads(said(["readings", "--json"], capsys))
    assert [each["name"] for each in answer["columns"]] == ["machine", "date", "hours", "new_meter"]


def test_a_name_that_is_none_is_refused(capsys: pytest.CaptureFixture[str]):
    assert run(["help", "reading"]) == 2
    told = "wearcast: reading: no such table or file. Did you mean readings? wearcast help lists"
    assert capsys.readouterr().err.startswith(told)
