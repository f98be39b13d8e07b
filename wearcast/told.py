"""What is told about a logbook: findings, and how they are worded.

A finding never stops the run. Severity is ``set aside`` (the row is not used), ``repaired``
(used, after a change that is told) or ``note`` (used as it stands). One cause gives one finding;
the same cause in many rows gives one finding with all its rows.
"""

from collections.abc import Iterable
from typing import Literal, NamedTuple

Severity = Literal["set aside", "repaired", "note"]


class Problem(NamedTuple):
    """Something in the logbook that was set aside, repaired or is worth knowing."""

    source: str
    """File, as given."""
    table: str
    """Table (sheet) the finding is in; empty for a whole file."""
    rows: tuple[int, ...]
    """Rows as the spreadsheet shows them (the heading of a plain table is row 1)."""
    column: str
    value: str
    """As written by the person."""
    severity: Severity
    wrong: str
    """What is wrong, a clause without a full stop."""
    remedy: str
    """What to do, an imperative sentence without a full stop; empty where nothing is to be done."""
    weight: float = 0.0
    """What it does to the order and the price: findings are shown heaviest first."""


class Tally(NamedTuple):
    """What became of a table's rows: ``read == used + set_aside + ignored``, always."""

    source: str
    table: str
    read: int
    used: int
    set_aside: int
    ignored: int


def row_words(rows: Iterable[int]) -> str:
    """Rows as a person would list them: ``row 3`` or ``rows 3, 7, 9-14``."""
    numbers = sorted(set(rows))
    runs: list[list[int]] = []
    for number in numbers:
        if runs and number == runs[-1][-1] + 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    words = [f"{run[0]}" if len(run) == 1 else f"{run[0]}-{run[-1]}" for run in runs]
    return f"{'row' if len(numbers) == 1 else 'rows'} {', '.join(words)}"


def place_words(problem: Problem) -> str:
    """Where a finding is: file, table, row, column and the value as typed."""
    place = [problem.source]
    if problem.table and problem.table.lower() not in problem.source.lower():
        place.append(problem.table)
    if problem.rows:
        place.append(row_words(problem.rows))
    if problem.column:
        place.append(problem.column + (f' "{problem.value}"' if problem.value else ""))
    return ", ".join(part for part in place if part)


def sentence(problem: Problem) -> str:
    """The whole finding in one line: where, what is wrong, what to do, what was done."""
    done = {"set aside": "Set aside for now.", "repaired": "Repaired.", "note": ""}
    remedy = f" {problem.remedy}." if problem.remedy else ""
    return f"{place_words(problem)}: {problem.wrong}.{remedy} {done[problem.severity]}".rstrip()
