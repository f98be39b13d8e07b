"""What is told about a logbook: findings, and how they are worded.

A finding never stops the run. Severity is ``set aside`` (the row is not used), ``repaired``
(used, after a change that is told) or ``note`` (used as it stands). One cause gives one finding;
the same cause in many rows gives one finding with all its rows.
"""

from collections.abc import Iterable, Mapping
from typing import Literal, NamedTuple

Severity = Literal["set aside", "repaired", "note"]
GRAVE = 100.0
"""Notes of this weight stand before any figure."""


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
    """What became of a table's rows: read == used + set_aside + ignored + skipped, always."""

    source: str
    table: str
    read: int
    used: int
    set_aside: int
    ignored: int
    skipped: int = 0
    """Rows that the person's own words leave out."""


def recount(tallies: Iterable[Tally], later: Iterable[Problem]) -> tuple[Tally, ...]:
    """The tallies after further rows, used until then, were set aside by later findings."""
    aside: dict[tuple[str, str], set[int]] = {}
    for problem in later:
        if problem.severity == "set aside":
            aside.setdefault((problem.source, problem.table), set()).update(problem.rows)
    counted = []
    for tally in tallies:
        more = min(tally.used, len(aside.get((tally.source, tally.table), ())))
        counted.append(tally._replace(used=tally.used - more, set_aside=tally.set_aside + more))
    return tuple(counted)


MOST_ROWS = 40
"""Rows that a sentence names; the lists of findings hold all of them."""


def row_words(rows: Iterable[int], most: int | None = None) -> str:
    """Rows as a person would list them: ``row 3``, ``rows 3, 7-9``, ``rows 3-9 and 20 more``."""
    numbers = sorted(set(rows))
    if most is not None and len(numbers) > most:
        return f"{row_words(numbers[:most])} and {len(numbers) - most} more"
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
        place.append(row_words(problem.rows, MOST_ROWS))
    if problem.column:
        place.append(problem.column + (f' "{problem.value}"' if problem.value else ""))
    return ", ".join(part for part in place if part)


def sentence(problem: Problem) -> str:
    """The whole finding in one line: where, what is wrong, what to do, what was done."""
    done = {"set aside": "Set aside for now.", "repaired": "Repaired.", "note": ""}
    remedy = f" {problem.remedy}." if problem.remedy else ""
    return f"{place_words(problem)}: {problem.wrong}.{remedy} {done[problem.severity]}".rstrip()


def with_sources(told: Iterable[Problem], tallies: Iterable[Tally]) -> tuple[Problem, ...]:
    """The findings, each with the file of its table where its maker knew the table alone.

    A table that no file or more than one holds is named ``logbook``.
    """
    files: dict[str, set[str]] = {}
    for tally in tallies:
        files.setdefault(tally.table, set()).add(tally.source)
    known = {table: min(names) for table, names in files.items() if len(names) == 1}
    return tuple(
        each._replace(source=known.get(each.table, "logbook"))
        if each.source in ("", each.table)
        else each
        for each in told
    )


def under_headings(
    told: Iterable[Problem], headings: Mapping[tuple[str, str, str], str]
) -> tuple[Problem, ...]:
    """The findings, each at the heading that its column has in the person's own sheet.

    `headings` says which, by source, table and column of ours.
    """
    return tuple(
        each._replace(column=headings.get((each.source, each.table, each.column), each.column))
        for each in told
    )
