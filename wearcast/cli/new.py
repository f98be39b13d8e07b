"""``wearcast new``: a blank logbook to fill in."""

from pathlib import Path

import click

from wearcast.cli import options
from wearcast.cli.telling import print_json
from wearcast.errors import CannotWrite
from wearcast.logbook.template import blank_logbook
from wearcast.reports.writing.folder import put_file


@click.command()
@click.argument("logbook", metavar="LOGBOOK.xlsx", type=click.Path())
@options.answering
def new(logbook: str, as_json: bool, quiet: bool) -> int:
    """Write a blank logbook: headings, notes, drop-downs and an example row a sheet."""
    if Path(logbook).suffix.lower() != ".xlsx":
        raise CannotWrite(f"{logbook}: a blank logbook is a workbook; give a name ending in .xlsx")
    put_file(blank_logbook(), logbook, _never)
    if as_json:
        print_json(command="new", file=logbook)
    elif not quiet:
        click.echo(f"{logbook} is ready: fill in its sheets, then run wearcast check {logbook}")
    return 0


def _never(content: bytes) -> bool:  # noqa: ARG001 (whatever it holds)
    """A logbook that is there already is somebody's work."""
    return False
