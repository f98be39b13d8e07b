"""``wearcast help``: what a table, a file of a report or a setting holds."""

from collections.abc import Sequence

import click

from wearcast.cli import options
from wearcast.cli.main import COMMANDS, wearcast
from wearcast.cli.telling import print_json, print_text, text_lines
from wearcast.errors import UnknownChoice
from wearcast.logbook.schema.spelling import did_you_mean, fold
from wearcast.logbook.schema.tables import SETTINGS, TABLES, Column, Setting
from wearcast.reports.field import Field
from wearcast.reports.fields import OUTPUTS
from wearcast.reports.parcel import FRAMES

Line = tuple[str, str]
_TABLES = {fold(table.name): table for table in TABLES}
_FILES = [
    f"{each}.csv"
    for each in (
        *FRAMES,
        "spells",
        "site_causes",
        "problems",
        "backtest",
        "quote",
        "missing",
        "priced_hours",
    )
]


@click.command()
@click.argument("name", metavar="[TABLE]", default="")
@options.answering
def help(name: str, as_json: bool, quiet: bool) -> int:  # noqa: ARG001 (every command takes it)
    """Say what each column of a table of the logbook holds, or of a file of the report.

    Without a name: which tables and files there are.
    """
    wanted = fold(name.removesuffix(".csv"))
    if wanted == name and wanted in COMMANDS and wanted not in _TABLES:
        return int(wearcast.main([wanted, "--help"], standalone_mode=False) or 0)
    says, lines = _found(name, wanted) if name else ("", _names())
    if as_json:
        rows = [{"name": one.strip("*"), "holds": words} for one, words in lines]
        print_json(command="help", name=name, says=says, columns=rows)
        return 0
    if says:
        print_text(f"A row of {name} says: {says}." + _bold_words(lines))
        click.echo()
    for line in text_lines(list(zip(*lines, strict=True)), [True, True]):
        click.echo(line)
    return 0


def _found(name: str, wanted: str) -> tuple[str, list[Line]]:
    """What a row says, and the columns; floors is a table, floors.csv a file of the report."""
    outputs = {fold(each): fields for each, fields in OUTPUTS.items()}
    if wanted in outputs and (name.endswith(".csv") or wanted not in _TABLES):
        return "", [_field(each) for each in outputs[wanted]]
    if wanted == "settings":
        return _TABLES[wanted].says, [_setting(each) for each in SETTINGS]
    if wanted in _TABLES:
        return _TABLES[wanted].says, [_column(each) for each in _TABLES[wanted].columns]
    cure = did_you_mean(name, [*_TABLES, *_FILES], "wearcast help lists them")
    raise UnknownChoice(f"{name}: no such table or file. {cure}")


def _names() -> list[Line]:
    """Every table with what its rows say, then the files of a report."""
    return [
        *((table.name, f"a row says: {table.says}") for table in TABLES),
        *((each, f"{len(OUTPUTS[each.removesuffix('.csv')])} columns") for each in _FILES),
    ]


def _column(column: Column) -> Line:
    unit = f" [{column.unit}]" if column.unit else ""
    choices = f" ({', '.join(column.choices)})" if column.choices else ""
    return f"{column.name}{'*' if column.needed else ''}", f"{column.meaning}{unit}{choices}"


def _setting(setting: Setting) -> Line:
    choices = f" ({' / '.join(setting.choices)})" if setting.choices else ""
    usual = f"; unless said: {setting.default}" if setting.default else ""
    return setting.name, f"{setting.meaning}{choices}{usual}"


def _field(field: Field) -> Line:
    return field.name, f"{field.heading}: {field.note}" if field.note else field.heading


def _bold_words(lines: Sequence[Line]) -> str:
    starred = any(name.endswith("*") for name, _ in lines)
    return " Columns with a * are needed." if starred else ""
