"""Marks that the sheet itself explains above its headings: ``T = turned, N = new``."""

import re
from collections.abc import Iterable

from wearcast.logbook.drafting.outline import Outline
from wearcast.logbook.drafting.phrases import action_in
from wearcast.logbook.schema.spelling import phrase_key

_ENTRY = re.compile(r"(?:^|[,;:(\n]|\s{2,})\s*([^\W_]{1,2})\s*[=:]\s*([^,;)\n=]+)")


def legends(outlines: Iterable[Outline]) -> dict[str, str]:
    """Our action for each mark that is explained, if all explanations agree; by phrase key."""
    found: dict[str, set[str]] = {}
    for one in outlines:
        for text in one.titles:
            for mark, words in _ENTRY.findall(text):
                found.setdefault(phrase_key(mark), set()).add(action_in(words))
    return {mark: said.pop() for mark, said in found.items() if len(said) == 1 and "" not in said}
