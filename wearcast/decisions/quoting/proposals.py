"""A proposed fleet: what is drawn about it, and its walk through the contract years.

Where floor shares are not known for sure the draws are dealt to a few possible mixes, and each mix
is walked with its own draws.
"""

from dataclasses import dataclass, replace

import numpy as np
import pandas as pd

from wearcast.decisions.costing.areas import area_rates, daily_hours
from wearcast.decisions.quoting.mixes import batches, dealt, possible_mixes
from wearcast.decisions.quoting.plan_ranges import within_ranges
from wearcast.decisions.quoting.prices import grown
from wearcast.decisions.quoting.spent import CONTRACT_DAYS
from wearcast.decisions.quoting.strangers import draw_strangers
from wearcast.decisions.quoting.used_machines import with_used_parts
from wearcast.history.story import History, read_history
from wearcast.logbook.book import Logbook
from wearcast.logbook.choices import Choices
from wearcast.outlook.hours import hours_ahead
from wearcast.outlook.records import Draws, HoursDraws
from wearcast.outlook.walk import walk_slots
from wearcast.wear.draws import of_draws
from wearcast.wear.records import Wear, WearDraws


@dataclass(frozen=True, slots=True)
class Fleet:
    """The proposed fleet and everything that is drawn about it."""

    book: Logbook
    history: History
    wear: WearDraws
    hours: HoursDraws
    mixes: list[pd.DataFrame]
    choices: Choices
    days: int


def with_catalogue(
    proposal: Logbook,
    catalogue: pd.DataFrame | None,
    since: pd.Timestamp | None = None,
    growth: float = 0.0,
) -> Logbook:
    """The proposal, with what it does not say of its parts taken from another catalogue.

    A part that the other catalogue lists too is the same part: it wears as that says unless the
    proposal names another class, and takes its price and usual hours where none are given. The
    price is of the day `since` and grows by `growth` a year to the start. Notes on parts without a
    line are dropped for those that the other catalogue knows.
    """
    if catalogue is None:
        return proposal
    catalogue = catalogue.assign(price=grown(catalogue["price"], since, proposal, growth))
    parts = proposal.parts
    listed = catalogue[catalogue["catalogued"]].drop_duplicates("part")
    found = set(parts.loc[~parts["catalogued"], "part"]) & set(listed["part"])
    taken = listed[listed["part"].isin(found)]
    filled = pd.concat(
        [frame for frame in (parts[~parts["part"].isin(found)], taken) if len(frame)]
    )
    filled = _as_listed(filled.sort_values("part", ignore_index=True), listed)
    told = tuple(
        problem
        for problem in proposal.told
        if not (problem.severity == "note" and problem.column == "part" and problem.value in found)
    )
    kept = filled.reindex(columns=parts.columns).reset_index(drop=True)
    return replace(proposal, parts=kept, told=told)


def with_whole_catalogue(
    proposal: Logbook, catalogue: pd.DataFrame | None, since: pd.Timestamp | None, growth: float
) -> Logbook:
    """The proposal, with the other catalogue's parts that it does not name, at grown prices."""
    if catalogue is None:
        return proposal
    own = proposal.parts
    others = catalogue[catalogue["catalogued"] & ~catalogue["part"].isin(own["part"])]
    others = others.drop_duplicates("part")
    others = others.assign(price=grown(others["price"], since, proposal, growth))
    others = others.assign(**{name: "" for name in own.columns.difference(others.columns)
                              if own[name].dtype == "O"})  # fmt: skip
    others = others.reindex(columns=own.columns)
    return replace(proposal, parts=pd.concat([own, others], ignore_index=True))


def _as_listed(parts: pd.DataFrame, listed: pd.DataFrame) -> pd.DataFrame:
    """The parts, each as the other catalogue lists it where they do not say so themselves."""
    other = listed.set_index("part").reindex(parts["part"]).reset_index()
    filled = parts.assign(
        **{
            name: parts[name].astype(float).fillna(other[name].astype(float))
            for name in ("price", "usual_hours", "minutes", "turn_minutes")
        }
    )
    # A blank class is the part's own name, and a blank kind was read off the part's words.
    unsaid = parts["wears_as"].eq(parts["part"]) & other["wears_as"].notna()
    other_kind = unsaid & parts["kind"].ne(other["kind"])
    return filled.assign(
        wears_as=parts["wears_as"].mask(unsaid, other["wears_as"]),
        kind=parts["kind"].mask(unsaid, other["kind"]),
        edges=parts["edges"].mask(other_kind, other["edges"]),
    )


def draw_fleet(book: Logbook, wear: Wear, choices: Choices, years: int) -> Fleet:
    """Wear, pace, hours and floor mixes of a proposed fleet, drawn for so many contract years."""
    history = with_used_parts(read_history(book), book)
    days = CONTRACT_DAYS * years
    return Fleet(
        book=book,
        history=history,
        wear=draw_strangers(wear, history.running, history.floors, book.parts, choices),
        hours=within_ranges(
            hours_ahead(history, book.plans, choices, days), book.plans, history, choices
        ),
        mixes=possible_mixes(book, history, choices.seed),
        choices=choices,
        days=days,
    )


def walk_fleet(fleet: Fleet) -> list[tuple[np.ndarray, Draws]]:
    """The walk under each floor mix, with the draws that took it: array (draws of the mix,)."""
    walked = []
    for number, draws in batches(mix_of_draw(fleet)):
        drawn, hours = of_draws(fleet.wear, draws), fleet.hours.hours[:, draws]
        history = replace(fleet.history, mixes=fleet.mixes[number])
        # Each batch rolls its own dice, or the batches would repeat each other's chance.
        seed = fleet.choices.seed + 7919 * number
        ahead = replace(fleet.hours, hours=hours)
        walked.append(
            (draws, walk_slots(drawn, ahead, history, seed, fleet.days, fleet.book.parts))
        )
    return walked


def mix_of_draw(fleet: Fleet) -> np.ndarray:
    """Number of the floor mix that each draw takes; array (draws,)."""
    return dealt(len(fleet.mixes), fleet.choices.draws)


def work_by_year(
    walked: list[tuple[np.ndarray, Draws]], fleet: Fleet, years: int
) -> tuple[np.ndarray, np.ndarray]:
    """Mean run hours and area cleaned in each contract year; arrays (years,)."""
    hours = np.zeros((years, len(fleet.hours.machines)))
    for draws, one in walked:
        daily = daily_hours(one.weekly_hours, fleet.days)
        share = len(draws) / fleet.choices.draws
        hours += share * np.add.reduceat(daily, np.arange(years) * CONTRACT_DAYS, axis=1).T
    machines = fleet.history.machines.reindex(fleet.hours.machines)
    rate = area_rates(machines, fleet.choices)
    area = np.where(hours > 0, hours * rate, 0.0)
    return hours.sum(axis=1), area.sum(axis=1)
