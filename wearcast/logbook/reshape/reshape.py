"""Sheets as people keep them, through their mapping, become sheets called and headed like ours.

A sheet that the mapping says nothing about goes through as it is. What comes out keeps file,
sheet, rows and headings of the original, so that findings name what the person sees.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from wearcast.logbook.findings.drafts import IMPORTANCE, MOST_FINDINGS
from wearcast.logbook.reshape.headed import Headed, find_headed
from wearcast.logbook.reshape.heading_rows import find_headings, meaning
from wearcast.logbook.reshape.mapping import (
    DID,
    HEADING,
    ONLY,
    RUN,
    Mapping,
    Rule,
    Words,
)
from wearcast.logbook.reshape.status import DONE, status_rule
from wearcast.logbook.reshape.unfolded import Unfolded, unfold
from wearcast.logbook.reshape.worded import (
    Undecided,
    deeds,
    in_our_words,
    only_counting,
    saying_something,
    word_of,
)
from wearcast.logbook.schema.tables import ABOUT_OTHERS, BY_NAME, Table
from wearcast.logbook.sources.sheet import Mapped, Sheet, source_of
from wearcast.told import Problem

KEYS = ("machine", "date", "part")
"""Needed columns that say which row it is, not what happened."""


@dataclass(frozen=True, slots=True)
class Feed:
    """One table that a sheet feeds, with its rules and words."""

    table: Table
    rules: tuple[Rule, ...]
    words: dict[str, Words]

    @property
    def reshapes(self) -> bool:
        """Whether more is asked for than that headings and words have other names."""
        ours = [rule.ours for rule in self.rules]
        return len(set(ours)) < len(ours) or any(
            rule.sheet or rule.place or rule.down or rule.ours in (DID, ONLY, RUN, "")
            for rule in self.rules
        )


def reshape(sheets: Iterable[Sheet], mapping: Mapping) -> tuple[list[Sheet], list[Problem]]:
    """The sheets that the tables are read from, and what is told of words and headings."""
    made: list[Sheet] = []
    told: list[Problem] = []
    for sheet in sheets:
        feeds = [
            Feed(BY_NAME[name], rules, mapping.words_of(name))
            for name, rules in mapping.feeds(sheet).items()
            if sheet.rows and name not in ABOUT_OTHERS
        ]
        feeds = [_with_status(sheet, feed, feeds) for feed in feeds]
        if not any(feed.reshapes for feed in feeds):
            made.append(_reworded(sheet, feeds[0]) if feeds and feeds[0].words else sheet)
            continue
        for feed in feeds:
            found, problems = _fed(sheet, feed, [one for one in feeds if one is not feed])
            made += found
            told += problems
    return made, told


def headings_of(sheets: Iterable[Sheet]) -> dict[tuple[str, str, str], str]:
    """Source, table and column -> the heading of the original, for sheets that were reshaped."""
    return {
        (source_of(sheet), sheet.name, ours): theirs
        for sheet in sheets
        if sheet.mapped is not None
        for ours, theirs in sheet.mapped.headings.items()
    }


def _with_status(sheet: Sheet, feed: Feed, feeds: Sequence[Feed]) -> Feed:
    """The feed, with a rule for a column that says whether work was done at all."""
    if feed.table.name != "changes":
        return feed
    rules = [rule for one in feeds for rule in one.rules]
    headed = _headed(sheet, rules, [one.table for one in feeds])
    rule = status_rule(feed.table, headed, sheet.rows[headed.last + 1 :], rules)
    if rule is None:
        return feed
    words = {**feed.words, ONLY: DONE | feed.words.get(ONLY, {})}
    return replace(feed, rules=(*feed.rules, rule), words=words)


def _reworded(sheet: Sheet, feed: Feed) -> Sheet:
    """A sheet of ours with its words replaced where they stand, and without rows they skip."""
    own = {(rule.table, rule.key): rule.ours for rule in feed.rules}
    heading = find_headings(feed.table, sheet.rows, own)
    body = [list(row) for row in sheet.rows[heading.last + 1 :]]
    skipped: set[int] = set()
    for at, (name, _) in heading.meant.items():
        for place, row in enumerate(body):
            word = word_of(row[at], feed.words.get(name, {})) if at < len(row) else None
            if word is not None and word.skips:
                skipped.add(place)
            elif word is not None and word.ours:
                row[at] = word.ours
    kept = [place for place in range(len(body)) if place not in skipped]
    head, numbers = sheet.rows[: heading.last + 1], sheet.row_numbers
    below = numbers[heading.last + 1 :]
    return replace(
        sheet,
        rows=[*head, *(body[place] for place in kept)],
        row_numbers=[*numbers[: heading.last + 1], *(below[place] for place in kept)],
        mapped=Mapped(sheet.name, {}, skipped=tuple(below[place] for place in sorted(skipped))),
    )


def _fed(sheet: Sheet, feed: Feed, others: Sequence[Feed]) -> tuple[list[Sheet], list[Problem]]:
    """The sheet as one of the tables that it feeds; none if it has no heading of the mapping."""
    rules = [rule for one in (feed, *others) for rule in one.rules]
    headed = _headed(sheet, rules, [one.table for one in (feed, *others)])
    if not headed.found and any(rule.key for rule in feed.rules if rule.ours):
        return [], [_not_meant(sheet, feed)]
    elsewhere = frozenset(rule.key for one in others for rule in one.rules if rule.key)
    laid = unfold(sheet, headed, feed.table, feed.rules, elsewhere)
    laid, uncounted = only_counting(laid, feed.words.get(ONLY, {}))
    phrased = DID in laid.columns
    laid, undone = deeds(laid, feed.words.get(DID, {}))
    laid = in_our_words(laid, feed.words, lambda heading: _name_of(feed.table, heading))
    if phrased or others:
        laid = saying_something(laid, _facts(feed.table))
    told = _undecided_told(sheet, feed, laid, uncounted | undone)
    return [_as_sheet(sheet, feed, headed, laid)], told


def _headed(sheet: Sheet, rules: Sequence[Rule], tables: Sequence[Table]) -> Headed:
    days = any(rule.place == HEADING and rule.ours == "date" for rule in rules)
    return find_headed(sheet.rows, {rule.key for rule in rules if rule.key}, tables, days)


def _not_meant(sheet: Sheet, feed: Feed) -> Problem:
    wrong = f'"{sheet.name}" has none of the headings that the table columns names for it'
    wrong += "; it was left out"
    cure = "Add its headings there if its rows count"
    return Problem(sheet.source, feed.table.name, (), "", "", "note", wrong, cure, 0.02)


def _name_of(table: Table, heading: str) -> str:
    meant = meaning(table, heading, {})
    return meant[0] if meant else heading


def _facts(table: Table) -> list[str]:
    """The needed columns that say what happened."""
    needed = [one.name for one in table.columns if one.needed and one.name not in KEYS]
    return [*needed, RUN]


def _as_sheet(sheet: Sheet, feed: Feed, headed: Headed, laid: Unfolded) -> Sheet:
    """The laid as a sheet that is called like its table."""
    run = RUN in laid.columns and "hours" not in laid.columns
    named = {("hours" if run and name == RUN else name): name for name in laid.columns}
    if not run:
        named.pop(RUN, None)
    rows: list[list[object]] = [list(named)]
    rows += map(list, zip(*(laid.columns[name] for name in named.values()), strict=True))
    for place, surplus in laid.surplus.items():
        rows[place + 1] += [None, surplus]  # the reader then sees that cells may have moved
    headings = {ours: laid.headings[name] for ours, name in named.items() if name in laid.headings}
    mapped = Mapped(
        sheet.name,
        headings,
        laid.aside,
        tuple(sorted(laid.skipped)),
        tuple(sorted(laid.bare - laid.skipped)),
        run,
    )
    numbers = [sheet.row_numbers[headed.last], *laid.rows]
    return replace(sheet, name=feed.table.name, rows=rows, row_numbers=numbers, mapped=mapped)


def _undecided_told(
    sheet: Sheet, feed: Feed, laid: Unfolded, undecided: Undecided
) -> list[Problem]:
    """Each word that nobody decided, once, with its count; the commonest first."""
    source = source_of(replace(sheet, name=feed.table.name, mapped=Mapped(sheet.name, {})))
    told = []
    for (column, word), numbers in sorted(undecided.items(), key=lambda one: -len(one[1])):
        cure = "yes or skip under ours"
        if column == DID:
            cure = "position, action and cause, or skip under ours"
        count = "1 row has" if len(numbers) == 1 else f"{len(numbers)} rows have"
        told.append(
            Problem(
                source=source,
                table=feed.table.name,
                rows=tuple(sorted(set(numbers))),
                column=laid.headings.get(column, column),
                value=word,
                severity="set aside",
                wrong=f"{count} this, and the table words does not say what it means",
                remedy=f"Give it a row there ({feed.table.name}, {column}): {cure}",
                weight=IMPORTANCE[feed.table.name] * (len(numbers) / len(sheet.rows)) ** 0.5,
            )
        )
    first, rest = told[:MOST_FINDINGS], told[MOST_FINDINGS:]
    if len(rest) < 2:
        return told
    rows = tuple(sorted({row for one in rest for row in one.rows}))
    wrong = f"{rest[0].wrong}; {len(rest) - 1} more words are like this one"
    return [*first, rest[0]._replace(rows=rows, wrong=wrong)]
