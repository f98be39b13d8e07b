"""The rows of ``columns``; sheets that are read alike go by one pattern, such as ``GX-*``."""

import re
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from fnmatch import fnmatchcase
from itertools import takewhile
from typing import NamedTuple

from wearcast.logbook.drafting.feed import Feed
from wearcast.logbook.drafting.outline import Outline, is_period

LEAST_COMMON = 2
"""Letters that sheets must have in common to go by one pattern."""
_WILD = re.compile(r"[*?\[\]]")
Fed = Sequence[tuple[Outline, Feed]]


class Heading(NamedTuple):
    """A row of the sheet ``columns``."""

    table: str
    sheet: str
    theirs: str
    ours: str
    """Blank: not read, or not decided."""
    open: bool = False
    """Whether the person has to complete it; no column of the workbook."""


def headings_of(fed: Fed, every: Sequence[str]) -> Iterator[Heading]:
    """The rows of ``columns``, by as few names of sheets as mean no other sheet."""
    for table in ("readings", "changes"):
        feeding = [(found, feed) for found, feed in fed if feed.table == table]
        waits = {feed.headings for _, feed in feeding if not feed.sure}
        for name, pairs in _named(feeding, every):
            for theirs, ours in pairs:
                yield Heading(table, name, theirs, ours, not ours and pairs in waits)


def pattern_of(names: Iterable[str], others: Iterable[str]) -> str:
    """A pattern that means these sheets and none of the others; blank if there is none."""
    different = sorted(set(names))
    if len(different) == 1:
        return different[0]
    if any(map(_WILD.search, different)):
        return ""
    start = _common(different)
    end = _common([name[len(start) :][::-1] for name in different])[::-1]
    found = f"{start}*{end}"
    strangers = any(fnmatchcase(name, found) for name in set(others) - set(different))
    # All sheets of these records may be alike by chance: unless they are months, those to come
    # need not be.
    by_chance = not start + end and not all(map(is_period, different))
    return "" if strangers or by_chance or 0 < len(start + end) < LEAST_COMMON else found


def _common(names: Sequence[str]) -> str:
    """What all names begin with, up to the number or the word in which they differ."""
    common = _start(names)
    inside = any(name[len(common) :][:1].isalpha() for name in names)
    shape = r"(?:[0-9]+|[^\W\d_]+)$" if inside else r"[0-9]+$"
    return re.sub(shape, "", common)


def _start(names: Sequence[str]) -> str:
    """The letters that all names begin with."""
    pairs = zip(min(names), max(names), strict=False)
    return "".join(one for one, _ in takewhile(lambda pair: pair[0] == pair[1], pairs))


Pairs = tuple[tuple[str, str], ...]


def _named(feeding: Fed, every: Sequence[str]) -> Iterator[tuple[str, Pairs]]:
    """Names or patterns of sheets with the headings that hold in them."""
    together = _together(feeding)
    names = [found.sheet.name for found, _ in feeding]
    shared = pattern_of(names, every) if together else ""
    if shared:
        yield shared, together
        return
    alike: dict[Pairs, list[str]] = defaultdict(list)
    for found, feed in feeding:
        alike[feed.headings].append(found.sheet.name)
    for pairs, names in alike.items():
        shared = pattern_of(names, every)
        yield from ((name, pairs) for name in ([shared] if shared else dict.fromkeys(names)))


def _together(feeding: Fed) -> Pairs:
    """The headings of all these sheets as one list, if each sheet then still reads as before."""
    merged = dict(pair for _, feed in feeding for pair in feed.headings)
    special = {theirs for theirs in merged if theirs.startswith("[")}
    for found, feed in feeding:
        here = {lane.heading for lane in found.lanes} | special
        if {pair for pair in merged.items() if pair[0] in here} != set(feed.headings):
            return ()
    return tuple(merged.items())
