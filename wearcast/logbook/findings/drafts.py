"""A table on its way to being checked: its rows, their state, and what is told of them.

A rule returns `Finding`s about rows; `settle` carries them out and words them. Every row is
``used``, ``set aside`` or ``ignored`` at any time, so read = used + set aside + ignored holds by
itself. Rules look at the rows still used, so that one cause gives one finding.
"""

from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any, Literal

import numpy as np
import pandas as pd

from wearcast.logbook.findings.coded import Coded, coded, key_of, repeated
from wearcast.logbook.findings.orders import with_columns
from wearcast.logbook.findings.written import Written
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
    weight: float | None = None
    """As in `Problem`; None: by table, severity and share of rows."""


@dataclass(frozen=True, slots=True)
class Draft:
    """One table, all sheets of that name joined."""

    table: Table
    frame: pd.DataFrame
    """The declared columns, then source, row, origin (number of the sheet), state and run.
    ``run`` is True where a reading's hours are those of its period, not a meter's.
    """
    written: pd.DataFrame | Written
    """The declared columns as the person wrote them, row by row."""
    told: tuple[Problem, ...] = ()
    columns: frozenset[str] = field(default_factory=frozenset)
    """The declared columns that a heading was found for."""
    passed: frozenset[tuple[str, int, str]] = frozenset()
    """Source, row and state of rows that the person's mapping made nothing of."""

    known: dict[str, Any] = field(default_factory=dict, init=False, repr=False, compare=False)
    """What has been found out about the frame, to be found once; a new frame begins anew."""

    @property
    def used(self) -> pd.DataFrame:
        """The rows still used."""
        if "rows used" not in self.known:
            rows = self.used_rows
            self.known["rows used"] = self.frame if rows.all() else self.frame[rows]
        rows_used: pd.DataFrame = self.known["rows used"]
        return rows_used

    @property
    def used_rows(self) -> np.ndarray:
        """Which rows are still used, array (rows,) of bool."""
        return self.in_state(USED)

    @property
    def open_rows(self) -> np.ndarray:
        """Which rows are not passed over, used or set aside, array (rows,) of bool."""
        return ~self.in_state(IGNORED)

    @property
    def any_aside(self) -> bool:
        """Whether rows were set aside."""
        return bool(self.in_state(SET_ASIDE).any())

    def in_state(self, state: str) -> np.ndarray:
        """Which rows are in a state, array (rows,) of bool."""
        if state not in self.known:
            self.known[state] = self.frame["state"].to_numpy() == state
        return np.asarray(self.known[state], bool)

    def coded(self, column: str) -> Coded:
        """A column of texts as whole numbers."""
        found = self.known.get(f"codes of {column}")
        if not isinstance(found, Coded):
            found = coded(self.frame[column].to_numpy())
            self.known[f"codes of {column}"] = found
        return found

    def names(self, column: str, rows: np.ndarray | None = None) -> set[str]:
        """The different texts of a column but for ""; of these rows, array (rows,), or of all."""
        return {*self.coded(column).seen(rows).tolist()} - {""}

    def key(self, columns: Sequence[str]) -> np.ndarray:
        """A whole number for each used row, alike where these columns are: array (used,)."""
        rows = self.used_rows
        texts = self.table.texts
        key = key_of(
            [self.coded(one) if one in texts else self.frame[one].to_numpy() for one in columns]
        )
        return key if rows.all() else key[rows]

    def alike(self, columns: Sequence[str]) -> np.ndarray:
        """Whether another used row is alike in these columns: array (used,) of bool."""
        name = f"alike in {columns}"
        if name not in self.known:
            self.known[name] = repeated(self.key(columns))
        return np.asarray(self.known[name], bool)

    def with_codes(self, codes: Mapping[str, Coded]) -> "Draft":
        """The same draft, to which the codes of some columns of its frame are told."""
        self.known.update({f"codes of {name}": one for name, one in codes.items()})
        return self


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
    changed, told = False, list[Problem]()
    for finding in findings:
        places = index.get_indexer(pd.Index(finding.rows))
        if finding.outcome in ("row", "ignored"):
            still_used = places[state[places] == USED]
            state[still_used] = SET_ASIDE if finding.outcome == "row" else IGNORED
            changed = changed or still_used.size > 0
        elif finding.outcome == "cell":
            column = cells.get(finding.column, draft.frame[finding.column])
            here = np.isin(np.arange(len(index)), places)
            cells[finding.column] = column.mask(here, _blank(column))
        if not finding.quiet:
            told += _problems(draft, finding, places)
    if not cells and not changed:
        settled = replace(draft, told=draft.told + tuple(told))
        settled.known.update(draft.known)
        return settled
    frame = with_columns(draft.frame, {**cells, "state": pd.Series(state, index, dtype=object)})
    return _told_more(draft, frame, tuple(told), cells)


def _told_more(
    draft: Draft, frame: pd.DataFrame, told: tuple[Problem, ...], changed: Collection[str]
) -> Draft:
    """The draft with another frame, of which all but the changed columns are known as before."""
    settled = replace(draft, frame=frame, told=draft.told + told)
    return settled.with_codes(
        {
            name: codes
            for name in {*frame.columns} - {*changed, "state"}
            if isinstance(codes := draft.known.get(f"codes of {name}"), Coded)
        }
    )


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
    weight = finding.weight or IMPORTANCE[draft.table.name] * SHARE[finding.severity] * share**0.5
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
    if _stand_once(draft):
        return [_tally_of(draft)] if len(draft.frame) else []
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


def _stand_once(draft: Draft) -> bool:
    """Whether the rows are those of one file, each of them once."""
    rows = draft.frame["row"].to_numpy()
    once = bool((rows[1:] > rows[:-1]).all())
    return once and not draft.passed and len(draft.coded("source").seen()) < 2


def _tally_of(draft: Draft) -> Tally:
    """What became of rows that stand once in the one file."""
    counts = [int(draft.in_state(state).sum()) for state in STATES]
    source = str(draft.coded("source").seen()[0])
    return Tally(source, draft.table.name, len(draft.frame), *counts)
