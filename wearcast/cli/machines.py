"""``wearcast machines``: which machines wear parts faster, and which have changed."""

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
from wearcast.forecast import Forecast
from wearcast.reports.fields import OUTPUTS, fields_named
from wearcast.reports.frames import rows_for_json
from wearcast.reports.listing import of_site
from wearcast.reports.texts import HANDS_TITLE, HANDS_WORDS, likely_causes
from wearcast.wear.diagnostics.hands import ends_by_hand
from wearcast.wear.diagnostics.speed_changes import speed_changes

_COLUMNS = ("machine", "site", "wears_as", "pace", "low", "high", "hours_per_week", "silent_days")
_SURE = (
    "Wear faster or slower than before (over all machines looked at, 1 false alarm in 20 fleets)"
)
_SITES = "The same of sites, each machine there compared with itself"
_GIVEN = "Wear speed since {day:%Y-%m-%d} against before, the least likely to be chance first"


@click.command()
@options.logbooks
@options.site
@click.option("--since", type=click.DateTime(["%Y-%m-%d"]), metavar="DAY",
              help="Compare with before this day; else the day is looked for.")  # fmt: skip
@click.option("--all", "every", is_flag=True, help="Every machine, not only those worth a look.")
@options.common
def machines(
    logbooks: tuple[str, ...],
    since: pd.Timestamp | None,
    every: bool,
    as_of: date | None,
    dates: str | None,
    as_json: bool,
    quiet: bool,
    **asked: object,
) -> int:
    """Show the machines that wear parts faster or slower than the fleet, or than they did.

    A machine is worth a look when it is 95 % sure that its edges wear out a quarter more often
    than the fleet's would in its place, or a fifth less often. It has changed when its worn ends
    come oftener or seldomer than before a day for the wear that its hours and floors explain.
    """
    progress = Progress(quiet)
    forecast = ask(logbooks, as_of, dates, progress, **asked)
    progress.done()
    shown = of_site(forecast.machines, forecast.choices)
    shown = shown if every else shown[shown["look"].ne("")]
    changes, sites = _changes(forecast, since), _site_changes(forecast, since)
    hands = ends_by_hand(forecast.history, forecast.wear)
    if as_json:
        day = forecast.choices.as_of.strftime("%Y-%m-%d")
        rows = rows_for_json("machines", shown)
        changed = rows_for_json("speed_changes", changes)
        print_json(
            command="machines",
            as_of=day,
            machines=rows,
            changes=changed,
            site_changes=rows_for_json("site_speed_changes", sites),
            hands=rows_for_json("hands", hands),
        )
    else:
        print_doubts(forecast.told)
        _print(forecast, shown, changes, since, every=every, quiet=quiet)
        print_table(_SITES, _surest(sites, since), OUTPUTS["site_speed_changes"])
        if len(hands):
            print_table(HANDS_TITLE, hands, OUTPUTS["hands"])
            print_text(HANDS_WORDS)
    print_notes(forecast.told, quiet)
    return exit_code(forecast.told)


def _changes(forecast: Forecast, since: pd.Timestamp | None) -> pd.DataFrame:
    """Machines of the site asked for whose wear speed changed, the surest first."""
    day = None if since is None else pd.Timestamp(since)
    found = speed_changes(forecast.history, forecast.wear, day, forecast.choices.seed)
    site = forecast.history.machines["site"]
    found = of_site(found.assign(site=found["machine"].map(site)), forecast.choices)
    ordered = found.sort_values(["chance", "machine"], kind="stable", ignore_index=True)
    return ordered.drop(columns="site")


def _site_changes(forecast: Forecast, since: pd.Timestamp | None) -> pd.DataFrame:
    """The same of whole sites."""
    day = None if since is None else pd.Timestamp(since)
    seed = forecast.choices.seed
    found = speed_changes(forecast.history, forecast.wear, day, seed, of="site")
    ordered = of_site(found, forecast.choices).sort_values(["chance", "site"], kind="stable")
    return ordered.reset_index(drop=True)


def _surest(changes: pd.DataFrame, since: pd.Timestamp | None) -> pd.DataFrame:
    """All rows where a day was given, else what is sure; in words."""
    told = changes if since is not None else changes[changes["sure"]]
    return told.assign(sure=told["sure"].map({True: "yes", False: ""}))


def _print(
    forecast: Forecast,
    shown: pd.DataFrame,
    changes: pd.DataFrame,
    since: pd.Timestamp | None,
    *,
    every: bool,
    quiet: bool,
) -> None:
    site = forecast.choices.site
    where = f" at {site}" if site else ""
    which = f"Machines worth a look{where}" if not every else f"Every machine{where}"
    fields = fields_named("machines", (*_COLUMNS, "look") if every else _COLUMNS)
    print_table(f"{which}, as of {forecast.choices.as_of:%Y-%m-%d}", shown, fields)
    for look in sorted(set(shown["look"]) - {""}):
        print_text(f"{look.capitalize()}: {likely_causes(look)}", "  ")
    click.echo()
    title = _SURE if since is None else _GIVEN.format(day=since)
    print_table(title, _surest(changes, since), OUTPUTS["speed_changes"])
    print_columns([*fields_named("machines", _COLUMNS), *OUTPUTS["speed_changes"]], quiet)
