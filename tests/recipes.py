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
import pandas as pd


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


def law(logs: Path) -> None:
    from lifelines import LogLogisticFitter

    import wearcast

    fit = wearcast.fit(wearcast.Logbook.from_frames(**pads()), fit="data only", pace="off")
    spells = fit.history.spells.query("in_fit")
    known = LogLogisticFitter().fit(spells["hours"], spells["cause"].eq("worn"))
    angle = np.pi / known.beta_
    here = fit.summary_frame()["hours_per_edge"]
    np.testing.assert_allclose(here, known.alpha_ * angle / np.sin(angle), rtol=1e-3)
    assert len(wearcast.forecast(wearcast.read_logbook(logs / "front"), draws=20).due)


def pads() -> dict[str, pd.DataFrame]:
    """A log of three pads on one floor, of log-logistic lives: 60 h in the middle, shape 4."""
    rng, first = np.random.default_rng(5), pd.Timestamp("2025-01-01")
    names, weeks = ["A-1", "A-2", "A-3"], np.arange(100)
    read = pd.MultiIndex.from_product([names, weeks], names=["machine", "week"]).to_frame(False)
    ends = pd.DataFrame(60 * np.exp(rng.logistic(0, 0.25, (40, 3))).cumsum(axis=0), columns=names)
    ends = ends.melt(var_name="machine", value_name="hours").query("hours < 28 * 99")
    day = first + pd.to_timedelta(ends["hours"] // 4, "D")
    return {
        "readings": read.assign(date=first + pd.to_timedelta(7 * read["week"], "D"),
                                hours=28.0 * read["week"])[["machine", "date", "hours"]],
        "changes": ends.assign(date=day, position="deck", action="fit", cause="worn"),
        "positions": pd.DataFrame({"machine": names, "position": "deck", "part": "HARD-PAD"}),
        "parts": pd.DataFrame({"part": ["HARD-PAD"], "kind": "pad", "edges": 1}),
    }  # fmt: skip


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
LOG_LOGISTIC = """
from scipy.special import expit


def load_of(log_wear, log_shape):
    k = np.exp(log_shape)
    if log_shape == 0.0:
        wear = np.exp(np.minimum(log_wear, MOST_LOG_LOAD))
        return Load(wear, wear, wear, log_wear * wear, 0 * wear, 0 * wear)
    p = k * log_wear
    u, bend = expit(p), expit(p) * expit(-p)
    return Load(
        np.logaddexp(0, p), k * u, k**2 * bend, p * u, p * u + p**2 * bend, k * u + k * p * bend
    )


def log_hazard_of(log_wear, log_shape):
    if log_shape == 0.0:
        return LogHazard(0 * log_wear, 0.0, 0.0, 0 * log_wear, 0 * log_wear, 0.0)
    own, k = load_of(log_wear, log_shape), np.exp(log_shape)
    p = k * log_wear
    return LogHazard(
        log_shape + p - log_wear - own.value, k - 1 - own.x, -own.xx, 1 + p - own.s, p - own.ss,
        k - own.xs,
    )


def load(log_wear, log_shape):
    return load_at(log_wear, np.exp(log_shape))


def load_at(log_wear, shape):
    wear = np.exp(np.minimum(log_wear, MOST_LOG_LOAD))
    return np.where(shape == 1.0, wear, np.logaddexp(0, shape * log_wear))


def _angle(log_shape):
    return np.pi / np.maximum(np.exp(log_shape), 1.1)


def log_mean_factor(log_shape):
    angle = _angle(np.asarray(log_shape))
    return np.where(log_shape == 0.0, 0.0, np.log(angle / np.sin(angle)))


def mean_factor_slopes(log_shape):
    angle = _angle(log_shape)
    turned = angle / np.tan(angle)
    return float(turned - 1), float((angle / np.sin(angle)) ** 2 - turned)


def log_wear_at(log_load, one_over_shape):
    ran = np.exp(np.minimum(log_load, 6.0))
    log = one_over_shape * (ran + np.log1p(-np.exp(-ran)))
    return np.where(one_over_shape == 1.0, log_load, log)


def worn_out_at(so_far, wait, pace, one_over_shape):
    gone = load_at(np.log(np.maximum(so_far, NO_WEAR)), 1 / one_over_shape)
    return wear_at(np.log(gone + wait / pace), one_over_shape)


"""
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
        "Another law of life",
        {"wear/life.py": (("class FirstEnd(", LOG_LOGISTIC),)},
        law,
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
