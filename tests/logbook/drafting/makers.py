"""Sheets of records as a text table: two or more blanks part the cells, a lone ``-`` is blank."""

import re

from wearcast.logbook.drafting.draft import MappingDraft, draft_mapping
from wearcast.logbook.sources.sheet import Sheet


def cell(text: str) -> object:
    """The cell: a number if it is a plain one."""
    if text == "-":
        return None
    return float(text) if re.fullmatch(r"[0-9]+(?:\.[0-9]+)?", text) else text


def sheet(text: str, name: str = "Log", source: str = "records.xlsx") -> Sheet:
    """A sheet of a workbook."""
    lines = [line.strip() for line in text.strip().splitlines()]
    rows = [[cell(part) for part in re.split(r"\s{2,}", line)] for line in lines if line]
    return Sheet(source, name, rows, list(range(1, len(rows) + 1)))


def drafted(text: str, name: str = "Log", source: str = "records.xlsx") -> MappingDraft:
    """What is proposed for one sheet alone."""
    return draft_mapping([sheet(text, name, source)])


def columns(draft: MappingDraft) -> list[str]:
    """The rows of ``columns``, a line each."""
    return [" | ".join(row[:4]) for row in draft.columns]


def words(draft: MappingDraft) -> dict[str, str]:
    """Each word with what is proposed for it; blank where nothing is."""
    return {
        word.theirs: word.ours or " ".join(filter(None, (word.position, word.action, word.cause)))
        for word in draft.words
    }
