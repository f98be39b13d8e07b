"""A table on its way to being checked: its rows, their state, and what is told of them.

A rule returns `Finding`s about rows; `settle` carries them out and words them. Every row is
``used``, ``set aside`` or ``ignored`` at any time, so read = used + set aside + ignored holds by
itself. Rules look at the rows still used, so that one cause gives one finding.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field, replace
from typing import Any, Literal

import numpy as np
import pandas as pd

from wearcast.logbook.schema.tables import Table
from wearcast.told import Problem, Severity, Tally

Outcome = Literal["row", "cell", "ignored", "kept"]
STATES = USED, SET_ASIDE, IGNORED, SKIPPED = "used", "set aside", "ignored", "skipped"

IMPORTANCE = {
    "readings": 6.0,
    "changes": 8.0,
    "stock": 7.0,
    "parts": 6.0,
    "positions": 5.0,
    "on_order": 5.0,
    "plans": 4.0,
    "suppliers": 3.0,
    "settings": 4.0,
    "depots": 2.0,
    "machines": 3.0,
    "floors": 3.0,
    "columns": 2.0,
    "words": 2.0,
}
"""How much a whole table of that name moves the order and the price, on a scale of our own."""
SHARE = {"set aside": 1.0, "repaired": 0.1, "note": 0.05}


@dataclass(frozen=True, slots=True)
class Finding:
    """Something about some rows of a draft, and what is done about it."""

    rows: Sequence[int] | np.ndarray | pd.Index
    """Labels of the draft's frame."""
    column: str
    severity: Severity
    outcome: Outcome
    """``row``: set aside; ``cell``: read as blank; ``ignored``; ``kept``."""
    wrong: str
    remedy: str = ""
    value: str | None = None
    """As written; None: taken from the cells."""
    quiet: bool = False
    """True where another finding already tells it."""


@dataclass(frozen=True, slots=True)
class Draft:
    """One table, all sheets of that name joined."""

    table: Table
    frame: pd.DataFrame
    """The declared columns, then source, row, origin (number of the sheet), state and run.

    ``run`` is True where a reading's hours are those of its period, not a meter's.
    """
    written: pd.DataFrame
    """The declared columns as the person wrote them, same index."""
    told: tuple[Problem, ...] = ()
    columns: frozenset[str] = field(default_factory=frozenset)
    """The declared columns that a heading was found for."""
    passed: frozenset[tuple[str, int, str]] = frozenset()
    """Source, row and state of rows that the person's mapping made nothing of."""

    @property
    def used(self) -> pd.DataFrame:
        """The rows still used."""
        used = self.frame["state"].to_numpy() == USED
        return self.frame if used.all() else self.frame[used]


Drafts = dict[str, Draft]
"""Every table's draft, by the table's name."""


MOST_FINDINGS = 50
"""Findings of one rule that are told one by one."""


def gathered(findings: Sequence[Finding]) -> list[Finding]:
    """The first findings of a rule as they are, all further ones as one."""
    first, rest = list(findings[:MOST_FINDINGS]), findings[MOST_FINDINGS:]
    if len(rest) > 1:
        rows = np.concatenate([np.asarray(finding.rows) for finding in rest])
        wrong = f"{rest[0].wrong}; {len(rest) - 1} more are like this one"
        return [*first, replace(rest[0], rows=rows, wrong=wrong)]
    return [*first, *rest]


def one_a_group(
    rows: pd.DataFrame, key: Sequence[str], word: Callable[[Any, pd.DataFrame], Finding]
) -> list[Finding]:
    """A finding for each group of rows, as `gathered` tells them; only those told are worded."""
    if rows.empty:
        return []
    number = rows.groupby(list(key), dropna=False, sort=True).ngroup().to_numpy()
    first = rows[number <= MOST_FINDINGS]
    groups = first.groupby(list(key), dropna=False, sort=True)
    findings = [word(name, here) for name, here in groups]
    more = int(number.max()) - MOST_FINDINGS
    if more <= 0:
        return findings
    *told, last = findings
    rest = rows.index[number >= MOST_FINDINGS]
    return [*told, replace(last, rows=rest, wrong=f"{last.wrong}; {more} more are like this one")]


def settle(draft: Draft, findings: Iterable[Finding]) -> Draft:
    """The draft with the findings carried out and told."""
    findings = list(findings)
    if not findings:
        return draft
    index = draft.frame.index
    state = draft.frame["state"].to_numpy(dtype=object, copy=True)
    cells: dict[str, pd.Series] = {}
    told: list[Problem] = []
    for finding in findings:
        places = index.get_indexer(pd.Index(finding.rows))
        if finding.outcome in ("row", "ignored"):
            still_used = places[state[places] == USED]
            state[still_used] = SET_ASIDE if finding.outcome == "row" else IGNORED
        elif finding.outcome == "cell":
            column = cells.get(finding.column, draft.frame[finding.column])
            here = np.isin(np.arange(len(index)), places)
            cells[finding.column] = column.mask(here, _blank(column))
        if not finding.quiet:
            told += _problems(draft, finding, places)
    frame = draft.frame.assign(**cells, state=pd.Series(state, index, dtype=object))
    return replace(draft, frame=frame, told=draft.told + tuple(told))


def _blank(column: pd.Series) -> float | str | bool:
    """What a cell of that column holds when it holds nothing (nan is NaT among dates)."""
    if column.dtype == bool:
        return False
    return "" if column.dtype == object else np.nan


def _problems(draft: Draft, finding: Finding, places: np.ndarray) -> list[Problem]:
    """One problem a source that the finding's rows stand in."""
    places = np.sort(places)
    sources = draft.frame["source"].to_numpy()[places]
    rows = draft.frame["row"].to_numpy()[places]
    share = len(places) / max(len(draft.frame), 1)
    weight = IMPORTANCE[draft.table.name] * SHARE[finding.severity] * share**0.5
    return [
        Problem(
            source=str(source),
            table=draft.table.name,
            rows=tuple(np.sort(rows[sources == source]).tolist()),
            column=finding.column,
            value=_value(draft, finding, places[sources == source]),
            severity=finding.severity,
            wrong=finding.wrong,
            remedy=finding.remedy,
            weight=weight,
        )
        for source in sorted(set(sources))
    ]


def _value(draft: Draft, finding: Finding, places: np.ndarray) -> str:
    """The value as typed; a few of them where they differ."""
    if finding.value is not None:
        return finding.value
    if finding.column not in draft.written:
        return ""
    written = draft.written[finding.column].fillna("")
    values = list(dict.fromkeys(written.to_numpy()[places]))
    return ", ".join(values[:3]) + (" ..." if len(values) > 3 else "")


def tallies(draft: Draft) -> list[Tally]:
    """What became of the rows of each file, one tally a source.

    A row of which a mapping made several counts once: as set aside if any of them was.
    """
    gravest = [SET_ASIDE, USED, IGNORED, SKIPPED]
    rows = draft.frame[["source", "row", "state"]]
    passed = pd.DataFrame(sorted(draft.passed), columns=["source", "row", "state"])
    every = pd.concat([rows, passed], ignore_index=True) if len(passed) else rows
    if every.empty:
        return []
    grave = every.assign(grave=every["state"].map(gravest.index))
    each = grave.sort_values("grave", kind="stable").drop_duplicates(["source", "row"])
    found = []
    for source, states in each.groupby("source", sort=True)["state"]:
        used, aside, ignored, skipped = (int(states.eq(state).sum()) for state in STATES)
        name = draft.table.name
        found.append(Tally(str(source), name, len(states), used, aside, ignored, skipped))
    return found
