"""What a quote does not know: left out of its price, or priced by what is usual elsewhere.

A price from which something is missing must never look like one that is whole.
"""

from collections.abc import Iterable

import numpy as np
import pandas as pd

from wearcast.decisions.costing.unit_costs import slot_prices
from wearcast.decisions.quoting.proposals import Fleet
from wearcast.decisions.quoting.spent import Spent, money_by_floor
from wearcast.logbook.schema.spelling import listed
from wearcast.outlook.weeks.plans import weeks_ahead
from wearcast.told import Problem
from wearcast.wear.records import Wear

NO_PRICE = "part without a price"
NO_MINUTES = "part without minutes"
NO_HOURS = "machine without planned hours"
NO_PARTS = "machine without positions"
PLAN_ENDS = "days of the contract without a plan"
REFUSED = "rows of the proposal set aside"
UNREAD = "rows of the learnt log set aside"
NOT_MEASURED = "wear that nobody measured"
LEFT_OUT = (NO_PRICE, NO_MINUTES, NO_HOURS, NO_PARTS, PLAN_ENDS, REFUSED)
"""What the price lacks; the other two only make it less sure."""
_TOLD = {
    NO_PRICE: (
        "parts",
        "price",
        "no price is known for {}; the quote leaves these parts out",
        "Write the price of one piece under price",
    ),
    NO_MINUTES: (
        "parts",
        "minutes",
        "labour is asked for, and no minutes are known for {}; the quote counts none",
        "Write the work of a change under minutes, that of a turn under turn_minutes",
    ),
    NO_PARTS: (
        "positions",
        "machine",
        "no positions are given for {}, so nothing wears there; the quote counts nothing",
        "Add rows to positions with the parts it carries",
    ),
    PLAN_ENDS: (
        "plans",
        "end",
        "the plans of {} end within the contract; the quote counts no hours after them",
        "Leave end blank, or add a row from the day after; 0 hours if it stands still",
    ),
    NO_HOURS: (
        "plans",
        "hours_per_week",
        "no hours are planned for {}; the quote counts none",
        "Add a row to plans with the hours a week",
    ),
}

Batches = list[tuple[np.ndarray, Spent]]


def what_is_missing(
    fleet: Fleet, spent: Batches, wear: Wear, told: Iterable[Problem]
) -> pd.DataFrame:
    """What a quote lacks or guesses.

    Parameters
    ----------
    fleet : Fleet
    spent : list of (array of draws, Spent)
    wear : Wear
        What was measured.
    told : Problems
        Findings on the proposal.

    Returns
    -------
    DataFrame
        what (`NO_PRICE` and so on), where (part, machine, table, or ``class on floor``), count
        (pieces a year of the part that cost nothing here; rows set aside; days; else nan), share
        (of the contract's expected money that rests on it, nan where that cannot be said).
    """
    return pd.concat(
        [
            _unpriced(fleet, spent),
            _without_minutes(fleet, spent),
            _idle(fleet),
            _bare(fleet),
            _unplanned(fleet),
            rows_set_aside(told, REFUSED),
            _unmeasured(fleet, spent, wear),
        ],
        ignore_index=True,
    )


def tell_missing(missing: pd.DataFrame) -> tuple[Problem, ...]:
    """Findings about parts without a price or minutes, machines without hours or parts."""
    told = []
    for what, (table, column, words, remedy) in _TOLD.items():
        names = missing.loc[missing["what"].eq(what), "where"].tolist()
        if names:
            told.append(
                Problem(table, table, (), column, "", "note", words.format(listed(names)), remedy,
                        weight=float(len(names)))
            )  # fmt: skip
    return tuple(told)


def rows_set_aside(told: Iterable[Problem], what: str) -> pd.DataFrame:
    """Rows that were set aside, by table; a whole table counts one."""
    rows: dict[str, int] = {}
    for each in told:
        if each.severity == "set aside":
            rows[each.table] = rows.get(each.table, 0) + max(len(each.rows), 1)
    return _frame(what, sorted(rows), [float(rows[name]) for name in sorted(rows)])


def _frame(
    what: str, where: list[str], count: list[float] | None = None, share: list[float] | None = None
) -> pd.DataFrame:
    unknown = [np.nan] * len(where)
    frame = pd.DataFrame(
        {"what": what, "where": where, "count": count or unknown, "share": share or unknown}
    )
    return frame.astype({"what": object, "where": object, "count": float, "share": float})


def _unpriced(fleet: Fleet, spent: Batches) -> pd.DataFrame:
    slots = spent[0][1].draws.slots
    bare = np.isnan(slot_prices(slots, fleet.book.parts))
    return _by_part(NO_PRICE, slots, bare, fleet, spent)


def _without_minutes(fleet: Fleet, spent: Batches) -> pd.DataFrame:
    """Parts whose changes or turns take no time, where labour is asked for."""
    slots = spent[0][1].draws.slots
    lines = fleet.book.parts.set_index("part").reindex(slots["part"])
    turned = slots["edges"].to_numpy(float) > 1
    bare = lines["minutes"].isna().to_numpy() | (turned & lines["turn_minutes"].isna().to_numpy())
    return _by_part(NO_MINUTES, slots, bare & bool(fleet.choices.labour_rate), fleet, spent)


def _by_part(
    what: str, slots: pd.DataFrame, bare: np.ndarray, fleet: Fleet, spent: Batches
) -> pd.DataFrame:
    """A row a part of the slots picked, with its pieces a year."""
    used = sum(np.bincount(one.draws.slot, minlength=len(slots)) for _, one in spent)
    a_year = used * slots["pieces"].to_numpy(float) * 365 / (fleet.days * fleet.choices.draws)
    pieces = pd.Series(a_year[bare]).groupby(slots["part"].to_numpy()[bare]).sum()
    return _frame(what, list(map(str, pieces.index)), pieces.tolist())


def _idle(fleet: Fleet) -> pd.DataFrame:
    still = fleet.hours.hours.sum(axis=(1, 2)) <= 0
    carries = pd.Index(fleet.hours.machines).isin(fleet.history.running["machine"])
    names = np.asarray(fleet.hours.machines, dtype=object)[still & carries]
    return _frame(NO_HOURS, names.tolist())


def _bare(fleet: Fleet) -> pd.DataFrame:
    """Machines that carry nothing, so that they cost nothing."""
    machines = fleet.history.machines.index
    names = machines[~machines.isin(fleet.history.running["machine"])]
    return _frame(NO_PARTS, list(map(str, names)))


def _unplanned(fleet: Fleet) -> pd.DataFrame:
    """Machines whose plans end within the contract, with the days that no plan speaks of."""
    machines = fleet.history.machines
    ahead = weeks_ahead(machines, fleet.book.plans, fleet.history.as_of, fleet.days // 7)
    planned = ahead.short + ahead.long
    # A plan may begin within a week: the weeks after it count.
    begun = (np.cumsum(planned, axis=1) - planned) > 0
    days = pd.Series((7 * ahead.free * begun).sum(axis=1).round(), index=machines.index)
    ended = days[days > 0]
    return _frame(PLAN_ENDS, list(map(str, ended.index)), ended.tolist())


def _unmeasured(fleet: Fleet, spent: Batches, wear: Wear) -> pd.DataFrame:
    """Wear classes on floors of which the log holds next to nothing, largest share first."""
    money = money_by_floor(spent)
    total = float(money.sum())
    known = measured_cells(wear)
    there = _cells_at_work(fleet, spent)
    cells = [cell for cell in money.index if cell in there and cell not in known]
    share = (
        money.reindex(pd.MultiIndex.from_tuples(cells, names=money.index.names))
        if cells
        else money[:0]
    )
    share = share.sort_values(ascending=False, kind="stable")
    where = [f"{name} on {floor}" for name, floor in share.index]
    part = (share / total if total > 0 else share * np.nan).tolist()
    return _frame(NOT_MEASURED, where, share=part)


def _cells_at_work(fleet: Fleet, spent: Batches) -> set[tuple[str, str]]:
    """Wear classes and the floors on which a machine with hours works with them."""
    hours = fleet.hours.hours.sum(axis=(1, 2))
    found = set()
    for _, each in spent:
        one = each.draws
        seat = pd.Index(fleet.hours.machines).get_indexer(pd.Index(one.slots["machine"]))
        slot, floor = np.nonzero((one.wear_share > 0) & (hours[seat] > 0)[:, None])
        names = one.slots["wears_as"].astype(str).to_numpy()
        found |= set(zip(names[slot], np.asarray(one.floors, dtype=object)[floor], strict=True))
    return found


def measured_cells(wear: Wear) -> set[tuple[str, str]]:
    """Wear classes and floors on which the log holds enough to move what was usual."""
    table = wear.floor_table
    held = table[table["hours"].gt(0) & table["basis"].ne("typical")]
    return set(zip(held["wears_as"].astype(str), held["floor"].astype(str), strict=True))
