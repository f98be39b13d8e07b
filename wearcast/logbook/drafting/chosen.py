"""Which sheets feed which table, where several could or none surely does."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from typing import NamedTuple

from wearcast.logbook.drafting.feed import UNDECIDED, Fed, Feed, Named
from wearcast.logbook.drafting.feeds import feeds, is_of_purchases, lacks_machine
from wearcast.logbook.drafting.outline import MOSTLY, Lane, Outline, is_period
from wearcast.logbook.drafting.phrases import Known
from wearcast.logbook.drafting.roles import Roles, roles_of
from wearcast.logbook.sources.cell_texts import text_of

NEEDED = ("readings", "changes")
MOSTLY_WORK = 0.8
"""Share of rows with work, from which on a sheet is a list of work and no book of meters."""


class Chosen(NamedTuple):
    """The feeds that are proposed, and the sheets that no machine could be found for."""

    fed: Fed
    nameless: list[Outline]


def choose(outlines: Sequence[Outline], known: Known, given: Iterable[str]) -> Chosen:
    """The feeds of these sheets; `given` are the tables that a mapping already feeds."""
    roles = _with_known_machines(
        {id(found): roles_of(found, known) for found in outlines}, outlines
    )
    named = _named(outlines, roles)
    every = [
        (found, feed)
        for found in outlines
        for feed in feeds(found, roles[id(found)], known, named[id(found)])
    ]
    sure = [(found, feed) for found, feed in every if feed.sure]
    there = {*given, *(feed.table for _, feed in sure)}
    unsure = [(found, feed) for found, feed in every if not feed.sure]
    # Half a sheet would stop the reader, so it is proposed only where its table has no other.
    fed = _without_doubles(sure, bool(set(given)))
    fed += [(found, feed) for found, feed in unsure if feed.table not in there]
    left = {id(found): found for found, feed in unsure if feed.table in there}
    there |= {feed.table for _, feed in fed}
    return Chosen(fed + _left_open(outlines, fed, roles, there), [*left.values()])


def _with_known_machines(roles: dict[int, Roles], outlines: Sequence[Outline]) -> dict[int, Roles]:
    """Sheets whose machine no heading names: it stands where the machines of other sheets stand."""
    lanes = [own["machine"] for own in roles.values() if "machine" in own]
    names = {text_of(cell) for lane in lanes for cell in lane.filled}
    for found in outlines:
        own = roles[id(found)]
        free = [lane for lane in found.lanes if lane.kind == "text" and lane not in own.values()]
        fit = [lane for lane in free if _share_known(lane, names) >= MOSTLY]
        if "machine" not in own and len(fit) == 1:
            own["machine"] = fit[0]
    return roles


def _share_known(lane: Lane, names: set[str]) -> float:
    """Share of a lane's cells that are names of machines."""
    texts = [text_of(cell) for cell in lane.filled]
    return sum(text in names for text in texts) / max(len(texts), 1)


def _left_open(
    outlines: Iterable[Outline], fed: Fed, roles: dict[int, Roles], there: set[str]
) -> Fed:
    """Sheets with days under words that nobody knows, for tables that nothing feeds."""
    feeding = {id(found) for found, _ in fed}
    added: Fed = []
    for found in outlines:
        own = roles[id(found)]
        if "date" not in own or (is_of_purchases(found) and "machine" not in own):
            continue
        ours = {id(lane): role for role, lane in own.items() if role in ("machine", "date")}
        told = own.values() if id(found) in feeding else [own.get("machine"), own["date"]]
        free = [lane for lane in found.lanes if lane not in told]
        texts = any(lane.kind == "text" for lane in free)
        numbers = any(lane.kind == "number" for lane in free)
        table = "readings" if (numbers and "machine" not in own) or not texts else "changes"
        tables = [table]
        if id(found) in feeding:
            tables = ["readings"] * numbers + ["changes"] * texts
        for table in (each for each in tables if each not in there):
            meters = table == "readings" and id(found) in feeding
            kinds = ("number",) if meters else ("number", "text", "date")
            open_ones = [
                lane
                for lane in found.lanes
                if (lane in free and lane.kind in kinds) or id(lane) in ours
            ]
            pairs = [(lane.heading, ours.get(id(lane), UNDECIDED)) for lane in open_ones]
            added.append((found, Feed(table, tuple(pairs), sure=False)))
    return added


def _without_doubles(fed: Fed, elsewhere: bool) -> Fed:
    """Without the meters of lists of work where other sheets keep the meters.

    A list of work feeds its hours into changes, and from there they reach the meter's curve.
    Hours in it that are no meter were worked by the mechanic, not run by the machine.
    `elsewhere`: a mapping that was there before says where the meters are.
    """
    worked = {id(found): _share_worked(found, feed) for found, feed in fed if feed.words}
    fed = [
        (found, feed)
        for found, feed in fed
        if ("run" not in dict(feed.headings).values() or worked.get(id(found), 0.0) <= MOSTLY_WORK)
    ]
    meters = [found for found, feed in fed if feed.table == "readings"]
    if not elsewhere and all(worked.get(id(found), 0.0) > MOSTLY_WORK for found in meters):
        return fed
    return [
        (found, feed)
        for found, feed in fed
        if feed.table != "readings" or worked.get(id(found), 0.0) <= MOSTLY_WORK
    ]


def _share_worked(found: Outline, feed: Feed) -> float:
    """Share of the rows that tell of work."""
    lanes = feed.words[0][1]
    rows = range(len(found.rows))
    told = sum(any(lane.cells[at] is not None for lane in lanes) for at in rows)
    return told / max(len(rows), 1)


def _named(outlines: Sequence[Outline], roles: dict[int, Roles]) -> dict[int, Named]:
    """What names the machine of each sheet that has no column for it, by the outline's id."""
    alike: dict[tuple[str, ...], list[Outline]] = defaultdict(list)
    for found in outlines:
        if lacks_machine(found, roles[id(found)]):
            alike[tuple(sorted(lane.heading for lane in found.lanes))].append(found)
    named: dict[int, Named] = {id(found): "" for found in outlines}
    for group in alike.values():
        sheets = {found.sheet.name for found in group}
        files = {found.sheet.source for found in group}
        by: Named = ""
        if len(sheets) == len(group) > 1 and not any(map(is_period, sheets)):
            by = "[sheet]"
        elif len(files) > 1 and len(sheets) < len(group):
            by = "[file]"
        named |= {id(found): by for found in group}
    return named
