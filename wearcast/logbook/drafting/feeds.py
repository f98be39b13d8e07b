"""Which of our tables a sheet feeds, and which of its headings mean which of our columns."""

from collections.abc import Sequence
from dataclasses import replace
from pathlib import PurePath

from wearcast.logbook.drafting.completing import completed
from wearcast.logbook.drafting.feed import UNDECIDED, Feed, Named, Pairs
from wearcast.logbook.drafting.lanes import answered, deed_days, marks, work_across
from wearcast.logbook.drafting.legends import legends
from wearcast.logbook.drafting.meters import are_meters
from wearcast.logbook.drafting.outline import Lane, Outline, numbers_in
from wearcast.logbook.drafting.phrases import Known, heading_words, meanings
from wearcast.logbook.drafting.roles import Roles, across, periods, says
from wearcast.logbook.schema.tables import BY_NAME
from wearcast.logbook.schema.trade_words import BOUGHT, HEADINGS, PURCHASES
from wearcast.logbook.sources.cell_texts import text_of


def feeds(found: Outline, roles: Roles, known: Known, named: Named) -> list[Feed]:
    """The tables of ours that the sheet feeds: readings, changes, both or none."""
    if is_of_purchases(found) and "machine" not in roles:
        return []
    made = [_grid(found, roles, named, known), _readings(found, roles, named)]
    made += [_dated_deeds(found, roles, named)]
    made += [_marked(found, roles, named, known), _changes(found, roles, named, known)]
    tables: dict[str, Feed] = {}
    for feed in made:
        if feed is not None:
            tables.setdefault(feed.table, feed)
    return [completed(found, replace(feed, site=roles.get("site"))) for feed in tables.values()]


def lacks_machine(found: Outline, roles: Roles) -> bool:
    """Whether rows have a day, and a meter or work, but nothing in them names the machine."""
    told = {"hours", "run", "did", "action", "position"} & roles.keys() or marks(found)
    return "machine" not in roles and "date" in roles and bool(told)


def is_of_purchases(found: Outline) -> bool:
    """Whether a sheet says what was bought, by its headings and its name."""
    names = f"{found.sheet.name} {PurePath(found.sheet.source).stem}"
    named = any(word in PURCHASES for word in heading_words(names).split())
    return sum(heading_words(lane.heading) in BOUGHT for lane in found.lanes) + named > 1


def _who_and_when(found: Outline, roles: Roles, named: Named) -> Pairs:
    """The headings of machine and date in the order of the sheet."""
    pairs = [
        (lane.heading, role)
        for lane in found.lanes
        for role in ("machine", "date")
        if roles.get(role) is lane
    ]
    if "date" in roles and roles["date"] not in found.lanes:
        pairs.append((roles["date"].heading, "date"))
    if "machine" in roles:
        return pairs
    return [(named or "[sheet]", "machine" if named else UNDECIDED), *pairs]


def _readings(found: Outline, roles: Roles, named: Named) -> Feed | None:
    """A column of meters or of hours run."""
    meter = "hours" if "hours" in roles else "run" if "run" in roles else ""
    if not meter or "date" not in roles:
        return None
    pairs = [*_who_and_when(found, roles, named), (roles[meter].heading, meter)]
    return Feed("readings", tuple(pairs))


def _grid(found: Outline, roles: Roles, named: Named, known: Known) -> Feed | None:
    """Meters, hours run or work in a grid of machines and days."""
    days, machines = periods(found, roles), across(found, roles)
    if days and "date" not in roles:
        if "machine" not in roles and not named:
            return None
        pairs = [*_who_and_when(found, roles, named), ("[heading]", "date")]
        rows = [list(row) for row in zip(*_cells(days), strict=True)]
        return _of_cells(found, days, pairs, rows, known)
    if "date" in roles and "machine" not in roles and "hours" not in roles and len(machines) > 1:
        pairs = [(roles["date"].heading, "date"), ("[heading]", "machine")]
        return _of_cells(found, machines, pairs, _cells(machines), known)
    worked = work_across(found)
    if "date" in roles and "machine" not in roles and worked:
        pairs = [(roles["date"].heading, "date"), ("[heading]", "machine")]
        return _of_cells(found, worked, pairs, _cells(worked), known)
    return None


def _cells(lanes: list[Lane]) -> list[list[object]]:
    return [list(lane.cells) for lane in lanes]


def _of_cells(
    found: Outline,
    lanes: list[Lane],
    pairs: Pairs,
    sequences: list[list[object]],
    known: Known,
) -> Feed | None:
    """What the cells of a grid feed: numbers are readings, phrases are changes."""
    filled = [[cell for cell in cells if cell is not None] for cells in sequences]
    if sum(lane.kind == "number" for lane in lanes) * 2 > len(lanes):
        meters = are_meters(map(numbers_in, filled))
        ours = "hours" if meters else "run" if meters is False and _of_hours(found) else UNDECIDED
        return Feed("readings", (*pairs, ("[cell]", ours)), unfolded=tuple(lanes))
    texts = [text_of(cell) for cells in filled for cell in cells]
    if texts and sum("did" in says(text, known) for text in texts) * 2 > len(texts):
        words = (("did", tuple(lanes)),)
        return Feed("changes", (*pairs, ("[cell]", "did")), words, tuple(lanes))
    return None


def _of_hours(found: Outline) -> bool:
    """Whether the sheet's name or titles speak of hours."""
    texts = (found.sheet.name, PurePath(found.sheet.source).stem, *found.titles)
    words = [word for text in texts for word in heading_words(text).split()]
    return any(word in HEADINGS[role] for word in words for role in ("hours", "run"))


def _marked(found: Outline, roles: Roles, named: Named, known: Known) -> Feed | None:
    """A column a position, with marks or words for what was done; or a column a question."""
    asked = answered(found)
    if asked and "date" in roles:
        pairs = [*_who_and_when(found, roles, named), *_beside(roles)]
        pairs += [("[heading]", "did"), ("[cell]", "only")]
        words = (("did", tuple(asked)), ("only", tuple(asked)))
        return Feed("changes", tuple(pairs), words, tuple(asked))
    lanes = marks(found)
    if not lanes or "date" not in roles:
        return None
    texts = [text_of(cell) for lane in lanes for cell in lane.filled]
    why = any({"done", "cause"} & {*says(text, known)} for text in texts)
    why |= any(" " in said for said in legends([found]).values())
    pairs = [*_who_and_when(found, roles, named), *_beside(roles)]
    if why:
        pairs += [("[heading]", "did"), ("[cell]", "did")]
        return Feed("changes", tuple(pairs), (("did", tuple(lanes)),), tuple(lanes))
    pairs += [("[heading]", "position"), ("[cell]", "action")]
    return Feed("changes", tuple(pairs), (("action", tuple(lanes)),), tuple(lanes))


def _dated_deeds(found: Outline, roles: Roles, named: Named) -> Feed | None:
    """A column a deed, *Fitted* or *Turn 2*, with the day on which it was done in its cells."""
    lanes, place = deed_days(found), roles.get("position") or roles.get("did")
    if not lanes or place is None or "date" in roles:
        return None
    pairs = [*_who_and_when(found, roles, named), (place.heading, "position")]
    pairs += [("[heading]", "action"), ("[cell]", "date")]
    return Feed("changes", tuple(pairs), (("position", (place,)),), tuple(lanes))


def _changes(found: Outline, roles: Roles, named: Named, known: Known) -> Feed | None:
    """Columns of what was done, in a phrase or word by word."""
    if "date" not in roles:
        return None
    said = _phrase(found, roles, known)
    words: list[tuple[str, tuple[Lane, ...]]] = []
    if said:
        words.append(("did", said))
    elif "position" in roles and "action" in roles:
        words += [("position", _with_side(found, roles, roles["position"]))]
        words += [("action", (roles["action"],))]
    else:
        return None
    words += [(role, (roles[role],)) for role in ("cause", "only") if role in roles]
    if said and roles.get("cause") in said:
        words = [each for each in words if each[0] != "cause"]
    pairs = [(lane.heading, role) for role, lanes in words for lane in lanes]
    beside = _beside(roles)
    if any(_names_two(phrase, known) for phrase in _joined(said)):
        # Pieces of a row that tells of two parts are of both together, so they are left out.
        beside = [(theirs, "" if ours == "pieces" else ours) for theirs, ours in beside]
    pairs = [*_who_and_when(found, roles, named), *pairs, *beside]
    return Feed("changes", tuple(pairs), tuple(words))


def _joined(lanes: Sequence[Lane]) -> set[str]:
    """The phrases that lanes make together, each once."""
    rows = zip(*(lane.cells for lane in lanes), strict=True) if lanes else ()
    return {" ".join(text_of(cell) for cell in row if cell is not None) for row in rows}


def _beside(roles: Roles) -> Pairs:
    """What else a row of changes may tell: meter, pieces, part."""
    columns = {column.name for column in BY_NAME["changes"].columns}
    told = [role for role in ("hours", "pieces", "part") if role in roles and role in columns]
    return [(roles[role].heading, role) for role in told]


def _phrase(found: Outline, roles: Roles, known: Known) -> tuple[Lane, ...]:
    """The lanes that together are one phrase; none where columns tell one thing each."""
    if "did" in roles:
        return _with_side(found, roles, roles["did"])
    place, done = roles.get("position"), roles.get("done") or roles.get("action")
    if place is None or done is None:
        return ()
    two = any(_names_two(text_of(cell), known) for cell in place.filled)
    if "done" in roles or two:
        return _with_side(found, roles, place, done)
    return ()


def _with_side(found: Outline, roles: Roles, *lanes: Lane) -> tuple[Lane, ...]:
    """The lanes, and the one with the place that they lack, in the order of the sheet."""
    together = (*lanes, roles.get("side"))
    return tuple(lane for lane in found.lanes if lane in together)


def _names_two(text: str, known: Known) -> bool:
    """Whether a cell names two positions."""
    told = meanings(text, known)
    return told is not None and len(told) > 1
