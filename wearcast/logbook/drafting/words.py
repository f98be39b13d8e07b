"""Every distinct word and phrase of the records, how often it stands there, and what it says."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import PurePath
from typing import NamedTuple

from wearcast.logbook.drafting.feed import Feed
from wearcast.logbook.drafting.legends import SKIP, legends
from wearcast.logbook.drafting.outline import Outline
from wearcast.logbook.drafting.phrases import (
    Known,
    Meaning,
    action_named,
    counts,
    is_own_name,
    meanings,
    says_elsewhere,
    says_untouched,
)
from wearcast.logbook.reshape.worded import BLANK
from wearcast.logbook.schema.spelling import phrase_key, tidy
from wearcast.logbook.schema.vocabulary import ALSO_NO, ALSO_YES, NO, YES
from wearcast.logbook.sources.cell_texts import text_of

WORDED = ("did", "position", "action", "cause", "only")
"""Columns of ours whose cells have to be understood."""


class Word(NamedTuple):
    """A row of the sheet ``words``; blanks are not decided."""

    table: str
    column: str
    theirs: str
    ours: str = ""
    position: str = ""
    action: str = ""
    cause: str = ""
    rows: int = 0
    example: str = ""

    @property
    def decided(self) -> bool:
        """Whether a proposal stands in the row."""
        return bool(self.ours or self.action)


@dataclass(slots=True)
class _Seen:
    """A word on its way through the sheets."""

    theirs: str
    example: str
    rows: int = 0


Found = dict[tuple[str, str, str], _Seen]
"""(table, column, folded word) -> where it stands."""


def words_of(
    fed: Sequence[tuple[Outline, Feed]], known: Known, own: Mapping[str, str]
) -> Iterator[Word]:
    """The rows of ``words``, the frequent ones of each column first.

    Parameters
    ----------
    fed : sequence of (Outline, Feed)
        The sheets that are read.
    known : frozenset of str
        Positions that these records name.
    own : mapping
        Our name of a position -> the name in the person's own table of positions.
    """
    seen: Found = {}
    for found, feed in fed:
        for column, text, row in _cells(found, feed):
            place = feed.table, column, phrase_key(text)
            here = f"{PurePath(found.sheet.source).name}, {found.sheet.name}, row {row}"
            seen.setdefault(place, _Seen(tidy(text), here)).rows += 1
    legend = legends(found for found, _ in fed)
    unmarked = _counting_unmarked(seen)
    questions = {tidy(lane.heading) for _, feed in fed for lane in feed.unfolded}
    order = {column: at for at, column in enumerate(WORDED)}
    ranked = sorted(seen.items(), key=lambda one: (order[one[0][1]], -one[1].rows, one[0][2]))
    for (table, column, key), one in ranked:
        said = unmarked if key == BLANK else _spelled_out(column, key, legend)
        doubted = "?" in one.theirs and one.theirs not in questions
        open_word = [Word("", column, one.theirs)]
        for word in open_word if doubted else _proposed(column, one.theirs, known, said):
            yield _by_own_name(word, own)._replace(table=table, rows=one.rows, example=one.example)


def _by_own_name(word: Word, own: Mapping[str, str]) -> Word:
    """The word with positions called as the person's own table calls them."""
    ours = word.theirs if word.theirs in own.values() else own.get(word.ours, word.ours)
    return word._replace(
        position=own.get(word.position, word.position),
        ours=ours if word.column == "position" else word.ours,
    )


def _cells(found: Outline, feed: Feed) -> Iterator[tuple[str, str, int]]:
    """Column, word and row of every cell that has to be understood."""
    heading = dict(feed.headings).get("[heading]", "")
    asked = ("[cell]", "only") in feed.headings
    for column, lanes in feed.words:
        for group in [(lane,) for lane in lanes] if feed.unfolded else [lanes]:
            front = [group[0].heading] if heading == column == "did" else []
            for at, row in enumerate(found.rows):
                cells = [text_of(lane.cells[at]) for lane in group if lane.cells[at] is not None]
                if column == "only" and not cells and not asked and _tells_work(feed, at):
                    cells = [BLANK]
                if cells:
                    said = front if asked and front else [*front, *cells]
                    yield column, " ".join(said), row
    for lane in feed.unfolded if heading in ("position", "action") else ():
        filled = [row for row, cell in zip(found.rows, lane.cells, strict=True) if cell is not None]
        yield from ((heading, lane.heading, row) for row in filled)


def _tells_work(feed: Feed, at: int) -> bool:
    """Whether a row tells of work, whatever its status says."""
    lanes = [lane for column, several in feed.words if column != "only" for lane in several]
    return any(lane.cells[at] is not None for lane in lanes)


def _counting_unmarked(seen: Found) -> str:
    """Whether rows without a status count: they do where only those are marked that do not."""
    said = {
        counts(one.theirs)
        for (_, column, key), one in seen.items()
        if (column, key) != ("only", BLANK) and column == "only"
    }
    return "yes" if said == {"no"} else ""


def _spelled_out(column: str, key: str, legend: Mapping[str, str]) -> str:
    """What the sheet's own legend says of a mark, with the position in front of it."""
    front, _, mark = key.rpartition(" ")
    said = legend.get(mark, "")
    if column == "did" and said:
        return said if said == SKIP else f"{front} {said}"
    return said if column == "action" and not front and " " not in said else ""


def _proposed(column: str, text: str, known: Known, said: str) -> list[Word]:
    """What a word says in our words, one row a thing done; blank where that is not sure.

    `said` is what the sheet itself says of it: its legend, or how it marks what does not count.
    """
    blank = Word("", column, text)
    told = meanings(text, known)
    if column == "did":
        return (
            [blank._replace(ours=SKIP)]
            if said == SKIP
            else _deeds(blank, meanings(said or text, known))
        )
    if column == "only":
        word = text.casefold()
        answer = "yes" if word in YES | ALSO_YES else "no" if word in NO | ALSO_NO else ""
        return [blank._replace(ours=said or counts(text) or answer)]
    only = told[0] if told is not None and len(told) == 1 else Meaning()
    ours = getattr(only, column) if only == Meaning(**{column: getattr(only, column)}) else ""
    if column == "position" and is_own_name(text):
        ours = text
    if column == "action":
        said = said or (SKIP if says_untouched(text) else action_named(text))
    return [blank._replace(ours=ours or said)]


def _deeds(blank: Word, told: tuple[Meaning, ...] | None) -> list[Word]:
    """A row for each thing that a phrase says was done; of a list of parts the positions alone."""
    if told is not None and all(one.position for one in told):
        whole = all(one.action for one in told)
        rows = [blank._replace(**one._asdict()) for one in told]
        return rows if whole else [row._replace(action="", cause="") for row in rows]
    idle = says_elsewhere(blank.theirs) or says_untouched(blank.theirs)
    return [blank._replace(ours=SKIP)] if idle else [blank]
