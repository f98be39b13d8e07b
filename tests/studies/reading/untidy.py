"""``python -m tests.studies.reading.untidy --logbooks 2000``: logbooks with several faults at once.

A sound logbook is written untidily in a few ways at once: spelling, words, numbers, dates, rows
that are none, headings, layout, kind of file. Nothing is lost by any of them, so what is read
must be the sound logbook, and each fault must be told exactly once, where it stands. One number
gives one logbook, always the same.
"""

import argparse
import datetime
import random
import tempfile
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from tests.logbook.test_laws import assert_same_facts
from tests.studies.reading.untidy_files import Rows, Tables, fleet, write_files
from wearcast.errors import WearcastError
from wearcast.logbook.book import Logbook, read_logbook
from wearcast.told import Problem

Places = dict[str, tuple[str, ...]]
"""Column -> tables."""
Told = tuple[str, str, int, str]
"""Severity, table, row and column of what must be told."""

DATED: Places = {
    "date": ("readings", "changes"),
    "counted": ("stock",),
    "due": ("on_order",),
    "start": ("plans",),
}
NAMED: Places = {
    "machine": ("readings", "changes", "floors", "positions"),
    "position": ("changes", "positions"),
    "part": ("changes", "positions"),
    "floor": ("floors",),
    "site": ("machines",),
}
HIDDEN = ("\u200b", "\u00ad", " ", "\u00a0")
MONTHS = ("Jan", "Feb", "March", "April", "Mai", "juin", "Juli")
WORDS = {
    "turn": ("turned", "Flipped", "rotated the blade", "next edge"),
    "fit": ("replaced", "New brush", "changed.", "installed"),
    "worn": ("wear", "worn out", "Streaks", "used up"),
    "blade": ("squeegee", "Blades"),
    "brush": ("brushes", "roller"),
}
HEADINGS = {
    "machine": ("Unit", "Scrubber", "Machine ID", "Asset"),
    "date": ("Day", "When"),
    "hours": ("Hrs", "Meter reading", "Hour meter (h)"),
    "part": ("Part no.", "Item"),
    "share": ("Percent",),
    "cause": ("Reason",),
    "on_hand": ("Qty",),
    "due": ("Delivery",),
}
USELESS = (
    ("readings", "date", "31/02/2026"),
    ("readings", "hours", "about 5"),
    ("readings", "hours", "-4"),
    ("readings", "hours", ""),
    ("readings", "date", ""),
    ("changes", "machine", "ZZ-99"),
    ("stock", "part", "QX-77"),
    ("stock", "on_hand", "nan"),
    ("stock", "on_hand", "1.5"),
    ("on_order", "due", "soon"),
    ("on_order", "pieces", "-2"),
    ("plans", "hours_per_week", "400"),
    ("positions", "machine", "ZZ-99"),
)
"""Table, column and text that sets a further row aside."""


@dataclass
class Untidy:
    """A logbook on its way to being untidy; rows are known by their identity."""

    tables: Tables
    rng: random.Random
    titles: dict[str, Rows] = field(default_factory=dict)
    """Rows above the headings."""
    faults: list[tuple[str, str, list[str], str]] = field(default_factory=list)
    """Severity, table, row and column of what must be told."""
    ordered: str = ""
    """How all dates are written, if in one order with two readings."""
    done: list[str] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.names = {name: list(rows[0]) for name, rows in self.tables.items()}

    def at(self, table: str, column: str) -> int:
        """Place of a column, whatever it is headed now."""
        return self.names[table].index(column)

    def has(self, row: list[str], severities: Sequence[str], column: str | None = None) -> bool:
        """Whether a row has a fault of that sort, in that column if one is given."""
        return any(
            other is row and severity in severities and column in (None, where)
            for severity, _, other, where in self.faults
        )

    def free_rows(self, table: str, column: str = "") -> Rows:
        """Rows that are used and without a fault in that column, or in any."""
        found = {
            id(row)
            for severity, _, row, where in self.faults
            if not column or where in (column, "") or severity == "set aside"
        }
        return [row for row in self.tables[table][1:] if id(row) not in found]

    def whole_rows(self, table: str) -> Rows:
        """The rows that are used."""
        return [
            row
            for row in self.tables[table][1:]
            if any(row) and not self.has(row, ("set aside",)) and not self.has(row, ("note",), "")
        ]

    def rewrite(
        self, where: Places, ways: Callable[[str], Sequence[str]], severity: str = ""
    ) -> None:
        """Write one filled cell of these columns in another way; told so, if anything is."""
        column = self.rng.choice(sorted(where))
        table = self.rng.choice(where[column])
        at = self.at(table, column)
        rows = [row for row in self.free_rows(table, column) if row[at]]
        row = self.rng.choice(rows) if rows else [""] * (at + 1)
        options = [text for text in ways(row[at]) if text != row[at]] if row[at] else []
        if options:
            row[at] = self.rng.choice(options)
            if severity:
                self.faults.append((severity, table, row, column))

    def copy_faults(self, table: str, row: list[str], copy: list[str], but: str = "") -> None:
        """What is told of a row is told of its copy, too."""
        self.faults += [
            (severity, name, copy, column)
            for severity, name, other, column in self.faults
            if name == table and other is row and column != but
        ]

    def expected(self) -> set[Told]:
        """What must be told, with rows as the spreadsheet shows them."""
        numbers = {
            id(row): at
            for name, rows in self.tables.items()
            for at, row in enumerate(rows, 1 + len(self.titles.get(name, [])))
        }
        return {
            (severity, table, numbers[id(row)], column)
            for severity, table, row, column in self.faults
        }


def place_of(row: list[str], rows: Rows) -> int:
    """Where this very row stands, not one like it."""
    return next(at for at, other in enumerate(rows) if other is row)


# --- cells


def spell_otherwise(log: Untidy) -> None:
    def ways(name: str) -> list[str]:
        inside = [name[:2] + mark + name[2:] for mark in HIDDEN[:2]]
        around = [one for mark in HIDDEN for one in (name + mark, mark + name)]
        words = [name.lower(), name.upper(), name.replace(" ", "_"), name.replace(" ", "  ")]
        return [*inside, *around, *words, name.replace("-", " ")]

    log.rewrite(NAMED, ways, "repaired")


def use_other_words(log: Untidy) -> None:
    where: Places = {"action": ("changes",), "cause": ("changes",), "kind": ("parts",)}
    log.rewrite(where, lambda word: WORDS.get(word, ()), "repaired")


def put_units(log: Untidy) -> None:
    def ways(text: str) -> list[str]:
        if len(text) > 4:
            return [f"{text} h", f"{text}h", f"{text} hrs", f"{text} [h]"]
        return [f"{text} pcs"] if len(text) < 2 else [f"{text} days", f"{text} d"]

    where: Places = {
        "hours": ("readings",),
        "lead_days": ("parts",),
        "pieces": ("positions", "on_order"),
    }
    log.rewrite(where, ways, "repaired")


def group_thousands(log: Untidy) -> None:
    marks = (" ", "\u00a0", "\u202f", "'", "\u2019")
    log.rewrite(
        {"hours": ("readings",)},
        lambda text: [text[0] + mark + text[1:] for mark in marks],
        "repaired",
    )


def write_hours_and_minutes(log: Untidy) -> None:
    def ways(text: str) -> list[str]:
        whole, tenths = text.replace(",", ".").split(".")
        return [f"{whole}:{int(tenths) * 6:02d}", f"{whole} h {int(tenths) * 6:02d}"]

    log.rewrite({"hours": ("readings",)}, ways, "repaired")


def write_numbers_alike(log: Untidy) -> None:
    where: Places = {"hours": ("readings",), "share": ("floors",)}
    log.rewrite(where, lambda text: [f"+{text}", f" {text} ", f"{text}0", f"0{text}"])


def _iso(text: str) -> datetime.date | None:
    return datetime.date.fromisoformat(text) if len(text) == 10 and text[4] == "-" else None


def write_dates_alike(log: Untidy) -> None:
    def ways(text: str) -> list[str]:
        day = _iso(text)
        if day is None:
            return []
        shapes = ("%Y/%m/%d", "%Y.%m.%d", "%Y%m%d", "%Y-%m-%dT07:30:00Z", "%Y-%m-%d 07:30")
        name = MONTHS[day.month - 1]
        named = (f"{day.day} {name} {day.year}", f"{day.day}-{name}-{day.year}")
        return [*(day.strftime(shape) for shape in shapes), *named]

    log.rewrite(DATED, ways)


def write_day_numbers(log: Untidy) -> None:
    def ways(text: str) -> list[str]:
        day = _iso(text)
        return [str((day - datetime.date(1899, 12, 30)).days)] if day else []

    log.rewrite(DATED, ways, "repaired")


def say_nothing(log: Untidy) -> None:
    table, column = log.rng.choice([("readings", "new_meter"), ("plans", "end")])
    at = log.at(table, column)
    rows = [row for row in log.free_rows(table, column) if not row[at]]
    if rows:
        row = log.rng.choice(rows)
        row[at] = log.rng.choice(["n/a", "-", "?", "none", "#N/A"])
        log.faults.append(("note", table, row, column))


def write_percent(log: Untidy) -> None:
    where: Places = {"share": ("floors",)}

    def ways(text: str) -> list[str]:
        share = f"{float(text.replace(',', '.')) * 100:g}"
        return [f"{share}%", f"{share} %"]

    log.rewrite(where, ways, "repaired")


# --- columns


def write_decimal_commas(log: Untidy) -> None:
    table, column = log.rng.choice([("readings", "hours"), ("floors", "share"), ("parts", "price")])
    at = log.at(table, column)
    for row in log.tables[table][1:]:
        if "." in row[at] and not log.has(row, ("set aside",)):
            row[at] = row[at].replace(".", ",")
            log.faults.append(("repaired", table, row, column))


def write_dates_in_one_order(log: Untidy) -> None:
    if log.ordered:
        return
    log.ordered = log.rng.choice(["%d{0}%m{0}%Y", "%m{0}%d{0}%Y"]).format(log.rng.choice("/.-"))
    for column, tables in DATED.items():
        for table in tables:
            at = log.at(table, column)
            for row in log.tables[table][1:]:
                day = _iso(row[at])
                row[at] = day.strftime(log.ordered) if day else row[at]


# --- rows


def repeat_row(log: Untidy) -> None:
    table = log.rng.choice(["machines", "readings", "changes", "parts", "positions", "floors"])
    rows = log.tables[table]
    row = log.rng.choice(log.whole_rows(table))
    again = list(row)
    rows.insert(log.rng.choice([place_of(row, rows) + 1, len(rows)]), again)
    log.copy_faults(table, row, again)
    log.faults.append(("note", table, again, ""))


def put_other_row(log: Untidy) -> None:
    table = log.rng.choice(["readings", "changes", "stock", "on_order", "positions", "floors"])
    rows = log.tables[table]
    blank = [""] * len(rows[0])
    odd, place = log.rng.choice(
        [
            (blank, log.rng.randrange(2, len(rows) + 1)),
            (rows[0], log.rng.randrange(2, len(rows) + 1)),
            (["# seen by the night shift", *blank[1:]], log.rng.randrange(2, len(rows) + 1)),
            (["-----"] * len(blank), log.rng.randrange(2, len(rows) + 1)),
            (["Total", *blank[1:]], len(rows)),
        ]
    )
    row = list(odd)
    rows.insert(place, row)
    if any(row):
        log.faults.append(("note", table, row, ""))


def put_useless_row(log: Untidy) -> None:
    table, column, text = log.rng.choice(USELESS)
    rows, source = log.tables[table], log.rng.choice(log.whole_rows(table))
    row = list(source)
    row[log.at(table, column)] = text
    rows.insert(log.rng.randrange(2, len(rows) + 1), row)
    if column in ("machine", "part"):  # a cell that cannot be read is all that is told of its row
        log.copy_faults(table, source, row, column)
    log.faults.append(("set aside", table, row, column))


def shuffle_rows(log: Untidy) -> None:
    table = log.rng.choice(["readings", "changes", "floors", "positions"])
    if len(log.free_rows(table)) == len(log.tables[table]) - 1:
        head, *rows = log.tables[table]
        log.rng.shuffle(rows)
        log.tables[table][:] = [head, *rows]


# --- headings


def head_otherwise(log: Untidy) -> None:
    table = log.rng.choice(sorted(log.tables))
    head = log.tables[table][0]
    column = log.rng.choice(log.names[table])
    at = log.at(table, column)
    if column in HEADINGS and head[at] == column:
        head[at] = log.rng.choice(HEADINGS[column])
        log.faults.append(("note", table, head, ""))


def head_in_own_words(log: Untidy) -> None:
    own = log.tables.setdefault("columns", [["table", "theirs", "ours"]])
    log.names["columns"] = list(own[0])
    table = log.rng.choice(sorted({*log.tables} - {"columns"}))
    head, column = log.tables[table][0], log.rng.choice(log.names[table])
    at = log.at(table, column)
    if head[at] == column:
        head[at] = f"Feld {len(own)}"
        own.append([table.upper(), head[at].lower(), column])
        log.faults.append(("note", table, head, ""))


def head_in_other_letters(log: Untidy) -> None:
    head = log.tables[log.rng.choice(sorted(log.tables))][0]
    at = log.rng.randrange(len(head))
    text = head[at]
    head[at] = log.rng.choice(
        [text.upper(), text.title(), f" {text.replace('_', ' ')} ", f"{text}:"]
    )


def add_column(log: Untidy) -> None:
    table = log.rng.choice(sorted(log.tables))
    head, *rows = log.tables[table]
    if "Remarks" in head:
        return
    head.append("Remarks")
    log.names[table].append("Remarks")
    for row in rows:
        row.append(log.rng.choice(["", "", "ok", "12", "2026-01-05"]) if any(row) else "")
    log.faults.append(("note", table, head, "Remarks"))


def move_column(log: Untidy) -> None:
    table = log.rng.choice(["readings", "changes", "stock", "positions", "floors"])
    width = len(log.names[table])
    order = log.rng.sample(range(width), width)
    log.names[table][:] = [log.names[table][at] for at in order]
    for row in log.tables[table]:
        row[:] = [row[at] for at in order]


def put_titles(log: Untidy) -> None:
    titles = [["Scrubbers, North Hall"], ["printed on", "17 February"], [""]]
    log.titles[log.rng.choice(sorted(log.tables))] = titles[: log.rng.randrange(1, 4)]


WAYS: tuple[Callable[[Untidy], None], ...] = (
    *(spell_otherwise, spell_otherwise, spell_otherwise, use_other_words, use_other_words),
    *(put_units, group_thousands, write_hours_and_minutes, write_numbers_alike),
    *(write_dates_alike, write_day_numbers, say_nothing, write_percent, write_decimal_commas),
    *(write_dates_in_one_order, repeat_row, repeat_row, put_other_row, put_other_row),
    *(put_useless_row, put_useless_row, shuffle_rows, head_otherwise, head_otherwise),
    *(head_in_own_words, head_in_other_letters, add_column, move_column, put_titles),
)


def untidied(number: int) -> Untidy:
    """The sound fleet, untidied in three to eight ways."""
    log = Untidy(fleet(), random.Random(number))
    for _ in range(log.rng.randrange(3, 9)):
        way = log.rng.choice(WAYS)
        log.done.append(way.__name__)
        way(log)
    return log


def complaints(log: Untidy, told: Sequence[Problem]) -> list[str]:
    """What is not told exactly once, and what is told without a cause."""
    expected = log.expected()
    found: list[Told] = []
    odd: list[str] = []
    orders = 0
    for one in told:
        orders += "dates are read" in one.wrong
        if "dates are read" not in one.wrong:
            found += [(one.severity, one.table, row, one.column) for row in one.rows]
    odd += [f"not told: {place}" for place in sorted(expected - set(found))]
    odd += [f"told without a cause: {place}" for place in sorted(set(found) - expected)]
    odd += [f"told twice: {place}" for place in sorted(set(found)) if found.count(place) > 1]
    if orders != bool(log.ordered):
        odd.append(f"the order of dates is told {orders} times")
    return odd


def trial(number: int, folder: Path, sound: Logbook) -> list[str]:
    """What is wrong with the reading of one untidy logbook."""
    log = untidied(number)
    try:
        book = read_logbook(*write_files(log, folder))
    except WearcastError as error:
        return [f"refused: {error}"]
    odd = complaints(log, book.told)
    for tally in book.tallies:
        if tally.read != tally.used + tally.set_aside + tally.ignored:
            odd.append(f"rows lost: {tally}")
    try:
        assert_same_facts(book, sound)
    except AssertionError as error:
        odd.append(f"not the sound logbook: {str(error)[:300]}")
    return odd


def main() -> None:
    """Print each logbook that is not read as it should be."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--logbooks", type=int, default=2000)
    parser.add_argument("--first", type=int, default=1000)
    parser.add_argument("--minutes", type=float, default=1e9)
    asked = parser.parse_args()
    until, bad, number = time.monotonic() + 60 * asked.minutes, 0, asked.first
    with tempfile.TemporaryDirectory() as home:
        sound = read_logbook(*write_files(Untidy(fleet(), random.Random(0)), Path(home) / "sound"))
        for number in range(asked.first, asked.first + asked.logbooks):
            if time.monotonic() > until:
                break
            odd = trial(number, Path(home) / str(number), sound)
            bad += bool(odd)
            if odd:
                print(f"{number}: {untidied(number).done}: {odd}", flush=True)  # noqa: T201
    print(f"{number - asked.first + 1} logbooks, {bad} not read as they should be")  # noqa: T201


if __name__ == "__main__":
    main()
