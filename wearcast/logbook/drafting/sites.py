"""Files or sites that number their machines alike: whether machine 1 of two can be one machine."""

from collections import defaultdict
from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from wearcast.logbook.drafting.feed import DOWN, Fed, Feed
from wearcast.logbook.drafting.meters import days_of, filled_down
from wearcast.logbook.drafting.outline import Outline, numbers_of
from wearcast.logbook.schema.spelling import fold
from wearcast.logbook.sheets.dates import ORDERS, Order

Shown = tuple[str, int, float]
"""File or site, day and meter [h]."""
MOST_FALLS = 0.2
"""Share of the steps that one meter can fall: slips and replaced meters."""


def numbered_apart(fed: Fed) -> tuple[Fed, list[str]]:
    """The feeds with site or file in front of machines that would else be mistaken for each other.

    Also the numbers that stay alike all the same, since not every file can be told apart so.
    """
    if _clashing(fed, by_site=True):
        fed = [(found, feed.with_machine(feed.site.heading) if feed.site else feed)
               for found, feed in fed]  # fmt: skip
    alike = _clashing(fed, by_site=False)
    if alike and _self_contained(fed):
        return [(found, feed.with_machine("[file]")) for found, feed in fed], []
    return fed, alike


def _self_contained(fed: Fed) -> bool:
    """Whether each file holds its readings and its changes."""
    tables: dict[str, set[str]] = defaultdict(set)
    for found, feed in fed:
        tables[found.sheet.source].add(feed.table)
    return all(own == {"readings", "changes"} for own in tables.values())


def _clashing(fed: Fed, by_site: bool) -> list[str]:
    """Machines that stand in several files, or sites, with meters that cannot be one."""
    readings = [(found, feed) for found, feed in fed if feed.table == "readings"]
    files = {found.sheet.source for found, _ in readings}
    several = any(feed.site for _, feed in readings) if by_site else len(files) > 1
    if not several:
        return []
    by_order = [_shown(readings, order, by_site) for order in ORDERS]
    best = min(by_order, key=lambda shown: sum(_falls(own) for own in _each_file(shown)))
    return sorted(name for name, shown in best.items() if _cannot_be_one(shown))


def _shown(readings: Fed, order: Order, by_site: bool) -> dict[str, list[Shown]]:
    """What the meters showed, by machine."""
    shown: dict[str, list[Shown]] = defaultdict(list)
    for found, feed in readings:
        names = _names(found, feed)
        where = [found.sheet.source] * len(names)
        if by_site:
            where = filled_down(feed.site) if feed.site else [""] * len(names)
        for day, values in _meters(found, feed, order):
            for at in np.flatnonzero(np.isfinite(values)):
                if names[at]:
                    shown[names[at]].append((where[at], int(day[at]), float(values[at])))
    return shown


def _names(found: Outline, feed: Feed) -> list[str]:
    """The machine of each row, as the feed names it; blank where no column does."""
    lanes = {lane.heading: lane for lane in found.lanes}
    named = [
        filled_down(lanes[bare])
        for theirs, ours in feed.headings
        if ours == "machine" and (bare := theirs.removesuffix(f" {DOWN}")) in lanes
    ]
    named = named or [[""] * len(found.rows)]
    return [" ".join(map(fold, several)) for several in zip(*named, strict=True)]


def _meters(
    found: Outline, feed: Feed, order: Order
) -> Iterator[tuple[NDArray[np.int64], NDArray[np.float64]]]:
    """Days and meters of the rows, of a plain table or of each column of a grid of days."""
    lanes = {lane.heading: lane for lane in found.lanes}
    ours = {column: lanes.get(theirs) for theirs, column in feed.headings}
    date, hours = ours.get("date"), ours.get("hours")
    if date is not None and hours is not None:
        yield days_of(date, order), numbers_of(hours.cells)
    elif date is None:
        for number, lane in enumerate(feed.unfolded):
            yield np.full(len(lane.cells), number), numbers_of(lane.cells)


def _each_file(shown: dict[str, list[Shown]]) -> Iterator[list[Shown]]:
    """The readings of each machine and file."""
    for every in shown.values():
        files: dict[str, list[Shown]] = defaultdict(list)
        for one in every:
            files[one[0]].append(one)
        yield from files.values()


def _falls(shown: list[Shown]) -> int:
    """How often a meter falls in the order of days."""
    days = sorted((day, hours) for _, day, hours in shown)
    return int((np.diff([hours for _, hours in days]) < 0).sum())


def _cannot_be_one(shown: list[Shown]) -> bool:
    several = len({file for file, _, _ in shown}) > 1
    return several and _falls(shown) > max(1, MOST_FALLS * len(shown))
