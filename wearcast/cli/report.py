"""``wearcast report``: every file in one go."""

from dataclasses import replace
from datetime import date
from pathlib import Path

import click

from wearcast.backtesting.verdict import verdict
from wearcast.cli import looking_back, options
from wearcast.cli.asking import foretell, given, read
from wearcast.cli.telling import (
    Progress,
    exit_code,
    print_doubts,
    print_json,
    print_notes,
    print_text,
)
from wearcast.forecast import Forecast
from wearcast.reports.first import first_words, thin_words
from wearcast.reports.frames import rows_for_json
from wearcast.reports.order.changed import earlier_order
from wearcast.reports.parcel import OF_SITE, report_frames, write_report
from wearcast.reports.writing.folder import RunResult, refuse_folder

_OF_SITE = [f"{name}.csv" for name in (*OF_SITE, "spells", "site_causes")]


@click.command()
@options.logbooks
@options.folder(needed=True)
@options.window
@options.due_weeks
@options.hours
@options.site
@click.option(
    "--backtest-dates",
    type=click.IntRange(0, 8),
    default=4,
    show_default=True,
    metavar="N",
    help="From how many earlier dates to forecast too, to compare with what happened.",
)
@click.option("--full", is_flag=True, help="Write every edge and machine of a large fleet too.")
@options.common
def report(
    logbooks: tuple[str, ...],
    output: str,
    compare: str | None,
    backtest_dates: int,
    full: bool,
    as_of: date | None,
    dates: str | None,
    as_json: bool,
    quiet: bool,
    **asked: object,
) -> int:
    """Write the order, the due list, the year's cost and the page about a logbook.

    Into DIR go report.html, order.xlsx, order-by.ics, a CSV a table and a CSV a supplier.
    """
    refuse_folder(output, logbooks)
    if compare is not None:
        earlier_order(Path(compare))
    progress = Progress(quiet)
    progress("Reading the logbook")
    book = read(logbooks, as_of, dates)
    looked_back = looking_back.begin(book, backtest_dates, given(asked))
    forecast = foretell(book, progress, **asked)
    progress("Forecasting from earlier dates")
    backtest = looked_back()
    if backtest is not None:
        forecast = replace(forecast, told=(*verdict(backtest.frame), *forecast.told))
    progress("Writing the files", 0.2)
    result = write_report(forecast, output, compare, backtest, full=full)
    progress.done()
    if as_json:
        print_json(**_answer(forecast, result))
    else:
        print_doubts(forecast.told)
        _print_first(forecast)
        _print_files(result)
        site = forecast.choices.site
        if site:
            print_text(f"Files of {site} alone: {', '.join(_OF_SITE)}; others: the whole fleet.")
    print_notes(forecast.told, quiet)
    return exit_code(forecast.told)


def _answer(forecast: Forecast, result: RunResult) -> dict[str, object]:
    """The report as one document: the run, its files and the tables a person acts on."""
    frames = report_frames(forecast, edges=False)
    tables = ("order", "due", "floors", "machines", "edges", "cost", "problems")
    return {
        "command": "report",
        "run": result.run,
        "as_of": forecast.choices.as_of.strftime("%Y-%m-%d"),
        "folder": str(result.folder),
        "files": list(result.files),
        **{name: rows_for_json(name, frames[name]) for name in tables},
    }


def _print_first(forecast: Forecast) -> None:
    """What the page says first."""
    thin = thin_words(forecast)
    if thin:
        print_text(thin)
    for each in first_words(forecast):
        print_text(f"{each.about}: {each.words}", "  ")
    click.echo()


def _print_files(result: RunResult) -> None:
    """Where the files are, and which to open first."""
    click.echo(f"Run {result.run}: {len(result.files)} files in {result.folder}")
    for name, words in (
        ("order.xlsx", "what to order, by when and why"),
        ("report.html", "everything on one page, with the due list to print"),
        ("order-by.ics", "the days to order on, for a calendar"),
    ):
        click.echo(f"  {name:<14}{words}")
    if result.left_out:
        print_text(f"Left out, as the fleet is large: {'; '.join(result.left_out)}. With --full "
                   "they are written too.")  # fmt: skip
    if result.earlier:
        click.echo(f"From an earlier run, left as they are: {', '.join(result.earlier)}")
