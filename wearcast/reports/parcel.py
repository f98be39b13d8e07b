"""All files of a run, built in memory and written together.

Same facts, same seed, same versions: same bytes. Nothing here reads the clock; every file but
the CSVs carries the run's id, and ``run.json`` names each file with its digest.
"""

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

import pandas as pd

from wearcast import __version__
from wearcast.logbook.book import Logbook
from wearcast.logbook.choices import Choices
from wearcast.reports.causes import causes_of
from wearcast.reports.frames import csv_files, csv_text, problems_frame
from wearcast.reports.listing import of_site, quote_table
from wearcast.reports.order.calendar import order_calendar
from wearcast.reports.order.lines import supplier_csvs
from wearcast.reports.order.news import Changes, changes_since
from wearcast.reports.order.timeline import Timeline, timeline_of
from wearcast.reports.writing.folder import RunResult, put_files
from wearcast.reports.writing.identity import run_id
from wearcast.reports.writing.ownership import Label

if TYPE_CHECKING:
    from wearcast.backtesting.backtest import Backtest
    from wearcast.decisions.quotes import QuoteResult
    from wearcast.forecast import Forecast

FRAMES = (
    "order",
    "forecast",
    "quantiles",
    "floors",
    "machines",
    "edges",
    "due",
    "cost",
)

OF_SITE = ("machines", "edges", "due")


MANY_ROWS = 100_000
"""A table of single edges or machines that is longer is written only if it is asked for."""


def write_report(
    forecast: "Forecast",
    folder: str | Path,
    compare: str | Path | None = None,
    backtest: "Backtest | None" = None,
    *,
    full: bool = False,
) -> RunResult:
    """Write every file of the report into a folder, whole or not at all.

    Parameters
    ----------
    forecast : Forecast
    folder : path
        Made if it is not there. Only files that an earlier run wrote there are replaced.
    compare : path, optional
        Folder of an earlier report, to say what changed in the order.
    backtest : Backtest, optional
        How well earlier forecasts did, for the page and backtest.csv.
    full : bool
        Also of a large fleet every edge and every machine's use: see `MANY_ROWS`.

    Raises
    ------
    CannotWrite
        If the folder cannot be written or holds other people's files of these names.
    """
    from wearcast.reports.page.report_page import page_html

    edges = int(_shown_edges(forecast).sum())
    frames = report_frames(forecast, edges=full or edges <= MANY_ROWS)
    causes = causes_of(forecast)
    frames["site_causes"] = of_site(causes, forecast.choices)
    if backtest is not None:
        frames["backtest"] = backtest.frame
    run = run_id(forecast.book, forecast.choices)
    changes = changes_since(forecast, compare) if compare is not None else None
    timeline = timeline_of(forecast)
    shown, left_out = (frames, ()) if full else _without_single(frames, edges)
    files = csv_files(shown) | _order_files(forecast, run, changes, timeline)
    changed = changes.lines if changes is not None else None
    files["report.html"] = page_html(forecast, run, backtest, changed, timeline, causes)
    label = _label(forecast.choices, "report", run)
    return replace(put_files(files, folder, label, forecast.book.sources), left_out=left_out)


def _without_single(
    frames: dict[str, pd.DataFrame], edges: int
) -> tuple[dict[str, pd.DataFrame], tuple[str, ...]]:
    """The tables less what is too long to be read, and what that is in words."""
    words, shown = [], dict(frames)
    if edges > MANY_ROWS:
        words.append(f"spells.csv ({edges:,} edges)")
    single = frames["forecast"]["level"].eq("machine")
    if single.sum() > MANY_ROWS:
        words.append(f"single machines in forecast.csv ({single.sum():,} rows)")
        shown["forecast"] = frames["forecast"][~single]
    return shown, tuple(words)


def write_order(
    forecast: "Forecast", folder: str | Path, compare: str | Path | None = None
) -> RunResult:
    """Write the clerk's files alone: order.csv, order.xlsx, order-by.ics, a CSV a supplier."""
    run = run_id(forecast.book, forecast.choices)
    frames = {"order": forecast.order, "problems": problems_frame(forecast.told)}
    changes = changes_since(forecast, compare) if compare is not None else None
    files = csv_files(frames) | _order_files(forecast, run, changes, timeline_of(forecast))
    return put_files(files, folder, _label(forecast.choices, "order", run), forecast.book.sources)


def write_backtest(
    backtest: "Backtest", book: Logbook, choices: Choices, folder: str | Path
) -> RunResult:
    """Write backtest.csv."""
    files = csv_files({"backtest": backtest.frame})
    run = run_id(book, choices)
    return put_files(files, folder, _label(choices, "backtest", run), book.sources)


def write_quote(result: "QuoteResult", folder: str | Path, inputs: Sequence[str] = ()) -> RunResult:
    """Write the offer (quote.html, quote.xlsx), the paper behind it and CSVs, whole or not at all.

    working.html and working.xlsx hold what only those who price should see.

    Parameters
    ----------
    result : QuoteResult
    folder : path
    inputs : paths, optional
        The logbooks that the rates were learnt from, which are never written into.
    """
    from wearcast.reports.offer.book import offer_workbook
    from wearcast.reports.offer.page import offer_html
    from wearcast.reports.quote.book import quote_workbook
    from wearcast.reports.quote.page import quote_html

    table = quote_table(result)
    run = run_id(result.proposal, result.choices, csv_text("quote", table))
    tables = {"missing": result.missing, "priced_hours": result.hours}
    files = csv_files({"quote": table, **tables, "sensitivity": result.sensitivity})
    files |= {"working.xlsx": quote_workbook(result, run), "working.html": quote_html(result, run)}
    files |= {"quote.xlsx": offer_workbook(result, run), "quote.html": offer_html(result, run)}
    label = _label(result.choices, "quote", run)
    return put_files(files, folder, label, [*result.proposal.sources, *inputs])


def report_frames(forecast: "Forecast", *, edges: bool = True) -> dict[str, pd.DataFrame]:
    """Every table of the report by name, as the CSV files hold them; edges: the spells too.

    Of the site asked for what the page shows of it alone, and its spells; an order goes to a depot,
    and a floor's wear is learnt from all sites.
    """
    frames: dict[str, pd.DataFrame] = {name: getattr(forecast, name) for name in FRAMES}
    if forecast.choices.site is not None:
        frames |= {name: of_site(frames[name], forecast.choices) for name in OF_SITE}
    if edges:
        frames["spells"] = forecast.spells[_shown_edges(forecast)]
    return frames | {"problems": problems_frame(forecast.told)}


def _shown_edges(forecast: "Forecast") -> pd.Series:
    """Which spells are at the site asked for; all where none is."""
    machine, site = forecast.history.spells["machine"], forecast.choices.site
    if site is None:
        return pd.Series(True, index=machine.index)
    return machine.map(forecast.history.machines["site"]).eq(site)


def _label(choices: Choices, command: str, run: str) -> Label:
    """What run.json says of the run."""
    day = choices.as_of.strftime("%Y-%m-%d")
    return Label(run, command, __version__, day, choices.seed, choices.draws)


def _order_files(
    forecast: "Forecast", run: str, changes: Changes | None, timeline: Timeline
) -> dict[str, bytes]:
    """The clerk's files beside the CSVs."""
    from wearcast.reports.workbook.order_book import order_workbook

    order = forecast.order
    return {
        "order.xlsx": order_workbook(forecast, run, changes, timeline),
        "order-by.ics": order_calendar(
            order, forecast.choices.as_of, run, changes.ended if changes is not None else ()
        ),
        **supplier_csvs(order),
    }
