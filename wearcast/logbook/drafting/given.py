"""What the person decided before: their rules as feeds, their words in place of proposals."""

from collections.abc import Iterable, Iterator

from wearcast.logbook.drafting.feed import Feed
from wearcast.logbook.drafting.outline import Lane, Outline, is_period
from wearcast.logbook.drafting.patterns import Heading
from wearcast.logbook.drafting.words import WORDED, Word
from wearcast.logbook.reshape.mapping import CELL, HEADING, Mapping, Rule
from wearcast.logbook.reshape.mapping import Word as Meant
from wearcast.logbook.schema.spelling import heading_key, phrase_key


def given_feeds(found: Outline, mapping: Mapping) -> list[Feed]:
    """The tables that the sheet feeds by the person's own rules; none if no rule names it."""
    fed = {
        table: rules
        for table, rules in mapping.feeds(found.sheet).items()
        if any(rule.sheet for rule in rules)
    }
    named = {rule.key for rules in fed.values() for rule in rules if rule.key}
    free = [lane for lane in found.lanes if heading_key(lane.heading) not in named]
    return [_feed(found, table, rules, free) for table, rules in fed.items()]


def given_headings(mapping: Mapping) -> list[Heading]:
    """The rows of ``columns`` that the person has."""
    return [Heading(rule.table, rule.sheet, rule.theirs, rule.ours) for rule in mapping.rules]


def with_given_words(drafted: Iterable[Word], mapping: Mapping) -> Iterator[Word]:
    """The drafted words as the person decided them, and decided ones that are not there now."""
    seen = set()
    for word in drafted:
        place = word.table, word.column, phrase_key(word.theirs)
        decided = [one for one in _known(mapping, *place) if one.decided]
        if not decided:
            yield word
        elif place not in seen:
            yield from (
                word._replace(
                    ours=one.ours, position=one.position, action=one.action, cause=one.cause
                )
                for one in decided
            )
        seen.add(place)
    for (table, column), words in mapping.words.items():
        for key, several in words.items():
            if (table, column, key) not in seen and several[0].decided:
                for one in several:
                    yield Word(table, column, key, one.ours, one.position, one.action, one.cause)


def _known(mapping: Mapping, table: str, column: str, key: str) -> tuple[Meant, ...]:
    return mapping.words.get((table, column), {}).get(key, ())


def _feed(found: Outline, table: str, rules: Iterable[Rule], free: list[Lane]) -> Feed:
    rules = list(rules)
    pairs = tuple((rule.theirs, rule.ours) for rule in rules)
    dated = any(rule.place == HEADING and rule.ours == "date" for rule in rules)
    grid = any(rule.place in (HEADING, CELL) for rule in rules)
    unfolded = [lane for lane in free if not dated or is_period(lane.label)] if grid else []
    words = []
    for ours in WORDED:
        keys = {rule.key for rule in rules if rule.ours == ours and rule.key}
        lanes = [lane for lane in found.lanes if heading_key(lane.heading) in keys]
        if any(rule.place == CELL and rule.ours == ours for rule in rules):
            lanes = unfolded
        words += [(ours, tuple(lanes))] if lanes else []
    return Feed(table, pairs, tuple(words), tuple(unfolded))
