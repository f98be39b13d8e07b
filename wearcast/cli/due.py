"""``wearcast due``: what is due for a turn or a change."""

from datetime import date

import click

from wearcast.cli import options
from wearcast.cli.asking import ask
from wearcast.cli.telling import (
    Progress,
    exit_code,
    print_columns,
    print_json,
    print_notes,
    print_table,
    print_text,
)
from wearcast.reports.fields import fields_named
from wearcast.reports.first import due_words
from wearcast.reports.frames import rows_for_json
from wearcast.reports.listing import due_soon
from wearcast.reports.texts import CAUTIONS

_COLUMNS = (
    "due_p50",
    "due_p10",
    "due_p90",
    "machine",
    "site",
    "position",
    "part",
    "edge",
    "edges",
    "next_action",
    "replace_p50",
)


@click.command()
@options.logbooks
@options.due_weeks
@options.site
@options.common
def due(
    logbooks: tuple[str, ...],
    as_of: date | None,
    dates: str | None,
    as_json: bool,
    quiet: bool,
    **asked: object,
) -> int:
    """List the edges due for a turn or a change in the coming weeks, soonest first.

    The forecast plans the work; it does not replace looking at the part.
    """
    progress = Progress(quiet)
    forecast = ask(logbooks, as_of, dates, progress, **asked)
    progress.done()
    frame, choices = due_soon(forecast.due, forecast.choices), forecast.choices
    if as_json:
        day = choices.as_of.strftime("%Y-%m-%d")
        rows = rows_for_json("due", frame)
        weeks = choices.due_weeks
        print_json(command="due", as_of=day, due_weeks=weeks, due=rows, cautions=list(CAUTIONS))
    else:
        fields = fields_named("due", _COLUMNS)
        where = f" at {choices.site}" if choices.site else ""
        title = f"Due{where} within {choices.due_weeks:g} weeks of {choices.as_of:%Y-%m-%d}"
        print_text(due_words(forecast))
        click.echo()
        print_table(title, frame, fields)
        for words in CAUTIONS:
            print_text(words)
        print_columns(fields, quiet)
    print_notes(forecast.told, quiet)
    return exit_code(forecast.told)
