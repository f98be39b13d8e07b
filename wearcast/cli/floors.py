"""``wearcast floors``: which floor wears parts out, and how fast."""

import json
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
)
from wearcast.forecast import Forecast
from wearcast.quote import rates
from wearcast.reports.effects import effects_shown
from wearcast.reports.fields import OUTPUTS, fields_named
from wearcast.reports.frames import rows_for_json
from wearcast.reports.writing.folder import put_file

_COLUMNS = (
    "wears_as",
    "floor",
    "hours_per_edge",
    "low",
    "high",
    "relative",
    "damaged_per_1000h",
    "hours_to_change",
    "cost_per_100h",
    "worn",
    "damaged",
    "running",
    "basis",
)


@click.command()
@options.logbooks
@options.site
@click.option(
    "--save-rates", type=click.Path(), metavar="FILE", help="Save the rates for wearcast quote."
)
@click.option("--with-prices", is_flag=True, help="Save the catalogue's prices with the rates.")
@options.common
def floors(
    logbooks: tuple[str, ...],
    save_rates: str | None,
    with_prices: bool,
    as_of: date | None,
    dates: str | None,
    as_json: bool,
    quiet: bool,
    **asked: object,
) -> int:
    """Show how long an edge lasts on each floor, and what a floor costs.

    With --site: only the floors that this site's machines work on.
    """
    progress = Progress(quiet)
    forecast = ask(logbooks, as_of, dates, progress, **asked)
    progress.done()
    frame = _of_site(forecast)
    if save_rates is not None:
        _save_rates(forecast, save_rates, with_prices)
    if as_json:
        day = forecast.choices.as_of.strftime("%Y-%m-%d")
        effects = rows_for_json("effects", effects_shown(forecast.wear))
        rows = rows_for_json("floors", frame)
        print_json(command="floors", as_of=day, floors=rows, effects=effects)
    else:
        print_doubts(forecast.told)
        _print_floors(forecast, frame, quiet)
    print_notes(forecast.told, quiet)
    return exit_code(forecast.told)


def _of_site(forecast: Forecast) -> pd.DataFrame:
    """The floors of the site asked for, or all."""
    frame, site = forecast.floors, forecast.choices.site
    if site is None:
        return frame
    machines = forecast.history.machines
    mixes = forecast.history.mixes
    here = mixes[mixes["machine"].isin(machines.index[machines["site"].eq(site)])]
    names = [name for name in forecast.history.floors if here[name].gt(0).any()]
    return frame[frame["floor"].isin(names)]


def _print_floors(forecast: Forecast, frame: pd.DataFrame, quiet: bool) -> None:
    site = forecast.choices.site
    where = f" on the floors of {site}" if site else " by floor"
    money = f", money in {forecast.choices.currency}" if forecast.choices.currency else ""
    shown = fields_named("floors", [name for name in _COLUMNS if name in frame.columns])
    print_table(f"Wear{where}, as of {forecast.choices.as_of:%Y-%m-%d}{money}", frame, shown)
    title = "Front or rear, turned end for end or not: life against each other (low, high: 90 %)"
    print_table(title, effects_shown(forecast.wear), OUTPUTS["effects"])
    print_columns(shown, quiet)


def _save_rates(forecast: Forecast, path: str, with_prices: bool) -> None:
    text = json.dumps(
        rates(forecast, with_prices=with_prices), ensure_ascii=False, allow_nan=False, indent=1
    )
    put_file(f"{text}\n".encode(), path, _is_rates)


def _is_rates(content: bytes) -> bool:
    """Whether a file is a rates document, so that it may be replaced by a newer one."""
    try:
        return {"worn", "torn", "habits"} <= set(json.loads(content))
    except (ValueError, TypeError, RecursionError):
        return False
