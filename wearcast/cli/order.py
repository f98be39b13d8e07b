"""``wearcast order``: what to order, from whom, by when and why."""

from datetime import date
from pathlib import Path

import click
import pandas as pd

from wearcast.cli import options
from wearcast.cli.approved import hand_over
from wearcast.cli.asking import foretell, read
from wearcast.cli.telling import (
    Progress,
    exit_code,
    print_doubts,
    print_json,
    print_notes,
    print_table,
    print_text,
)
from wearcast.decisions.ordering.what_if import with_price_changes
from wearcast.errors import UnknownChoice
from wearcast.forecast import Forecast
from wearcast.reports.fields import OUTPUTS, fields_named
from wearcast.reports.frames import rows_for_json
from wearcast.reports.order.changed import earlier_order
from wearcast.reports.order.lines import lines_to_order
from wearcast.reports.order.news import USED, changes_since
from wearcast.reports.order.titles import order_notes, order_title
from wearcast.reports.parcel import write_order
from wearcast.reports.writing.folder import refuse_folder

_COLUMNS = (
    "supplier",
    "order_by",
    "order_on",
    "depot",
    "part",
    "order_packs",
    "order_pieces",
    "unit_price",
    "line_total",
    "status",
)

_CHANGED = (
    "depot", "part", "change", "before", "ordered", "came", "now", "price_before", "price", "cause",
)  # fmt: skip


@click.command()
@options.logbooks_or_workbook
@options.folder(needed=False)
@options.window
@options.what_if
@options.hours
@options.common
def order(
    logbooks: tuple[str, ...],
    from_workbook: str | None,
    output: str | None,
    compare: str | None,
    price_changes: tuple[tuple[str, float], ...],
    as_of: date | None,
    dates: str | None,
    as_json: bool,
    quiet: bool,
    **asked: object,
) -> int:
    """List what to order until the next order: how many packs, from whom, by when and why.

    With -o also order.xlsx, order.csv, order-by.ics and a CSV a supplier. Once you have edited
    order.xlsx, --from-workbook writes what you approved for a purchasing system.
    """
    if bool(logbooks) == (from_workbook is not None):
        raise UnknownChoice("give either LOGBOOK or --from-workbook FILE")
    if from_workbook is not None:
        return hand_over(from_workbook, output, as_json, quiet)
    if output is not None:
        refuse_folder(output, logbooks)
    if compare is not None:
        earlier_order(Path(compare))
    progress = Progress(quiet)
    progress("Reading the logbook")
    book = with_price_changes(read(logbooks, as_of, dates), dict(price_changes))
    forecast = foretell(book, progress, **asked)
    if output is not None:
        progress("Writing the files")
        write_order(forecast, output, compare)
    progress.done()
    if as_json:
        print_json(**_answer(forecast, compare))
    else:
        print_doubts(forecast.told)
        _print_order(forecast, compare)
        if output is None and not quiet:
            print_text("With -o DIR also the workbook order.xlsx, ready to send.", err=True)
    print_notes(forecast.told, quiet)
    return exit_code(forecast.told)


def _answer(forecast: Forecast, compare: str | None) -> dict[str, object]:
    choices = forecast.choices
    answer: dict[str, object] = {
        "command": "order",
        "as_of": choices.as_of.strftime("%Y-%m-%d"),
        "from": choices.order_from.strftime("%Y-%m-%d"),
        "to": choices.order_to.strftime("%Y-%m-%d"),
        "service_level": choices.service_level,
        "order": rows_for_json("order", forecast.order),
        "orders": rows_for_json("orders", forecast.orders),
        "service": rows_for_json("service", forecast.order_service),
    }
    if compare is not None:
        changes = changes_since(forecast, compare)
        answer["news"] = list(changes.news)
        answer["changed"] = rows_for_json("changed", changes.lines)
        answer["used_since"] = rows_for_json("used_since", changes.used)
    return answer


def _print_order(forecast: Forecast, compare: str | None) -> None:
    """The lines to order, then those to watch with their reasons."""
    choices, lines = forecast.choices, lines_to_order(forecast.order)
    print_table(
        f"{order_title(choices)}, as of {choices.as_of:%Y-%m-%d}",
        lines,
        fields_named("order", _COLUMNS),
    )
    click.echo(_total(lines, choices.currency))
    for words in order_notes(forecast):
        print_text(words)
    click.echo("\nWhy")
    told = forecast.order[["depot", "part", "why"]].astype(str)
    for depot, part, why in zip(*(told[name] for name in told), strict=True):
        print_text(f"{part}, {depot}: {why}", "  ")
    click.echo()
    if compare is not None:
        changes = changes_since(forecast, compare)
        print_text(f"News since {compare}")
        for words in changes.news:
            print_text(words)
        print_table("What changed", changes.lines, fields_named("changed", _CHANGED))
        print_table(USED, changes.used, OUTPUTS["used_since"])


def _total(lines: pd.DataFrame, currency: str) -> str:
    """What the order costs, and how many of its lines have no price."""
    words = f"Total {lines['line_total'].sum():,.2f} {currency}".rstrip()
    bare = int(lines["line_total"].isna().sum())
    return (
        f"{words}, without {bare} {'line' if bare == 1 else 'lines'} of no price" if bare else words
    )
