"""One spelling a name, through all tables; and names that nothing else in the logbook knows.

Spellings that differ only in case, blanks, ``_`` or ``-`` become the one used most, and numbers get
back the zeros in front that a spreadsheet took from them (41 is 0041). If a sheet that declares
names (machines, parts) holds two such spellings where one name can stand only once, they are two
names, and other spellings of them fit neither. Look-alikes are told, never merged.
"""

import re
from collections import Counter
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
import pandas as pd

from wearcast.errors import UnusableTable
from wearcast.logbook.findings.drafts import (
    IGNORED,
    Draft,
    Drafts,
    Finding,
    gathered,
    one_a_group,
    settle,
)
from wearcast.logbook.findings.written import Written
from wearcast.logbook.rules.checks import BLANK_IS, KEYS
from wearcast.logbook.schema.spelling import did_you_mean, fold, listed

GROUPS: dict[str, tuple[tuple[str, str], ...]] = {
    "machine": tuple(
        (table, "machine")
        for table in ("machines", "readings", "changes", "floors", "positions", "plans")
    ),
    "part": (
        ("parts", "part"),
        ("parts", "replaced_by"),
        ("positions", "part"),
        ("changes", "part"),
        ("stock", "part"),
        ("on_order", "part"),
    ),
    "position": (("positions", "position"), ("changes", "position")),
    "floor": (("floors", "floor"),),
    "site": (("machines", "site"),),
    "depot": tuple((table, "depot") for table in ("machines", "stock", "on_order", "depots")),
    "supplier": (("parts", "supplier"), ("suppliers", "supplier")),
    "wears_as": (("parts", "wears_as"),),
}
"""The columns that hold names of one sort; the first one declares them."""
DECLARED = ("machine", "part")
_SHORTENED = re.compile(r"[0-9](?:[.,][0-9]+)?E\+[0-9]{2,}", re.IGNORECASE)
MUST_FIT = ("machines", "readings", "changes")
"""Tables whose names are forecast one by one."""
MOST = {"floor": 100, "position": 500, "machine": 100_000}
MOST_ELSE = 20_000
"""Names of one sort that a logbook may hold; each floor and position has a wear of its own. So many
machines were tried: two years of them take 11 GB of memory."""


@dataclass(frozen=True, slots=True)
class Spellings:
    """What each spelling stands for."""

    meant: Mapping[str, str]
    """Spelling -> the one used throughout; spellings that fit two names are left out."""
    unsure: Mapping[str, list[str]]
    """Spelling -> the names it could be."""
    apart: tuple[tuple[str, ...], ...] = ()
    """Names that differ in their spelling only."""


def spellings(counts: Counter[str], declared: Collection[set[str]]) -> Spellings:
    """One spelling for each name, from how often each is used and what is declared together."""
    every = set().union(*declared)
    together: dict[str, set[str]] = {}
    for names in declared:
        for found in _by_key(names).values():
            if len(found) > 1:
                together.setdefault(_key(found[0]), set()).update(found)
    meant: dict[str, str] = {}
    unsure: dict[str, list[str]] = {}
    for key, found in _by_key(counts).items():
        own = sorted(together.get(key, ()))
        if own:
            meant |= {name: name for name in own}
            unsure |= {name: own for name in found if name not in own}
            continue
        full = [name for name in found if name.startswith("0")] or found
        best = min(full, key=lambda name: (-counts[name], name not in every, name))
        meant |= dict.fromkeys(found, best)
    apart = tuple(sorted(tuple(sorted(names)) for names in together.values()))
    return Spellings(meant, unsure, apart)


def _by_key(names: Iterable[str]) -> dict[str, list[str]]:
    """The spellings of each name."""
    found: dict[str, list[str]] = {}
    for name in names:
        found.setdefault(_key(name), []).append(name)
    return found


def _key(name: str) -> str:
    """What the spellings of a name have in common."""
    key = fold(name)
    return (key.lstrip("0") or "0") if key.isdecimal() else key


def one_spelling(drafts: Drafts) -> Drafts:
    """The drafts with every name in one spelling, told where that changed something."""
    drafts = dict(drafts)
    for group, places in GROUPS.items():
        counts: Counter[str] = Counter()
        # Those that must fit come first; another table is left out where it brings too many.
        for table, column in sorted(places, key=lambda place: place[0] not in MUST_FIT):
            here = _open_counts(drafts[table], column)
            both = len(counts.keys() | here.keys())
            if both > MOST.get(group, MOST_ELSE):
                drafts[table] = _left_out(drafts[table], column, group, both)
            else:
                counts += here
        home, own = places[0]
        found = spellings(counts, _declared(drafts[home], own) if group in DECLARED else [])
        for table, column in places:
            drafts[table] = _respelled(drafts[table], column, found)
        drafts[home] = settle(drafts[home], _on_apart(drafts[home], own, found))
    return drafts


def _declared(draft: Draft, column: str) -> list[set[str]]:
    """The names that are declared where each can stand only once: in one sheet, for one since."""
    rows = draft.frame[draft.frame["state"].ne(IGNORED)]
    rows = rows.fillna({name: one for name, one in BLANK_IS.items() if name in rows})
    others = [name for name in KEYS[draft.table.name] if name != column]
    groups = rows.groupby(["origin", *others], dropna=False)[column]
    return [set(here) - {""} for _, here in groups]


def _left_out(draft: Draft, column: str, group: str, names: int) -> Draft:
    """The draft without its rows: so many names are no column of names, or too many to forecast.

    Raises
    ------
    UnusableTable
        If the table must fit.
    """
    most = MOST.get(group, MOST_ELSE)
    noun = group.replace("wears_as", "wear classe")
    more = f"more than the {most:,} that can be forecast at once"
    wrong = f"{names:,} different {noun}s are named, {more}"
    cure = f"see that the right column is headed {column}, or give fewer sites at once"
    if draft.table.name in MUST_FIT:
        raise UnusableTable(f"{wrong}; {cure}.")
    rows = draft.used.index
    whole = f"{wrong}; the whole table was left out"
    return settle(draft, [Finding(rows, column, "set aside", "row", whole, cure.capitalize())])


def _open_counts(draft: Draft, column: str) -> Counter[str]:
    """How often each name stands in rows that are not passed over, those set aside too."""
    names = draft.coded(column)
    counts = zip(names.names.tolist(), names.counts(draft.open_rows).tolist(), strict=True)
    return Counter({name: count for name, count in counts if name and count})


def _respelled(draft: Draft, column: str, found: Spellings) -> Draft:
    names = draft.frame[column]
    here = draft.names(column)
    if all(found.meant.get(name) == name for name in here) and _as_written(draft, column):
        return draft
    meant = names.map(lambda name: found.meant.get(name, name)).astype(object)
    draft = settle(draft, _repairs(draft, column, meant))
    frame = draft.frame.assign(**{column: meant})
    draft = replace(draft, frame=frame)
    return settle(draft, _on_unsure(draft, column, found))


def _as_written(draft: Draft, column: str) -> bool:
    """Whether every name is what was written, letter by letter."""
    if isinstance(draft.written, Written):
        return draft.written.says(column, draft.coded(column))
    return bool((draft.written[column].to_numpy() == draft.frame[column].to_numpy()).all())


def _repairs(draft: Draft, column: str, meant: pd.Series) -> list[Finding]:
    """What is told of cells whose name was spelled or spaced otherwise."""
    names = draft.frame[column]
    used = draft.frame["state"].eq("used") & names.ne("")
    changed = used & names.ne(meant)
    spaced = (
        used & ~changed & draft.written[column].ne(names) & ~_number_like(draft.written[column])
    )
    findings = []
    if changed.any():
        read = sorted(set(meant[changed]))
        wrong = f"spelled otherwise than elsewhere; read as {listed(read, 3)}"
        findings.append(Finding(names.index[changed], column, "repaired", "kept", wrong))
    if spaced.any():
        wrong = "blanks or hidden characters in the name were left out"
        findings.append(Finding(names.index[spaced], column, "repaired", "kept", wrong))
    return findings


def _number_like(written: pd.Series) -> pd.Series:
    """Names such as 7.0, which are the number 7 however it is typed."""
    return written.str.fullmatch(r"-?[0-9]+\.0+")


def _on_unsure(draft: Draft, column: str, found: Spellings) -> list[Finding]:
    names = draft.used[column]
    unsure = names[names.isin(list(found.unsure))]
    remedy = "Write the name exactly as in its own table"
    findings = []
    for name, rows in unsure.groupby(unsure, sort=True):
        wrong = f"could be {' or '.join(found.unsure[str(name)])}"
        findings.append(Finding(rows.index, column, "set aside", "row", wrong, remedy))
    return gathered(findings)


def _on_apart(draft: Draft, column: str, found: Spellings) -> list[Finding]:
    """A note on each two names that are spelled alike."""
    names = draft.used[column]
    remedy = "If they are one, write them alike"
    return gathered(
        [
            Finding(
                names.index[names.isin(own)],
                column,
                "note",
                "kept",
                f"{' and '.join(own)} differ in their spelling alone; each counts for itself",
                remedy,
            )
            for own in found.apart
        ]
    )


def known_machines(drafts: Drafts, proposal: bool) -> set[str]:
    """The machines that the logbook speaks of: those in machines or readings.

    Rows that were set aside for another cell count too: one bad cell is one finding. In a
    proposal without machines, positions say which there are.
    """
    tables = ["machines", "readings"]
    if proposal and drafts["machines"].used.empty:
        tables.append("positions")
    every = [drafts[table] for table in tables]
    return set().union(*(one.names("machine", one.open_rows & ~_words_only(one)) for one in every))


def _words_only(draft: Draft) -> np.ndarray:
    """Rows of which the name alone could be read: a signature, a remark, no machine."""
    needed = [column.name for column in draft.table.columns if column.needed]
    read = [
        ~draft.coded(name).holds("") if name in draft.table.texts else draft.frame[name].notna()
        for name in needed
    ]
    return np.asarray(np.sum(read, axis=0) < min(2, len(needed)))


def usual_depot(drafts: Drafts) -> str:
    """The depot that a blank one means: the only one named, else ``main``."""
    tables = ("machines", "stock", "on_order")
    named = set().union(*(drafts[name].names("depot", drafts[name].used_rows) for name in tables))
    return str(named.pop()) if len(named) == 1 else "main"


def known_parts(drafts: Drafts) -> set[str]:
    """The parts in the catalogue, at a position or in a change."""
    every = [drafts[table] for table in ("parts", "positions", "changes")]
    return set().union(*(one.names("part", one.open_rows) for one in every))


def unknown_names(
    draft: Draft, column: str, known: set[str], outcome: Literal["row", "cell"] = "row"
) -> list[Finding]:
    """Rows whose name is none of the known ones, one finding a name."""
    rows = draft.used
    if draft.names(column, draft.used_rows) <= known:
        return []
    strange = rows[rows[column].ne("") & ~rows[column].isin(known)]
    noun = column.replace("replaced_by", "part")
    wrong = f"no {noun} of that name is known"
    if outcome == "cell":
        wrong += "; the cell counts as blank"
    remedy = f"Correct the name, or add it to the table {noun}s"

    def word(name: tuple[str], here: pd.DataFrame) -> Finding:
        cure = did_you_mean(name[0], known, remedy)
        return Finding(here.index, column, "set aside", outcome, wrong, cure)

    return one_a_group(strange, [column], word)


def shortened_numbers(draft: Draft, column: str) -> list[Finding]:
    """Rows named by a number of which a spreadsheet kept the first digits only: 1.00235E+12."""
    short = [name for name in draft.names(column) if _SHORTENED.fullmatch(name)]
    if not short:
        return []
    rows = draft.used.index[draft.used[column].isin(short)]
    wrong = "the spreadsheet kept the first digits of this number only, so several may look alike"
    remedy = "Show the column as a number without decimals, or as text, and export again"
    return [Finding(rows, column, "set aside", "row", wrong, remedy)] if len(rows) else []


def check_names(drafts: Drafts, proposal: bool) -> Drafts:
    """The drafts without the rows that speak of machines or parts nobody knows."""
    drafts = dict(drafts)
    for group in DECLARED:
        for table, column in GROUPS[group]:
            drafts[table] = settle(drafts[table], shortened_numbers(drafts[table], column))
    machines = known_machines(drafts, proposal)
    for table in ("changes", "floors", "positions", "plans"):
        drafts[table] = settle(drafts[table], unknown_names(drafts[table], "machine", machines))
    parts = known_parts(drafts)
    for table in ("stock", "on_order"):
        drafts[table] = settle(drafts[table], unknown_names(drafts[table], "part", parts))
    replaced = unknown_names(drafts["parts"], "replaced_by", parts, "cell")
    drafts["parts"] = settle(drafts["parts"], replaced)
    return drafts
