"""``wearcast backtest``: how well it would have done."""

from datetime import date

import click

from wearcast.cli import options
from wearcast.cli.asking import given, read
from wearcast.cli.telling import Progress, exit_code, print_json, print_notes, print_table


@click.command(short_help="How well it would have done.")
@options.logbooks
@options.folder(needed=False)
@options.common
def backtest(
    logbooks: tuple[str, ...],
    output: str | None,
    as_of: date | None,
    dates: str | None,
    as_json: bool,
    quiet: bool,
    **asked: object,
) -> int:
    """Forecast from earlier dates of the logbook and compare with what happened since."""
    from wearcast.backtest import MOST_DATES
    from wearcast.backtest import backtest as look_back
    from wearcast.reports.frames import fields_of, rows_for_json
    from wearcast.reports.writing.folder import refuse_folder

    if output is not None:
        refuse_folder(output, logbooks)
    progress = Progress(quiet)
    progress("Reading the logbook")
    book = read(logbooks, as_of, dates)
    progress("Forecasting from earlier dates")
    result = look_back(book, MOST_DATES, **given(asked))
    if output is not None:
        from wearcast.logbook.choices import choose
        from wearcast.reports.parcel import write_backtest

        write_backtest(result, book, choose(book, **given(asked)), output)
    progress.done()
    if as_json:
        rows = rows_for_json("backtest", result.frame)
        day = book.as_of.strftime("%Y-%m-%d")
        print_json(command="backtest", as_of=day, words=list(result.words), backtest=rows)
    else:
        print_table("Forecast and what happened", result.frame, fields_of("backtest", result.frame))
        for line in result.words:
            click.echo(line)
    print_notes(book.told, quiet)
    return exit_code(book.told)
