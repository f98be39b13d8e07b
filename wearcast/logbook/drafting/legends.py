"""Marks that the sheet itself explains above or below its rows: ``T = turned, N = new``."""

import re
from collections.abc import Iterable

from wearcast.logbook.drafting.outline import Outline
from wearcast.logbook.drafting.phrases import deed_in, says_untouched
from wearcast.logbook.schema.spelling import phrase_key
from wearcast.logbook.sources.cell_texts import is_empty

_ENTRY = re.compile(
    r"(?:^|[,;:(\n]|\s{2,})\s*([^\W_]{1,2})\s*[=:]\s*((?:(?!,\s*[^\W_]{1,2}\s*[=:])[^;)\n=])+)"
)


SKIP = "skip"
"""Our word for a mark or phrase that tells of no work: such rows do not count."""


def legends(outlines: Iterable[Outline]) -> dict[str, str]:
    """What each mark says, if all explanations agree: *turn*, *fit damaged*, *skip*; by key."""
    found: dict[str, set[str]] = {}
    for one in outlines:
        for text in (*one.titles, *_alone(one)):
            for mark, words in _ENTRY.findall(text):
                found.setdefault(phrase_key(mark), set()).add(_explained(words))
    return {mark: said.pop() for mark, said in found.items() if len(said) == 1 and "" not in said}


def _alone(found: Outline) -> list[str]:
    """Texts that stand alone in their rows, as a legend below a table does."""
    filled = [[cell for cell in row if not is_empty(cell)] for row in found.sheet.rows]
    return [row[0] for row in filled if len(row) == 1 and isinstance(row[0], str)]


def _explained(words: str) -> str:
    """Our words for an explanation; blank if it does not say one thing."""
    return SKIP if says_untouched(words) else " ".join(filter(None, deed_in(words)))
