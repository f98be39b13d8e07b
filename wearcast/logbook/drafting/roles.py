"""What each column of a sheet holds, as far as its heading and its cells together are sure.

The heading proposes, the cells decide: *Hours* that never fall are a meter, others are hours run;
a column of *Remarks* is what was done only if phrases of parts stand in it.
"""

from collections import Counter
from collections.abc import Iterator, Sequence

import numpy as np

from wearcast.logbook.drafting.lanes import (
    is_headed,
    is_place,
    is_unit,
    marks,
    of_places,
    of_plans,
)
from wearcast.logbook.drafting.meters import shows_meter
from wearcast.logbook.drafting.outline import Lane, Outline, is_period
from wearcast.logbook.drafting.phrases import Known, counts, heading_words, meanings
from wearcast.logbook.drafting.years import numbered_dates
from wearcast.logbook.schema.tables import BY_NAME
from wearcast.logbook.schema.trade_words import (
    BOUGHT,
    ENDS,
    HEADINGS,
    METERS,
    SITES,
    WEAK_MACHINES,
)
from wearcast.logbook.schema.vocabulary import TOTALS
from wearcast.logbook.sheets.dates import read_date
from wearcast.logbook.sources.cell_texts import text_of

Roles = dict[str, Lane]
"""A column of ours, ``start`` or ``done`` (action and cause) -> the lane that holds it."""

SURE = 0.5
"""Share of a lane's cells that must say the same kind of thing, where the heading says nothing."""
HEADED = 0.3
"""What a heading adds to that share."""
MOSTLY_PHRASES = 2.0
"""Words of a cell, on average, from which on a column holds phrases."""
_TEXT_ROLES = ("did", "position", "action", "done", "cause", "only")
_PART = frozenset(map(heading_words, BY_NAME["changes"].column("part").also))


def roles_of(found: Outline, known: Known) -> Roles:
    """The lanes whose part is sure; `known` are the positions that these records name."""
    roles: Roles = {}
    _take(
        roles,
        "machine",
        [lane for lane in found.lanes if lane.kind != "blank" and not is_unit(lane)],
    )
    days = [lane for lane in found.lanes if lane.kind == "date" or _are_day_numbers(lane)]
    days = [lane for lane in days if not of_plans(lane)]
    _take(roles, "date", days)
    free = _free(found, roles)
    if "machine" not in roles:
        weak = [lane for lane in _in_front(free) if heading_words(lane.heading) in WEAK_MACHINES]
        roles |= {"machine": weak[0]} if len(weak) == 1 else {}
    sites = [lane for lane in free if heading_words(lane.heading) in SITES]
    roles |= {"site": sites[0]} if len(sites) == 1 and "machine" in roles else {}
    free = _free(found, roles)
    if "date" not in roles:
        days = [lane for lane in free if lane.kind == "date" and not is_period(lane.label)]
        days = [lane for lane in days if not of_plans(lane)]
        roles |= {"date": days[0]} if len(days) == 1 else {}
    numbers = [lane for lane in free if lane.kind == "number" and not is_period(lane.label)]
    for role in ("pieces", "start", "hours", "run"):
        _take(roles, role, numbers)
    meters = [lane for lane in numbers if METERS & set(heading_words(lane.heading).split())]
    if not {"hours", "run"} & roles.keys() and len(meters) == 1:
        roles["hours"] = meters[0]
    _judge_hours(roles)
    free = [lane for lane in _free(found, roles) if not is_period(lane.label)]
    texts = [lane for lane in free if lane.kind == "text" and not is_place(lane)]
    roles |= _texts(texts, known)
    roles |= _side(found, roles)
    parts = [lane for lane in _free(found, roles) if heading_words(lane.heading) in _PART]
    if len(parts) == 1:
        lacking = not {"did", "action", "position", "hours", "run"} & roles.keys()
        roles["did" if lacking and not marks(found) else "part"] = parts[0]
    return roles if "date" in roles or periods(found, roles) else roles | _half_dates(found, roles)


def _in_front(lanes: Sequence[Lane]) -> Iterator[Lane]:
    """The lanes left of the first one with numbers or work: a name behind them signs the row."""
    for lane in lanes:
        heading = heading_words(lane.heading)
        named = heading in HEADINGS["hours"] | HEADINGS["run"] | HEADINGS["did"]
        if named or METERS & set(heading.split()):
            return
        yield lane


def _half_dates(found: Outline, roles: Roles) -> Roles:
    """A column of bare numbers of days or weeks, else the sheet itself if it is of a month."""
    number = numbered_dates(found, roles.values())
    if number is None and is_period(found.sheet.name):
        number = Lane("[sheet]", found.sheet.name, "text", ())
    return {} if number is None else {"date": number}


def _are_day_numbers(lane: Lane) -> bool:
    """Whether numbers can be days, as 46027 and 20260105 are."""
    cells = set(lane.filled) if lane.kind == "number" else ()
    return bool(cells) and all(read_date(cell).day for cell in cells)


def _side(found: Outline, roles: Roles) -> Roles:
    """A lane of places alone, *Front* or *L*, beside one that names the part without its place."""
    named = [roles[role] for role in ("position", "did") if role in roles]
    sides = [lane for lane in _free(found, roles) if lane.kind == "text" and of_places(lane)]
    if not named or len(sides) != 1:
        return {}
    told = [meanings(text_of(cell)) for cell in named[0].filled]
    placed = any(said is not None and any(" " in one.position for one in said) for said in told)
    return {} if placed else {"side": sides[0]}


def periods(found: Outline, roles: Roles) -> list[Lane]:
    """Lanes that each stand for a day, a week or a month."""
    lanes = [lane for lane in _free(found, roles) if is_period(lane.label)]
    return lanes if len(lanes) > 1 else []


def across(found: Outline, roles: Roles) -> list[Lane]:
    """Lanes of numbers that may each stand for a machine."""
    if any(BOUGHT & {*heading_words(lane.heading).split()} for lane in found.lanes):
        return []
    return [
        lane
        for lane in _free(found, roles)
        if lane.kind == "number" and not is_headed(lane) and not _ends_in_kind(lane)
    ]


def _take(roles: Roles, role: str, lanes: Sequence[Lane]) -> None:
    """Give the role to the one lane that is headed so, unless it has another one."""
    free = [lane for lane in lanes if lane not in roles.values()]
    fit = [lane for lane in free if heading_words(lane.heading) in HEADINGS[role]]
    own = [lane for lane in fit if heading_words(lane.heading) == role]
    for choice in (own, fit):
        if len(choice) == 1:
            roles[role] = choice[0]
            return


def _judge_hours(roles: Roles) -> None:
    """Tell a meter from hours run by the numbers, whatever the heading says."""
    if "hours" not in roles and "run" not in roles and "start" in roles:
        roles["hours"] = roles.pop("start")
    if "hours" in roles and _is_meter(roles, "hours") is False:
        lane = roles.pop("hours")
        bound = heading_words(lane.heading) in ENDS or "start" in roles
        roles |= {"run": lane} if "run" not in roles and not bound else {}
    elif "run" in roles and "hours" not in roles and _is_meter(roles, "run"):
        roles["hours"] = roles.pop("run")


def _is_meter(roles: Roles, role: str) -> bool | None:
    who = [roles[name] for name in ("site", "machine") if name in roles]
    return shows_meter(who, roles.get("date"), roles[role])


def _texts(lanes: Sequence[Lane], known: Known) -> Roles:
    """The lanes of words, each with what it says most."""
    scored = [
        (score, number, role, lane)
        for number, lane in enumerate(lanes)
        for role, score in _scores(lane, known).items()
    ]
    found: Roles = {}
    for score, _, role, lane in sorted(scored, key=lambda one: (-one[0], one[1])):
        if score >= SURE and role not in found and lane not in found.values():
            found[role] = lane
    for lane in lanes:
        role = _headed_only(lane)
        if role and role not in found and lane not in found.values():
            found[role] = lane
    return _settled(found)


def _settled(found: Roles) -> Roles:
    """One way of saying what was done: a phrase, or position and action."""
    if "position" in found and "done" in found and "action" not in found:
        return {role: lane for role, lane in found.items() if role != "did"}
    found = {role: lane for role, lane in found.items() if role != "done"}
    if "action" in found and not {"position", "did"} & found.keys():
        found["did"] = found.pop("action")  # then these words have to say it all
    if "position" in found and not {"action", "did"} & found.keys():
        found["did"] = found.pop("position")  # a list of parts: each row tells one thing done
    if "position" in found and "action" in found:
        found.pop("did", None)
    elif "did" in found:
        found.pop("action", None)
        found.pop("position", None)
    return found


def _scores(lane: Lane, known: Known) -> dict[str, float]:
    """How far the cells of a lane say each kind of thing, the heading's word included."""
    cells = Counter(text_of(cell) for cell in lane.filled)
    said: Counter[str] = Counter()
    for text, count in cells.items():
        for role in says(text, known):
            said[role] += count
    heading = heading_words(lane.heading)
    scores = {role: said[role] / sum(cells.values()) for role in _TEXT_ROLES if said[role]}
    if scores.get("done"):
        scores["done"] += scores.get("action", 0.0) + 0.01
    return {
        role: score + (HEADED if heading in HEADINGS.get(role, ()) else 0.0)
        for role, score in scores.items()
    }


def says(text: str, known: Known) -> list[str]:
    """Which kinds of thing a cell can say."""
    kinds = ["only"] if counts(text) else []
    told = meanings(text, known)
    if told is None:
        return kinds
    first = told[0]
    if all(one.position and one.action for one in told):
        return [*kinds, "did"]
    if first.position:
        return kinds if first.cause else [*kinds, "position"]
    if first.action:
        return [*kinds, "done" if first.cause else "action"]
    return [*kinds, "cause"]


def _headed_only(lane: Lane) -> str:
    """The part of a lane whose cells say nothing known, by its heading alone."""
    heading = heading_words(lane.heading)
    may = [role for role in _TEXT_ROLES if heading in HEADINGS.get(role, ())]
    if {"did", "action"} <= set(may):
        words = [len(text_of(cell).split()) for cell in lane.filled]
        return "did" if words and np.mean(words) >= MOSTLY_PHRASES else "action"
    return may[0] if may else ""


def _ends_in_kind(lane: Lane) -> bool:
    """Whether a heading ends in what its cells are, as ``GX-1 Meter`` does: it is no machine."""
    words = heading_words(lane.heading).split()
    return bool(words) and (words[-1] in METERS or words[-1] in TOTALS)


def _free(found: Outline, roles: Roles) -> list[Lane]:
    return [lane for lane in found.lanes if lane not in roles.values()]
