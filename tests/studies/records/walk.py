"""A set of records through ``wearcast import``, with only the blanks decided by a person."""

from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import openpyxl
import pandas as pd

from tests.studies.records import (
    sets_abroad,
    sets_cards,
    sets_clerks,
    sets_english,
    sets_further,
    sets_late,
    sets_layouts,
)
from tests.studies.records.kept import Kept
from wearcast.cli.main import run
from wearcast.errors import WearcastError
from wearcast.logbook.book import Logbook, read_logbook
from wearcast.logbook.schema.spelling import fold, phrase_key

SETS: dict[str, Callable[[Path], Kept]] = {
    name: made
    for room in (
        sets_english,
        sets_abroad,
        sets_layouts,
        sets_further,
        sets_late,
        sets_clerks,
        sets_cards,
    )
    for name, made in vars(room).items()
    if callable(made) and getattr(made, "__module__", "") == room.__name__ and name[0] != "_"
}
"""Every set by name."""


@dataclass(frozen=True)
class Walked:
    """What became of a set.

    Attributes
    ----------
    phrases, decided : int
        Distinct words in the draft, and those with a proposal.
    unanswered : tuple of str
        Blanks to which the set's own dictionary has no answer.
    wrong, missing : int
        Readings and changes that the truth does not hold; that it holds and were not read.
    told : int
        Rows that were set aside, and said so.
    stopped : str
        Why nothing could be read.
    """

    phrases: int = 0
    decided: int = 0
    unanswered: tuple[str, ...] = ()
    wrong: int = 0
    missing: int = 0
    told: int = 0
    stopped: str = ""

    @property
    def silent(self) -> int:
        """Rows that came out wrong, or went missing without being set aside."""
        return self.wrong + max(self.missing - self.told, 0)


def walk(name: str, folder: Path) -> Walked:
    """The set written, drafted, completed, read and compared with its truth."""
    kept = SETS[name](folder)
    mapping = folder / "mapping.xlsx"
    code = run(["import", *map(str, kept.paths), "-o", str(mapping), "-q"])
    if code == 2:
        return Walked(stopped="import")
    phrases, decided, unanswered = complete(mapping, kept)
    if not phrases:  # headings had to be completed first
        again = folder / "mapping 2.xlsx"
        run(["import", *map(str, (*kept.paths, mapping)), "-o", str(again), "-q"])
        mapping = again
        phrases, decided, unanswered = complete(mapping, kept)
    try:
        book = read_logbook(*kept.paths, mapping)
    except WearcastError as stop:
        return Walked(phrases, decided, unanswered, stopped=str(stop))
    wrong, missing = differences(book, kept)
    told = sum(tally.set_aside for tally in book.tallies)
    return Walked(phrases, decided, unanswered, sum(wrong.values()), sum(missing.values()), told)


def complete(mapping: Path, kept: Kept) -> tuple[int, int, tuple[str, ...]]:
    """Fill the blanks of a draft from the set's dictionary; phrases, decided, what it lacks."""
    book = openpyxl.load_workbook(mapping)
    sheet = book["words"]
    names = [cell.value for cell in sheet[1]]
    rows = [dict(zip(names, row, strict=True)) for row in sheet.iter_rows(2, values_only=True)]
    phrases = {(row["column"], row["theirs"]) for row in rows}
    blank = [at for at, row in enumerate(rows) if not (row["ours"] or row["action"])]
    lacking = []
    for at in blank:
        answers = _answers(rows[at], kept)
        if answers is None:
            lacking.append(f"{rows[at]['column']}: {rows[at]['theirs']}")
            continue
        for further, answer in enumerate(answers):
            line = at + 2 if not further else sheet.max_row + 1
            for place, name in enumerate(names, 1):
                sheet.cell(line, place, (rows[at] | answer)[name] or None)
    columns = book["columns"]
    for line in range(2, columns.max_row + 1):
        theirs = columns.cell(line, 3).value
        if not columns.cell(line, 4).value and theirs in kept.columns:
            columns.cell(line, 4, kept.columns[theirs] or None)
    book.save(mapping)
    return len(phrases), len(phrases) - len(blank), tuple(lacking)


def _answers(row: dict, kept: Kept) -> list[dict[str, str]] | None:
    """What the person writes into the row of a word; None if they cannot tell."""
    if row["column"] == "did":
        by_key = {phrase_key(phrase): said for phrase, said in kept.phrases.items()}
        said = by_key.get(phrase_key(row["theirs"]))
        if said is None:
            return None
        names = ("position", "action", "cause")
        return [dict(zip(names, one, strict=True)) for one in said] or [{"ours": "skip"}]
    by_word = {(column, phrase_key(word)): ours for (column, word), ours in kept.words.items()}
    ours = by_word.get((row["column"], phrase_key(row["theirs"])))
    return None if ours is None else [{"ours": ours}]


def differences(book: Logbook, kept: Kept) -> tuple[Counter, Counter]:
    """What was read and is not true, and what is true and was not read."""
    readings = book.readings
    if kept.from_zero:
        readings = readings.assign(hours=_from_zero(readings))
        truth = kept.readings.assign(hours=_from_zero(kept.readings))
    else:
        truth = kept.readings
    found = Counter(_readings(readings, kept.grain))
    found.update(_changes(book.changes[book.changes["observed"]], kept))
    true = Counter(_readings(truth, kept.grain))
    true.update(_changes(kept.changes, kept))
    return found - true, true - found


def _from_zero(readings: pd.DataFrame) -> pd.Series:
    """Hours since each machine's first reading."""
    first = readings.sort_values("date").groupby("machine")["hours"].transform("first")
    return readings["hours"] - first


def _readings(table: pd.DataFrame, grain: str) -> list[tuple]:
    days = table["date"].dt.to_period(grain).astype(str)
    tenths = (table["hours"] * 10).round().astype(int)
    return list(zip(table["machine"].astype(str).map(fold), days, tenths, strict=True))


def _changes(table: pd.DataFrame, kept: Kept) -> list[tuple]:
    """Machine, day and what was done, with what else the truth knows."""
    columns = ["machine", "position", "action", "cause"]
    texts = [table[name].astype(str).map(fold) for name in columns]
    cells = [table["date"].dt.strftime("%Y-%m-%d"), *texts]
    if "hours" in kept.changes:
        cells.append(table["hours"].round(1).fillna(-1))
    if "pieces" in kept.changes:
        pieces = table.get("pieces", pd.Series(float("nan"), table.index))
        cells.append(pieces.fillna(1).astype(int))
    return list(zip(*cells, strict=True))
