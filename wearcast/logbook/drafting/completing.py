"""What a feed needs besides its headings: blocks filled down, years, a grid's other columns."""

from dataclasses import replace

from wearcast.logbook.drafting.feed import DOWN, Feed, Pairs
from wearcast.logbook.drafting.outline import Lane, Outline
from wearcast.logbook.drafting.years import are_days_of_month, beside_dates

BLOCKS = ("machine", "date")
LEAST_BARE = 0.3
"""Share of the rows without a cell, from which on blocks are meant and no slips."""


def completed(found: Outline, feed: Feed) -> Feed:
    """The feed with cells filled down, dates made whole, and a grid's other lanes left out."""
    lanes = {lane.heading: lane for lane in found.lanes}
    pairs = [(_filled_down(found, lanes.get(theirs), theirs, ours), ours)
             for theirs, ours in feed.headings]  # fmt: skip
    pairs = _with_years(found, feed, pairs)
    if feed.unfolded:
        named = {theirs for theirs, _ in feed.headings} | {lane.heading for lane in feed.unfolded}
        pairs += [(lane.heading, "") for lane in found.lanes if lane.heading not in named]
    pairs += [(heading, "") for heading in found.beside]
    sure = all(ours or theirs not in ("[sheet]", "[cell]") for theirs, ours in pairs)
    return replace(feed, headings=tuple(pairs), sure=sure)


def _filled_down(found: Outline, lane: Lane | None, theirs: str, ours: str) -> str:
    down = ours in BLOCKS and lane is not None and (lane.dittos or _in_blocks(found, lane))
    return f"{theirs} {DOWN}" if down else theirs


def _in_blocks(found: Outline, lane: Lane) -> bool:
    """Whether a lane is filled in the first row of each block only."""
    if not lane.cells or lane.cells[0] is None:
        return False
    rows = [
        any(other.cells[at] is not None for other in found.lanes if other is not lane)
        for at in range(len(found.rows))
    ]
    bare = sum(told and cell is None for told, cell in zip(rows, lane.cells, strict=True))
    return bare >= LEAST_BARE * sum(rows)


def _with_years(found: Outline, feed: Feed, pairs: Pairs) -> Pairs:
    """The headings with what makes the dates whole beside them."""
    at = next(place for place, (_, ours) in enumerate(pairs) if ours == "date")
    heading = feed.headings[at][0]
    lane = next((lane for lane in found.lanes if lane.heading == heading), None)
    dates: list[object] = [lane.label for lane in feed.unfolded]
    if heading == "[cell]":
        dates = [cell for lane in feed.unfolded for cell in lane.filled]
    elif heading == "[sheet]":
        dates = [found.sheet.name]
    elif lane is not None:
        dates = lane.filled
    whole = lane is None or not are_days_of_month(lane)
    added = [(theirs, "date") for theirs in beside_dates(found, dates, whole) if theirs != heading]
    # A day goes before its month: 12 January 2026.
    behind = at if whole else at + 1
    return [*pairs[:behind], *added, *pairs[behind:]]
