"""The changes that DEVELOPERS says how to make, and what must then work.

Run in a scratch copy of the package, once all of them are made there (`tests.test_recipes`):

    PYTHONPATH=SCRATCH python tests/recipes.py FOLDER

writes as JSON what each recipe's check ran into, blank where it works. FOLDER holds the logs.
"""

import io
import json
import sys
import traceback
from collections.abc import Callable
from contextlib import redirect_stdout
from functools import cache
from pathlib import Path
from typing import NamedTuple

import numpy as np


class Recipe(NamedTuple):
    """One change."""

    name: str
    """As DEVELOPERS has it."""
    edits: dict[str, tuple[tuple[str, str], ...]]
    """File of the package -> (a text that is there once, what comes before it); "" is a new file.
    """
    check: Callable[[Path], None]
    """Fails unless the change works."""


def column(logs: Path) -> None:
    import wearcast

    book = wearcast.read_logbook(logs / "front")
    assert set(book.parts["colour"]) == {"green"}
    assert not [each for each in book.told if each.column == "colour"]
    assert "what it looks like" in said("help", "parts")


def setting(logs: Path) -> None:
    import wearcast
    from wearcast.logbook.choices import choose

    book = wearcast.read_logbook(logs / "front")
    assert choose(book).rest_days == 2.0
    assert choose(book, rest_days=3).rest_days == 3.0


def cause(logs: Path) -> None:
    import wearcast

    fits = [wearcast.fit(wearcast.read_logbook(logs / name)) for name in ("stolen", "other")]
    assert "stolen" in set(fits[0].history.spells["cause"])
    here, there = (each.summary_frame()["hours_per_edge"] for each in fits)
    np.testing.assert_allclose(here, there)


def effect(logs: Path) -> None:
    import wearcast
    from wearcast.wear.tables.effects import effect_rows

    found = []
    for name in ("front", "left"):
        wear = wearcast.fit(wearcast.read_logbook(logs / name)).wear
        blocks = [(each, (name,), wear.worn) for each in wear.classes]
        found.append(effect_rows(blocks))
    assert len(found[0])
    np.testing.assert_allclose(found[1]["life_ratio"], found[0]["life_ratio"], rtol=1e-6)


def output_column(logs: Path) -> None:
    assert "hours_per_year" in written(logs)["machines.csv"].decode().splitlines()[0]
    assert "Hours a year" in said("help", "machines.csv")


def output(logs: Path) -> None:
    lines = written(logs)["hours.csv"].decode().splitlines()
    assert lines[0].lstrip("\ufeff") == "site,hours_per_week"
    assert len(lines) == 3
    assert "Hours a week of all its machines" in said("help", "hours.csv")
    assert "hours.csv" in said("help")


def command(logs: Path) -> None:
    assert "Print how many machines there are." in said("--help")
    assert said("count", str(logs / "front")).split()[0] == "6"


def public_name(logs: Path) -> None:
    import wearcast

    assert "hours_ahead" in dir(wearcast)
    assert callable(wearcast.hours_ahead)


def said(*words: str) -> str:
    """What a command prints, on one line."""
    from wearcast.cli.main import run

    with redirect_stdout(io.StringIO()) as out:
        assert run(words) == 0
    return " ".join(out.getvalue().split())


@cache
def written(logs: Path) -> dict[str, bytes]:
    """The CSV files of a report."""
    import wearcast
    from wearcast.reports.frames import csv_files
    from wearcast.reports.parcel import report_frames

    return csv_files(
        report_frames(wearcast.forecast(wearcast.read_logbook(logs / "front"), draws=20))
    )


TABLES, CHOICES = "logbook/schema/tables.py", "logbook/choices.py"
FIELDS, FORECAST = "reports/fields.py", "forecast.py"
RECIPES = (
    Recipe(
        "A column of the logbook",
        {TABLES: (('Column("turn_minutes"', 'Column("colour", "text", "what it looks like"),\n'),)},
        column,
    ),
    Recipe(
        "A setting",
        {
            TABLES: (
                ('Setting("currency"', 'Setting("rest_days", "rest", "0", "number", 0, 9),\n    '),
            ),
            CHOICES: (
                ("    valid_until: date |", "    rest_days: float | None\n"),
                ("    site: str | None = None", "    rest_days: float = 0.0\n"),
            ),
        },
        setting,
    ),
    Recipe(
        "A cause",
        {
            TABLES: (('"other")\nUNKNOWN', '"stolen", '),),
            "wear/causes.py": (('    Cause("unknown"', '    Cause("stolen", "taken off"),\n'),),
        },
        cause,
    ),
    Recipe(
        "An effect on wear",
        {
            "wear/covariates.py": (
                (
                    "_PLACE_COLUMNS = {",
                    "def _left(spells):\n"
                    "    worn = spells['cause'].eq('worn')\n"
                    "    side = spells['position'].map({'left blade': 0.5, 'right blade': -0.5})\n"
                    "    enough = min((worn & side.eq(way)).sum() for way in (-0.5, 0.5)) > 4\n"
                    "    return side.fillna(0.0) if enough else None\n\n\n",
                ),
                ('"front": _front, "turning": _turning}', '"left": _left, '),
                (
                    '    Effect("turning"',
                    '    Effect("left", _column("left", _left), 0.3, 0.0, "left or right"),\n',
                ),
            )
        },
        effect,
    ),
    Recipe(
        "A column of an output",
        {
            FORECAST: (
                (
                    "    table = wear.machine_table",
                    '    runs = runs.assign(hours_per_year=52 * runs["hours_per_week"])\n',
                ),
            ),
            FIELDS: (
                (
                    '    Field("silent_days"',
                    '    Field("hours_per_year", "hours", "Hours a year", "Recent ones."),\n',
                ),
            ),
        },
        output_column,
    ),
    Recipe(
        "An output",
        {
            FORECAST: (
                ("    told: tuple[Problem, ...]\n    part_choice", "    hours: pd.DataFrame\n"),
                (
                    "        told=under_headings(",
                    '        hours=history.machines.groupby("site", as_index=False)'
                    '["hours_per_week"].sum(),\n',
                ),
            ),
            FIELDS: (
                (
                    "OUTPUTS: dict",
                    'HOURS = (SITE, Field("hours_per_week", "hours", "Hours a week", '
                    '"Hours a week of all its machines."))\n',
                ),
                ('    "quantiles": QUANTILES', '    "hours": HOURS,\n'),
            ),
            "reports/parcel.py": (('    "quantiles",', '    "hours",\n'),),
        },
        output,
    ),
    Recipe(
        "A command",
        {
            "cli/main.py": (
                ('    "cost": "The', '    "count": "Print how many machines there are.",\n'),
            ),
            "cli/count.py": (
                (
                    "",
                    "import click\n\nfrom wearcast.logbook.book import read_logbook\n\n\n"
                    '@click.command()\n@click.argument("logbook")\n'
                    "def count(logbook: str) -> int:\n"
                    '    """Print how many machines there are."""\n'
                    "    click.echo(len(read_logbook(logbook).machines))\n    return 0\n",
                ),
            ),
        },
        command,
    ),
    Recipe(
        "A public name",
        {
            "__init__.py": (
                (
                    "    from wearcast.quote import",
                    "    from wearcast.outlook.hours import hours_ahead\n",
                ),
                ('    "order",\n    "plot', '    "hours_ahead",\n'),
                ('    "quote": ("quote"', '    "outlook.hours": ("hours_ahead",),\n'),
            )
        },
        public_name,
    ),
)


def make(recipe: Recipe, package: Path) -> None:
    """Make the change in a copy of the package."""
    for file, edits in recipe.edits.items():
        path = package / file
        for mark, text in edits:
            was = path.read_text(encoding="utf-8") if mark else ""
            assert not mark or was.count(mark) == 1, f"{file}: {mark}"
            path.write_text(was.replace(mark, text + mark), encoding="utf-8")


def main(logs: Path) -> None:
    """Write what each check ran into."""
    found = {}
    for recipe in RECIPES:
        try:
            recipe.check(logs)
            found[recipe.name] = ""
        except Exception:
            found[recipe.name] = traceback.format_exc()
    sys.stdout.write(json.dumps(found))


if __name__ == "__main__":
    main(Path(sys.argv[1]))
