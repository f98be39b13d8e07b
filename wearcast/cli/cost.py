"""``wearcast cost``: what the coming year's consumables cost, and by what."""

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
from wearcast.forecast import Forecast, annual_cost
from wearcast.reports.causes import cause_words, causes_of
from wearcast.reports.fields import fields_named
from wearcast.reports.first import like_words
from wearcast.reports.frames import rows_for_json
from wearcast.reports.listing import cost_by
from wearcast.reports.texts import without_price

_COLUMNS = ("where", "kind", "mean", "p10", "p50", "p90", "per_100h", "per_1000m2")


@click.command()
@options.logbooks
@click.option(
    "--by",
    type=click.Choice(["site", "machine", "part", "floor", "month"]),
    default="site",
    show_default=True,
    help="What the cost is split by.",
)
@options.site
@options.hours
@options.common
def cost(
    logbooks: tuple[str, ...],
    by: str,
    as_of: date | None,
    dates: str | None,
    as_json: bool,
    quiet: bool,
    **asked: object,
) -> int:
    """Show the coming year's cost of consumables: expected, and how sure that is."""
    progress = Progress(quiet)
    forecast = ask(logbooks, as_of, dates, progress, **asked)
    progress.done()
    frame, choices = _cost(forecast, by), forecast.choices
    causes = causes_of(forecast) if by == "site" else None
    if as_json:
        day = choices.as_of.strftime("%Y-%m-%d")
        rows = {} if causes is None else {"site_causes": rows_for_json("site_causes", causes)}
        print_json(command="cost", as_of=day, by=by, cost=rows_for_json("cost", frame), **rows)
    else:
        print_doubts(forecast.told)
        fields = fields_named("cost", _COLUMNS)
        print_text(like_words(forecast))
        click.echo()
        print_table(_title(forecast, by), frame, fields)
        for words in [] if causes is None else cause_words(causes, forecast.cost, choices):
            print_text(words)
        bare = without_price(forecast)
        if bare:
            print_text(bare)
        print_columns(fields, quiet)
    print_notes(forecast.told, quiet)
    return exit_code(forecast.told)


def _cost(forecast: Forecast, by: str) -> pd.DataFrame:
    """The fleet's cost or the site's that was asked for, and its split."""
    if forecast.choices.site is None:
        return cost_by(forecast.cost, by)
    return cost_by(annual_cost(forecast, site=forecast.choices.site), by, "site")


def _title(forecast: Forecast, by: str) -> str:
    choices, covers = forecast.choices, forecast.cost["covers"].iloc[:1]
    words = [f"The year after {choices.as_of:%Y-%m-%d} by {by}", *covers[covers.ne("")]]
    words += [f"at {choices.site}"] if choices.site else []
    words += [f"in {choices.currency}"] if choices.currency else []
    return ", ".join(words)
