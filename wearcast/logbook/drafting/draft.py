"""The story of a draft: records -> the two sheets of a mapping, and what is to be said of them."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from wearcast.logbook.drafting.blocks import outlines_of
from wearcast.logbook.drafting.chosen import choose
from wearcast.logbook.drafting.given import given_feeds, given_headings, with_given_words
from wearcast.logbook.drafting.outline import Outline, outline
from wearcast.logbook.drafting.patterns import Heading, headings_of
from wearcast.logbook.drafting.phrases import Known, heading_words, meanings
from wearcast.logbook.drafting.remarks import alike_told, remarks, unlisted_told
from wearcast.logbook.drafting.sites import numbered_apart
from wearcast.logbook.drafting.words import Word, words_of
from wearcast.logbook.reshape.mapping import Mapping
from wearcast.logbook.schema.examples import NOTES
from wearcast.logbook.schema.names import table_named
from wearcast.logbook.schema.tables import ABOUT_OTHERS
from wearcast.logbook.sources.cell_texts import text_of
from wearcast.logbook.sources.sheet import Sheet

MOST_OPEN = 1_000
"""Undecided words that are listed; a column with more of them holds stories, not phrases."""


@dataclass(frozen=True, slots=True)
class MappingDraft:
    """What is proposed; blanks are for the person."""

    columns: tuple[Heading, ...]
    words: tuple[Word, ...]
    told: tuple[str, ...]
    """Sentences on what cannot serve and what to look at."""

    @property
    def phrases(self) -> int:
        """Distinct words and phrases in the records."""
        return len({(word.table, word.column, word.theirs) for word in self.words})

    @property
    def decided(self) -> int:
        """Those for which a proposal stands."""
        return len({(each.table, each.column, each.theirs) for each in self.words if each.decided})

    @property
    def listed(self) -> list[Word]:
        """The words that the workbook shows: the undecided ones as far as anybody reads."""
        open_words = [word for word in self.words if not word.decided]
        return open_words[:MOST_OPEN] + [word for word in self.words if word.decided]

    @property
    def tables(self) -> set[str]:
        """The tables that something feeds."""
        return {row.table for row in self.columns}


_NONE = Mapping()


def draft_mapping(sheets: Sequence[Sheet], given: Mapping = _NONE) -> MappingDraft:
    """A proposal of how to read the sheets as readings and changes.

    Parameters
    ----------
    sheets : sequence of Sheet
        The records, and a mapping among them, whose own sheets are passed over.
    given : Mapping, optional
        What the person decided before: it stays, and what is new is added.
    """
    own = [sheet for sheet in sheets if _is_record(sheet)]
    outlines = [found for sheet in own for found in outlines_of(sheet)]
    known = known_from(outlines)
    kept = [(found, feed) for found in outlines for feed in given_feeds(found, given)]
    before = {id(found) for found, _ in kept}
    new = [found for found in outlines if id(found) not in before]
    chosen = choose(new, known, {feed.table for _, feed in kept})
    fed, alike = numbered_apart(chosen.fed)
    told = [*remarks(own, [*kept, *fed], chosen.nameless)]
    told += [alike_told(alike)] if alike else []
    columns = [*given_headings(given), *headings_of(fed, [sheet.name for sheet in own])]
    drafted = words_of([*kept, *fed], known, own_positions(sheets))
    words = tuple(with_given_words(drafted, given))
    more = sum(not word.decided for word in words) - MOST_OPEN
    told += [unlisted_told(more)] if more > 0 else []
    return MappingDraft(tuple(columns), words, tuple(told))


def _is_record(sheet: Sheet) -> bool:
    """Whether a sheet is of the records, and none that is about them."""
    table, _ = table_named(sheet.name)
    about = table is not None and table.name in ABOUT_OTHERS
    return not sheet.hidden and sheet.name != NOTES and not about


def known_from(outlines: Iterable[Outline]) -> Known:
    """Every position and every word that stands in the headings and texts of the records."""
    texts: set[str] = set()
    for found in outlines:
        for lane in found.lanes:
            texts.add(lane.heading)
            if lane.kind == "text":
                texts |= {text_of(cell) for cell in lane.filled}
    told = [said for text in texts if (said := meanings(text)) is not None]
    positions = {one.position for said in told for one in said if " " in one.position}
    words = {word for text in texts for word in heading_words(text).split()}
    return Known(frozenset(positions), frozenset(words))


def own_positions(sheets: Iterable[Sheet]) -> dict[str, str]:
    """What the person's own table of positions calls a position that we know by another name."""
    named: dict[str, set[str]] = {}
    for sheet in sheets:
        table, _ = table_named(sheet.name)
        found = outline(sheet) if table is not None and table.name == "positions" else None
        for lane in found.lanes if found else ():
            for cell in lane.filled if heading_words(lane.heading) == "position" else ():
                said = meanings(text_of(cell))
                ours = said[0].position if said is not None and len(said) == 1 else text_of(cell)
                named.setdefault(ours, set()).add(text_of(cell))
    return {ours: names.pop() for ours, names in named.items() if len(names) == 1}
