"""``python -m tests.studies.odd_logbooks --logbooks 300``: logbooks that say odd things.

A simulated log of four machines takes a few oddities, most at the very ends of what the
declaration of the tables allows: whole columns at their least or most, all changes of one kind, one
machine left, a table gone. Each then goes through ``report`` or ``quote`` with every warning an
error. One number gives one logbook, always the same.
"""

import argparse
import contextlib
import io
import json
import random
import re
import tempfile
import time
import traceback
import warnings
from collections import Counter
from collections.abc import Callable
from functools import cache
from pathlib import Path

import pandas as pd

import wearcast
from tests.fleets import AS_OF, log_tables, make_fleet, write_log
from wearcast.cli.main import run
from wearcast.logbook.schema.tables import BY_NAME, SETTINGS, Column
from wearcast.quote import rates

Tables = dict[str, pd.DataFrame]
DRAWS = "40"
_DATES = (0, 0, 1, -1, -30, 30, -400, 400, -4000, 4000)
"""Days from as-of."""
_NO_NUMBER = re.compile(rb"[,> ]-?(inf|nan|NaN|NaT|None|<NA>)[ ,<\r\n]")


def odd_logbook(number: int) -> Tables:
    """A logbook with one to four oddities, as tables of texts."""
    rng = random.Random(number)
    fleet = make_fleet(
        number % 7, ("steady", "growth", "moved", "short")[number % 4], machines=4, sites=2,
        history=rng.choice([4, 30, 60, 110]),
    )  # fmt: skip
    tables = {name: frame.astype(str) for name, frame in log_tables(fleet).items()}
    tables = {name: frame.replace({"nan": "", "NaT": ""}) for name, frame in tables.items()}
    for _ in range(rng.choice([1, 1, 2, 3, 4])):
        rng.choice(ODDITIES)(tables, rng)
    return tables


def fill_column(tables: Tables, rng: random.Random) -> None:
    """One column of some or all rows gets a value that its declaration allows."""
    name = rng.choice([name for name in sorted(tables) if name != "settings"])
    frame, column = tables[name], rng.choice(BY_NAME[name].columns)
    rows = rng.choice([1.0, 1.0, 0.5, 0.1])
    same = value_of(column, frame, rng)
    old = frame[column.name] if column.name in frame else [""] * len(frame)
    new = [same if rng.random() < rows else each for each in old]
    tables[name] = frame.assign(**{column.name: new})


def value_of(column: Column, frame: pd.DataFrame, rng: random.Random) -> str:
    """A value that may stand in the column, rather an extreme one."""
    values = ["", *column.choices]
    if column.kind in ("number", "count"):
        values += [f"{each:.12g}" for each in (column.low, column.high) if each is not None]
        values += ["0", "1", "2", "30", "1000"]
    elif column.kind == "date":
        values = ["", *(f"{AS_OF + pd.Timedelta(days=days):%Y-%m-%d}" for days in _DATES)]
    elif not column.choices:
        values += ["new name", *frame.get(column.name, pd.Series(dtype=str)).unique()[:3]]
    return rng.choice(values)


def set_options(tables: Tables, rng: random.Random) -> None:
    """A few settings at an end of what they may be."""
    rows = {"as_of": f"{AS_OF:%Y-%m-%d}"}
    for setting in rng.sample([each for each in SETTINGS if each.name != "as_of"], 3):
        ends = [f"{each:g}" for each in (setting.low, setting.high) if each is not None]
        rows[setting.name] = rng.choice([*ends, *setting.choices, setting.default or "EUR"])
    tables["settings"] = pd.DataFrame({"setting": list(rows), "value": list(rows.values())})


def keep_one(tables: Tables, rng: random.Random) -> None:
    """Only the rows of one machine, part, position, date or other value of a table."""
    name = rng.choice([name for name in sorted(tables) if name != "settings"])
    column = rng.choice(list(tables[name].columns))
    for each in rng.choice([[name], sorted(tables)]):
        frame = tables[each]
        if column in frame and len(frame):
            kept = rng.choice(list(frame[column]))
            tables[each] = frame[frame[column] == kept]


def keep_few(tables: Tables, rng: random.Random) -> None:
    """The first few rows of a table, or some of them."""
    name = rng.choice(sorted(tables))
    frame = tables[name]
    tables[name] = frame.iloc[: rng.choice([0, 1, 2, 5])] if rng.random() < 0.5 else frame.iloc[::7]


def lose_table(tables: Tables, rng: random.Random) -> None:
    name = rng.choice([name for name in sorted(tables) if name not in ("readings", "changes")])
    if name != "settings":
        del tables[name]


def put_stock(tables: Tables, rng: random.Random) -> None:
    """Stock and open orders, none or plenty."""
    parts = tables["changes"]["part"].unique()[:6]
    held = [rng.choice(["0", "1", "7", "10000000"]) for _ in parts]
    tables["stock"] = pd.DataFrame({"part": parts, "on_hand": held})
    due = [f"{AS_OF + pd.Timedelta(days=rng.choice(_DATES)):%Y-%m-%d}" for _ in parts]
    tables["on_order"] = pd.DataFrame({"part": parts, "pieces": held, "due": due})


def repeat_dates(tables: Tables, rng: random.Random) -> None:
    """All changes, or all readings, on the days of a few of them."""
    frame = tables[name := rng.choice(["changes", "readings"])]
    days = list(frame["date"])[: rng.choice([1, 2, 9])] or [""]
    tables[name] = frame.assign(date=[rng.choice(days) for _ in range(len(frame))])


ODDITIES: tuple[Callable[[Tables, random.Random], None], ...] = (
    *(fill_column,) * 8,
    *(keep_one, keep_one, keep_few, lose_table, set_options, set_options, put_stock, repeat_dates),
)


@cache
def _rates() -> str:
    """What a fleet without oddities teaches, as ``--save-rates`` writes it."""
    with tempfile.TemporaryDirectory() as folder:
        log = write_log(make_fleet(1, machines=6, sites=2, history=60), Path(folder) / "log")
        return json.dumps(rates(wearcast.fit(wearcast.read_logbook(log))))


def outcome(number: int, folder: Path) -> str:
    """How the run on an odd logbook ended: ``0``, ``1``, ``2``, or what should not be."""
    tables = odd_logbook(number)
    book, said = folder / "book", io.StringIO()
    book.mkdir()
    for name, frame in tables.items():
        frame.to_csv(book / f"{name}.csv", index=False)
    asked = ["report", str(book), "-o", str(folder / "out"), "--backtest-dates", "0"]
    if number % 5 == 0:
        (book / "readings.csv").unlink()
        (book / "changes.csv").unlink()
        (folder / "rates.json").write_text(_rates())
        asked = ["quote", str(book), "--rates", str(folder / "rates.json")]
        asked += ["-o", str(folder / "out")]
    with contextlib.redirect_stdout(said), contextlib.redirect_stderr(said):
        try:
            code = run([*asked, "--draws", DRAWS, "-q"])
        except Exception as error:
            place = traceback.extract_tb(error.__traceback__)[-1]
            return f"{type(error).__name__}: {error} ({Path(place.filename).name}:{place.lineno})"
    words = said.getvalue()
    if code not in (0, 1, 2) or "Traceback" in words:
        return f"exit {code}: {words[-300:]}"
    written = list((folder / "out").glob("*"))
    if bool(written) != (code != 2):
        return f"exit {code}, written: {sorted(path.name for path in written)}"
    odd = [path.name for path in written if _NO_NUMBER.search(path.read_bytes())]
    return f"no number in {sorted(odd)}" if odd else str(code)


def main() -> None:
    """Print how many runs ended in which way, and each that should not have."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--logbooks", type=int, default=1_000)
    parser.add_argument("--first", type=int, default=1_000)
    parser.add_argument("--minutes", type=float, default=1e9, help="begin none after these")
    asked = parser.parse_args()
    warnings.simplefilter("error")
    count: Counter[str] = Counter()
    until = time.monotonic() + 60 * asked.minutes
    for number in range(asked.first, asked.first + asked.logbooks):
        with tempfile.TemporaryDirectory() as folder:
            found = outcome(number, Path(folder))
        count[found if len(found) == 1 else "crash"] += 1
        if len(found) > 1:
            print(f"{number}: {found}", flush=True)  # noqa: T201
        if time.monotonic() > until:
            break
    print(dict(sorted(count.items())))  # noqa: T201


if __name__ == "__main__":
    main()
