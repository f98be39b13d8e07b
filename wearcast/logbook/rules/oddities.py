"""What can be but seldom is: used as it stands, and told, so that a slip is seen.

One function a rule; a rule looks at the rows still used, and one cause gives one finding.
"""

from collections.abc import Callable
from typing import Literal

import numpy as np
import pandas as pd

from wearcast.logbook.findings.drafts import (
    Drafts,
    Finding,
    gathered,
    one_a_group,
    settle,
)
from wearcast.logbook.rules.days import day_of_machines
from wearcast.logbook.schema.spelling import did_you_mean, listed

DAYS_APART = pd.Timedelta(days=7)
"""A meter may be read some days before a machine begins and after it ends its work."""
LONG, FAR = pd.Timedelta(days=366), pd.Timedelta(days=731)
"""How old a count and how far ahead an order may be without a word. All three are chosen here."""
_SERVICE: tuple[tuple[str, Literal["min", "max"], int, str], ...] = (
    ("in_service", "min", -1, "{name} has readings or changes from {day:%Y-%m-%d} on"),
    ("retired", "max", 1, "{name} has readings or changes until {day:%Y-%m-%d}"),
)


def with_oddities(drafts: Drafts, as_of: pd.Timestamp) -> Drafts:
    """The drafts with every odd value told."""
    rules: dict[str, tuple[Callable[[Drafts, pd.Timestamp], list[Finding]], ...]] = {
        "machines": (outside_service, no_floors),
        "readings": (read_without_floors,),
        "parts": (free_parts, wide_lead_times, unlike_kinds, crossed_words),
        "stock": (counted_twice, counted_long_ago, idle_stock),
        "on_order": (due_far_ahead, idle_orders),
        "plans": (overlapping_plans,),
    }
    for table, tests in rules.items():
        for rule in tests:
            drafts = {**drafts, table: settle(drafts[table], rule(drafts, as_of))}
    return drafts


def _note(rows: pd.Index, column: str, wrong: str, remedy: str) -> list[Finding]:
    return [Finding(rows, column, "note", "kept", wrong, remedy)] if len(rows) else []


def outside_service(drafts: Drafts, _: pd.Timestamp) -> list[Finding]:
    """Machines that are read or mended a week and more before or after their time at work."""
    machines = drafts["machines"].used
    found = []
    for column, side, off, words in _SERVICE:
        if machines[column].isna().all():
            continue
        days = [
            day_of_machines(drafts[name], drafts[name].used_rows, side)
            .reindex(machines["machine"])
            .to_numpy("datetime64[ns]")
            for name in ("readings", "changes")
        ]
        there = pd.Series(np.fmin(*days) if side == "min" else np.fmax(*days), machines.index)
        odd = machines.index[((there - machines[column]) * off).gt(DAYS_APART)]
        for label in odd:
            wrong = words.format(name=machines.loc[label, "machine"], day=there[label])
            wrong += f", {'before it was in service' if off < 0 else 'after it retired'}"
            found += _note(pd.Index([label]), column, wrong, "Correct the day, or the name there")
    return gathered(found)


def free_parts(drafts: Drafts, _: pd.Timestamp) -> list[Finding]:
    """Parts for nothing."""
    parts = drafts["parts"].used
    rows = parts.index[parts["price"].eq(0)]
    return _note(rows, "price", "costs count these parts as free", "If not, write the price")


def wide_lead_times(drafts: Drafts, _: pd.Timestamp) -> list[Finding]:
    """Delivery times whose spread is beyond their mean."""
    parts = drafts["parts"].used
    rows = parts.index[parts["lead_days_sd"].gt(parts["lead_days"])]
    wrong = "the spread of the delivery time is larger than the time itself"
    return _note(rows, "lead_days_sd", wrong, "See that lead_days_sd is a standard deviation")


def unlike_kinds(drafts: Drafts, _: pd.Timestamp) -> list[Finding]:
    """Parts of several kinds that are said to wear alike."""
    parts = drafts["parts"].used
    kinds = parts["kind"].where(parts["kind"].ne(""))
    alike = parts["wears_as"].where(parts["wears_as"].ne(""), parts["part"])
    mixed = kinds.groupby(alike).transform("nunique").gt(1)

    def word(name: tuple[str], rows: pd.DataFrame) -> Finding:
        wrong = (
            f"{listed(sorted(set(kinds[rows.index].dropna())))} do not wear alike: each kind is "
            f"fitted by itself, as {name[0]}, and the kind"
        )
        remedy = "Give parts of each kind a word of their own"
        return Finding(rows.index, "wears_as", "repaired", "kept", wrong, remedy)

    return one_a_group(parts.assign(alike=alike)[mixed], ["alike"], word)


def crossed_words(drafts: Drafts, _: pd.Timestamp) -> list[Finding]:
    """Parts said to wear as another part that is itself said to wear as a third."""
    parts = drafts["parts"].used
    words = parts[parts["wears_as"].ne("")].drop_duplicates("part").set_index("part")["wears_as"]
    onward = parts["wears_as"].map(words)
    crossed = onward.notna() & onward.ne(parts["wears_as"])
    wrong = "the part of that name wears as another; the two are fitted apart"
    remedy = "Give parts that wear alike one and the same word"
    return _note(parts.index[crossed], "wears_as", wrong, remedy)


def counted_twice(drafts: Drafts, as_of: pd.Timestamp) -> list[Finding]:
    """Shelves with several rows of one day; of counts of several days the newest is the shelf."""
    stock = drafts["stock"].used
    shelf = ["part", "depot", "counted"]
    stock = stock.assign(counted=stock["counted"].fillna(as_of))
    twice = stock[stock.duplicated(shelf, keep=False)]

    def word(name: tuple[str, str, pd.Timestamp], rows: pd.DataFrame) -> Finding:
        where = f" at {name[1]}" if name[1] else ""
        wrong = f"{name[0]}{where} stands in {len(rows)} rows of one day; their pieces are added up"
        remedy = "If a count replaces another, keep the newest"
        return Finding(rows.index, "on_hand", "note", "kept", wrong, remedy)

    return one_a_group(twice, shelf, word)


def counted_long_ago(drafts: Drafts, as_of: pd.Timestamp) -> list[Finding]:
    """Counts of more than a year ago."""
    stock = drafts["stock"].used
    rows = stock.index[(as_of - stock["counted"]).gt(LONG)]
    return _note(rows, "counted", "counted more than a year before as-of", "Count them again")


def idle_stock(drafts: Drafts, _: pd.Timestamp) -> list[Finding]:
    """Stock at a depot that no machine is supplied from."""
    return _at_unused_depots(drafts, "stock")


def idle_orders(drafts: Drafts, _: pd.Timestamp) -> list[Finding]:
    """Open orders for a depot that no machine is supplied from."""
    return _at_unused_depots(drafts, "on_order")


def _at_unused_depots(drafts: Drafts, table: str) -> list[Finding]:
    depots = {name: set(drafts[name].used["depot"]) for name in ("machines", "stock", "on_order")}
    if len(set().union(*depots.values()) - {""}) < 2:
        return []
    supplied = {name or "main" for name in depots["machines"]} or {"main"}
    rows = drafts[table].used
    idle = rows[~rows["depot"].where(rows["depot"].ne(""), "main").isin(supplied)]

    def word(name: tuple[str], here: pd.DataFrame) -> Finding:
        wrong = f"no machine is supplied from {name[0] or 'main'}; these pieces serve none"
        cure = "Correct the name, or name that depot under machines"
        remedy = did_you_mean(name[0], supplied, cure)
        return Finding(here.index, "depot", "note", "kept", wrong, remedy)

    return one_a_group(idle, ["depot"], word)


def due_far_ahead(drafts: Drafts, as_of: pd.Timestamp) -> list[Finding]:
    """Orders due in more than two years."""
    orders = drafts["on_order"].used
    rows = orders.index[(orders["due"] - as_of).gt(FAR)]
    return _note(rows, "due", "due more than two years after as-of", "See that the year is right")


def overlapping_plans(drafts: Drafts, _: pd.Timestamp) -> list[Finding]:
    """Plans of one machine of which one begins before another, with a last day, has ended."""
    plans = drafts["plans"].used.sort_values(["machine", "start"], kind="stable")
    until = plans.groupby("machine")["end"].shift()
    second = plans["start"].le(until)
    both = second | second.groupby(plans["machine"]).shift(-1, fill_value=False)

    def word(name: tuple[str], rows: pd.DataFrame) -> Finding:
        wrong = f"plans of {name[0]} overlap; the one that starts later holds while it lasts"
        remedy = "If that is not meant, correct their days"
        return Finding(rows.index, "start", "note", "kept", wrong, remedy)

    return one_a_group(plans[both], ["machine"], word)


def no_floors(drafts: Drafts, _: pd.Timestamp) -> list[Finding]:
    """Rows of machines without a floor where others have one."""
    return _floorless(drafts, "machines")


def read_without_floors(drafts: Drafts, _: pd.Timestamp) -> list[Finding]:
    """Readings of machines without a floor, in a logbook without a table machines."""
    return _floorless(drafts, "readings") if drafts["machines"].used.empty else []


def _floorless(drafts: Drafts, table: str) -> list[Finding]:
    floors, rows = drafts["floors"], drafts[table].used
    if floors.used.empty or floors.any_aside:
        return []
    read = rows["machine"].isin(drafts["readings"].used["machine"])
    bare = rows[read & ~rows["machine"].isin(floors.used["machine"])]
    wrong = f"no floor is given for {listed(sorted(set(bare['machine'])))}; it counts as unknown"
    return _note(bare.index, "machine", wrong, "Add rows to the table floors")
