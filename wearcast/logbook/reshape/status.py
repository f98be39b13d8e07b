"""A column that says whether work was done at all: cancelled, open, planned.

Where such words stand beside changes, only rows whose word says that it was done count by
themselves; the others wait until the table ``words`` says which count.
"""

from collections.abc import Sequence

from wearcast.logbook.reshape.headed import Headed
from wearcast.logbook.reshape.heading_rows import meaning
from wearcast.logbook.reshape.mapping import ONLY, Rule, Word, Words
from wearcast.logbook.reshape.unfolded import blank
from wearcast.logbook.schema.spelling import phrase_key
from wearcast.logbook.schema.tables import Table
from wearcast.logbook.schema.vocabulary import DONE_WORDS, OPEN_WORDS
from wearcast.logbook.sources.cell_texts import text_of

DONE: Words = {word: (Word("yes"),) for word in DONE_WORDS}


def status_rule(
    table: Table, headed: Headed, body: Sequence[Sequence[object]], rules: Sequence[Rule]
) -> Rule | None:
    """The rule for a column of such words that no rule names; None if there is none."""
    if table.name != "changes" or any(rule.ours == ONLY for rule in rules):
        return None
    named = {rule.key for rule in rules if rule.ours}
    for at, (text, key) in enumerate(zip(headed.texts, headed.keys, strict=True)):
        if key and key not in named and meaning(table, text, {}) is None:
            said = {row[at] for row in body if at < len(row) and not blank(row[at])}
            words = {phrase_key(text_of(cell)) for cell in said}
            if words & OPEN_WORDS and words <= OPEN_WORDS | DONE_WORDS:
                return Rule(table.name, "", text, ONLY)
    return None
