"""The tables ``columns`` and ``words`` of a logbook, checked, as the mapping that they make.

They may stand in the records themselves or in a workbook beside them.
"""

from collections.abc import Iterator, Sequence
from dataclasses import replace

import pandas as pd

from wearcast.logbook.findings.drafts import MOST_FINDINGS, Draft, Drafts, Finding, gathered, settle
from wearcast.logbook.reshape.heading_rows import Headings
from wearcast.logbook.reshape.mapping import (
    DID,
    OF_WORK,
    ONLY,
    PLACES,
    RUN,
    Mapping,
    Rule,
    is_meant,
    words_from,
)
from wearcast.logbook.rules.checks import contradictions, duplicate_rows
from wearcast.logbook.schema.names import table_named
from wearcast.logbook.schema.spelling import did_you_mean, heading_key
from wearcast.logbook.schema.tables import BY_NAME
from wearcast.logbook.sheets.headings import Grid, lay_out
from wearcast.logbook.sheets.reading import read_table
from wearcast.logbook.sources.sheet import Sheet

TABLES = ("columns", "words")
_SPECIAL = {"changes": (DID, ONLY), "readings": (RUN, ONLY, *OF_WORK)}
"""What else may stand where a column of ours does."""


def read_mapping(sheets: Sequence[Sheet]) -> tuple[Mapping, Drafts]:
    """The mapping, and its two tables as drafts with what is told of them."""
    drafts = {name: _read(sheets, name) for name in TABLES}
    columns = settle(drafts["columns"], gathered(list(_strange(drafts["columns"], "ours"))))
    columns = replace(columns, frame=_in_our_spelling(columns.frame, "ours"))
    for rule in (duplicate_rows, contradictions):
        columns = settle(columns, rule(_keyed(columns)))
    columns = settle(columns, gathered(_of_no_sheet(columns, sheets)))
    words = settle(drafts["words"], gathered(list(_strange(drafts["words"], "column"))))
    words = replace(words, frame=_in_our_spelling(words.frame, "column"))
    return _mapping(columns.used, words.used), {"columns": columns, "words": words}


def _read(sheets: Sequence[Sheet], name: str) -> Draft:
    grids = []
    for origin, sheet in enumerate(sheets):
        table, _ = table_named(sheet.name)
        laid = lay_out(sheet, origin, {})[0] if table and table.name == name else None
        grids += [laid] if isinstance(laid, Grid) else []
    return read_table(BY_NAME[name], grids, {})


def _mapping(columns: pd.DataFrame, words: pd.DataFrame) -> Mapping:
    rules = columns[["table", "sheet", "theirs", "ours"]].itertuples(index=False, name=None)
    names = ["table", "column", "theirs", "ours", "position", "action", "cause"]
    said = words[names].itertuples(index=False, name=None)
    return Mapping(tuple(Rule(*row) for row in rules), words_from(said))


def _of_no_sheet(columns: Draft, sheets: Sequence[Sheet]) -> list[Finding]:
    """A note on each name or pattern that none of the sheets given is called by."""
    used = columns.used[columns.used["sheet"].ne("")]
    wrong = "no sheet or file given is called so"
    return [
        Finding(rows.index, "sheet", "note", "kept", wrong, "Correct the name, or give the file")
        for name, rows in used.groupby("sheet", sort=True)
        if not any(is_meant(str(name), sheet) for sheet in sheets)
    ]


def own_headings(mapping: Mapping) -> Headings:
    """The headings of theirs in sheets that are called like a table of ours."""
    return {
        (rule.table, rule.key): rule.ours
        for rule in mapping.rules
        if not rule.sheet and rule.key and rule.ours
    }


def _columns_of(name: str) -> list[str]:
    """What may stand under ``ours`` for a table."""
    table, _ = table_named(name)
    if table is None:
        return []
    return [*(column.name for column in table.columns), *_SPECIAL.get(table.name, (ONLY,))]


def _in_our_spelling(frame: pd.DataFrame, column: str) -> pd.DataFrame:
    """The rows with table and column as we write them."""
    tables, names = [], []
    for said, ours in zip(frame["table"], frame[column], strict=True):
        table, _ = table_named(said)
        same = (one for one in _columns_of(said) if heading_key(one) == heading_key(ours))
        tables.append(table.name if table else said)
        names.append(next(same, ours))
    made = {"table": tables, column: names}
    return frame.assign(
        **{name: pd.Series(cells, frame.index, dtype=object) for name, cells in made.items()}
    )


def _keyed(columns: Draft) -> Draft:
    """The table with keys for headings, so that two spellings of one are one.

    A sheet's name may fill two columns; then each of them is a key of its own.
    """
    used = columns.used
    places = used["theirs"].str.strip().str.casefold().isin(PLACES)
    keys = used["theirs"].map(heading_key).where(~places, used["theirs"] + " " + used["ours"])
    frame = columns.frame.assign(theirs=columns.frame["theirs"])
    frame.loc[used.index, "theirs"] = keys
    return replace(columns, frame=frame)


def _strange(draft: Draft, column: str) -> Iterator[Finding]:
    """Rows that name no table or no column of ours."""
    used = draft.used
    hints = 0
    for label, name, ours in zip(used.index, used["table"], used[column], strict=True):
        known = _columns_of(name)
        if known and (heading_key(ours) in map(heading_key, known) or not ours):
            continue
        cure, hints = "Correct the name", hints + 1
        if not known:
            said, known, place, wrong = name, list(BY_NAME), "table", "no table of that name"
        else:
            table, _ = table_named(name)
            said, place = ours, column
            wrong = f"no column of {table.name if table else name}"
        remedy = did_you_mean(said, known, cure) if hints <= MOST_FINDINGS else cure
        yield Finding([label], place, "set aside", "row", wrong, remedy)
