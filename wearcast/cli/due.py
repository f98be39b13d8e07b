"""``wearcast due``: what is due for a turn or a change."""

from datetime import date

import click
import pandas as pd

from wearcast.cli import options
from wearcast.cli.asking import ask
from wearcast.cli.telling import (
    Progress,
    exit_code,
    print_columns,
    print_doubts,
    print_json,
    print_notes,
    print_table,
    print_text,
)
from wearcast.reports.due_book import TITLE, due_workbook, title_of
from wearcast.reports.due_list import FIELDS, ON_A_TERMINAL, due_groups
from wearcast.reports.fields import Field
from wearcast.reports.first import due_words
from wearcast.reports.frames import rows_for_json
from wearcast.reports.listing import due_soon
from wearcast.reports.texts import CAUTIONS
from wearcast.reports.writing.folder import put_file


@click.command()
@options.logbooks
@options.due_weeks
@options.hours
@options.site
@click.option("--xlsx", type=click.Path(), metavar="FILE",
              help="Write the list as a workbook to fill in, which reads back.")  # fmt: skip
@options.common
def due(
    logbooks: tuple[str, ...],
    xlsx: str | None,
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
    if xlsx is not None:
        put_file(due_workbook(forecast), xlsx, _is_due_book)
    progress.done()
    frame, choices = due_soon(forecast.due, forecast.choices), forecast.choices
    if as_json:
        day = choices.as_of.strftime("%Y-%m-%d")
        rows = rows_for_json("due", frame)
        weeks = choices.due_weeks
        print_json(command="due", as_of=day, due_weeks=weeks, due=rows, cautions=list(CAUTIONS))
    else:
        print_doubts(forecast.told)
        fields = [field for field in FIELDS if field.name in ON_A_TERMINAL]
        print_text(due_words(forecast))
        for group in due_groups(forecast):
            click.echo()
            print_table(group.title, group.rows, _held(fields, group.rows))
            if group.take:
                print_text(group.take)
        click.echo()
        for words in CAUTIONS:
            print_text(words)
        print_columns(fields, quiet)
    print_notes(forecast.told, quiet)
    return exit_code(forecast.told)


def _is_due_book(content: bytes) -> bool:
    """Whether a file is a due list of ours: nothing else is replaced."""
    return content.startswith(b"PK") and TITLE.encode() in title_of(content)


def _held(fields: list[Field], rows: pd.DataFrame) -> list[Field]:
    """The columns that tell rows apart: no blank remarks, no site where all are of one."""
    odd = {"remark": rows["remark"].ne("").any(), "site": len(set(rows["site"])) > 1}
    return [field for field in fields if odd.get(field.name, True)]
