"""``wearcast backtest``: how well it would have done."""

from datetime import date

import click
import pandas as pd

from wearcast.backtesting.backtest import MOST_DATES, Backtest
from wearcast.backtesting.backtest import backtest as look_back
from wearcast.backtesting.left_out import left_out_sites, left_out_words
from wearcast.cli import options
from wearcast.cli.asking import given, read
from wearcast.cli.telling import (
    Progress,
    exit_code,
    print_columns,
    print_json,
    print_notes,
    print_table,
    print_text,
)
from wearcast.logbook.book import Logbook
from wearcast.logbook.choices import choose
from wearcast.reports.fields import OUTPUTS, fields_named
from wearcast.reports.frames import rows_for_json
from wearcast.reports.parcel import write_backtest
from wearcast.reports.writing.folder import refuse_folder

_COLUMNS = ("as_of", "period", "part", "actual", "mean", "p05", "p95")


@click.command()
@options.logbooks
@click.option("--sites-left-out", is_flag=True,
              help="Quote each site from the others alone, against what it cost.")  # fmt: skip
@options.folder(needed=False)
@options.common
def backtest(
    logbooks: tuple[str, ...],
    sites_left_out: bool,
    output: str | None,
    as_of: date | None,
    dates: str | None,
    as_json: bool,
    quiet: bool,
    **asked: object,
) -> int:
    """Forecast from earlier dates of the logbook and compare with what happened since."""
    if output is not None:
        refuse_folder(output, logbooks)
    progress = Progress(quiet)
    progress("Reading the logbook")
    book = read(logbooks, as_of, dates)
    if sites_left_out:
        progress("Leaving out one site after the other")
        return _print_left_out(left_out_sites(book, **given(asked)), book, as_json)
    progress("Forecasting from earlier dates")
    result = look_back(book, MOST_DATES, **given(asked))
    if output is not None:
        write_backtest(result, book, choose(book, **given(asked)), output)
    progress.done()
    if as_json:
        day = book.as_of.strftime("%Y-%m-%d")
        print_json(
            command="backtest",
            as_of=day,
            words=list(result.words),
            record=rows_for_json("record", result.summary),
            backtest=rows_for_json("backtest", result.frame),
        )
    else:
        _print_record(result, quiet)
    print_notes(book.told, quiet)
    return exit_code(book.told)


def _print_left_out(frame: pd.DataFrame, book: Logbook, as_json: bool) -> int:
    """What a quote would have said of each site that it had never seen."""
    if as_json:
        day, rows = book.as_of.strftime("%Y-%m-%d"), rows_for_json("left_out", frame)
        print_json(command="backtest", as_of=day, words=left_out_words(frame), left_out=rows)
    else:
        click.echo()
        for line in left_out_words(frame):
            print_text(line)
        print_table("Each site's parts in the last 365 days, and the quote for a stranger", frame,
                    OUTPUTS["left_out"])  # fmt: skip
    return exit_code(book.told)


def _print_record(result: Backtest, quiet: bool) -> None:
    """In words, in sum, and part by part for the fleet; the sites stand in the file alone."""
    for line in result.words:
        print_text(line)
    click.echo()
    print_table("How often the range held what happened", result.summary, OUTPUTS["record"])
    fleet = result.frame[result.frame["level"].eq("fleet")]
    print_table("The fleet's use and its forecasts, in pieces", fleet,
                fields_named("backtest", _COLUMNS))  # fmt: skip
    print_columns(OUTPUTS["record"], quiet)
    if not quiet:
        print_text("Every row, sites too: backtest.csv with -o DIR, or --json.", err=True)
