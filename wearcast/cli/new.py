"""``wearcast new``: a blank logbook to fill in."""

import click

from wearcast.cli import options
from wearcast.cli.telling import print_json


@click.command()
@click.argument("logbook", metavar="LOGBOOK.xlsx", type=click.Path())
@options.answering
def new(logbook: str, as_json: bool, quiet: bool) -> int:
    """Write a blank logbook: headings, notes, drop-downs and an example row a sheet."""
    from wearcast.logbook.template import write_template

    write_template(logbook)
    if as_json:
        print_json(command="new", file=logbook)
    elif not quiet:
        click.echo(f"{logbook} is ready: fill in its sheets, then run wearcast check {logbook}")
    return 0
