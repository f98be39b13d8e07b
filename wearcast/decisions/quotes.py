"""The price of a fleet that nobody has measured, by contract year, and what makes it unsure.

A proposal is a logbook without readings: machines, floors, positions, plans. Wear rates come from
another logbook or a saved rates file; a machine's pace is drawn from the fleet's spread. A
contract year has 365 days and starts the day after as-of.
"""

from dataclasses import dataclass, replace

import numpy as np
import pandas as pd

from wearcast.decisions.cheapest import COLUMNS, with_cheapest
from wearcast.decisions.parts import cheapest_parts
from wearcast.decisions.quoting.learnt import Learnt
from wearcast.decisions.quoting.missing import tell_missing, what_is_missing
from wearcast.decisions.quoting.plan_ranges import scaled
from wearcast.decisions.quoting.prices import by_volume, pieces_a_year, unit_table, with_breaks
from wearcast.decisions.quoting.proposals import (
    Fleet,
    draw_fleet,
    mix_of_draw,
    walk_fleet,
    with_catalogue,
    with_whole_catalogue,
    work_by_year,
)
from wearcast.decisions.quoting.sensitivity import what_moves
from wearcast.decisions.quoting.spent import by_year, moves, spent_in
from wearcast.decisions.quoting.spread import spread_sources
from wearcast.decisions.quoting.used_machines import carries
from wearcast.logbook.book import Logbook
from wearcast.logbook.choices import Choices
from wearcast.told import Problem


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class QuoteResult:
    """A priced proposal."""

    frame: pd.DataFrame
    """One row a contract year: year, mean, p10, p50, p80, p90, at_risk (at the chance asked for),
    per_hour (of all machines' run hours), per_1000m2 (blank where an area rate is unknown), and
    what of the mean is for parts and for labour (0 unless the proposal names a labour rate)."""
    total: pd.DataFrame
    """The same for the whole contract, one row; year: ``1 to n``."""
    spread: pd.DataFrame
    """source (wear rates, machine pace, hours, floor mix, chance), share of the variance of the
    whole contract's cost; sums to 1, largest first."""
    sensitivity: pd.DataFrame
    """The whole contract's price with one thing otherwise: see `what_moves`."""
    moves: pd.DataFrame
    """What the money goes to, largest first: by (``site``, ``machine``, ``kind``, ``part``,
    ``floor``, ``cell``: a wear class on a floor), where, mean (money a year), share."""
    units: pd.DataFrame
    """What a piece of each part is taken to cost, and how many a year takes: see `unit_table`."""
    missing: pd.DataFrame
    """What the price lacks or guesses: see `what_is_missing`. Empty: nothing."""
    hours: pd.DataFrame
    """Run hours a week as priced, a row a machine: machine, site, hours_per_week, p10, p90, carries
    (what its parts are at the start)."""
    parts: pd.DataFrame
    """Cost of 100 hours of each part that could sit there: see `cheapest_parts`."""
    learnt: pd.DataFrame
    """What the rates were learnt from, a row a log: from, to, edges, hours, machines, sites,
    operators; of several logs how each one's lives lie against the others."""
    contract: np.ndarray
    """array (draws,) cost of the whole contract [currency]"""
    swaps: pd.DataFrame
    """Parts that were put in place of the proposal's: see `with_cheapest`; empty if none was asked
    for."""
    factor: float
    """What if: planned hours were multiplied by this."""
    proposal: Logbook
    choices: Choices
    years: int
    risk: float
    told: tuple[Problem, ...]

    @property
    def start(self) -> pd.Timestamp:
        """First day of the contract."""
        return self.choices.as_of + pd.Timedelta(days=1)

    def __repr__(self) -> str:
        """The whole price, and at which risk."""
        price, risky = self.total[["mean", "at_risk"]].iloc[0]
        gaps = f" {len(self.missing)} not known (missing)," if len(self.missing) else ""
        return (
            f"<QuoteResult over {self.years} years: {price:,.0f} expected, {risky:,.0f} enough in"
            f" {100 * self.risk:g} of 100 cases,{gaps} {len(self.told)} findings>"
        )


def quote_fleet(
    proposal: Logbook,
    learnt: Learnt,
    choices: Choices,
    years: int,
    risk: float,
    factor: float = 1.0,
    *,
    cheapest: bool = False,
) -> QuoteResult:
    """The proposal's price by contract year.

    Parameters
    ----------
    proposal : Logbook
    learnt : Learnt
        The wear, from a fit or from rates files; its catalogue fills what the proposal's lacks.
    choices : Choices
        Draws, seed, price_growth, currency and the rest.
    years : number of contract years
    risk : chance that the price at risk is enough
    factor : what if all planned hours were so many times as many
    cheapest : take the part that costs least at each position, see `with_cheapest`
    """
    proposal = replace(proposal, plans=scaled(proposal.plans, factor))
    wear = learnt.wear
    since, growth = learnt.as_of, choices.price_growth
    priced = with_catalogue(proposal, learnt.parts, since, growth)
    whole = with_whole_catalogue(priced, learnt.parts, since, growth)
    table = cheapest_parts(whole, wear, choices, whole=True)
    swaps = pd.DataFrame(columns=COLUMNS)
    if cheapest:
        priced, swaps = with_cheapest(whole, table)
    priced = with_breaks(priced, proposal, learnt.price_breaks, since, growth)
    fleet = draw_fleet(priced, wear, choices, years)
    walked = walk_fleet(fleet)
    volume = pieces_a_year(walked, choices.draws, fleet.days)
    book, steps = by_volume(fleet.book, volume)
    fleet = replace(fleet, book=book)
    spent = [(draws, spent_in(one, book, choices, years)) for draws, one in walked]
    parts, labour = by_year(spent, choices.draws)
    money = parts + labour
    told = (*book.told, *fleet.history.told, *steps, *_tell_factor(factor))
    mixed = mix_of_draw(fleet)
    hours, area = work_by_year(walked, fleet, years)
    missing = what_is_missing(fleet, spent, wear, told)
    moved = moves(spent, choices.draws * years)
    return QuoteResult(
        frame=_figures(money, hours, area, risk, [str(year + 1) for year in range(years)]).assign(
            parts=parts.mean(axis=1), labour=labour.mean(axis=1)
        ),
        total=_figures(
            money.sum(axis=0, keepdims=True),
            hours.sum(keepdims=True),
            area.sum(keepdims=True),
            risk,
            [f"1 to {years}"],
        ).assign(parts=parts.mean(axis=1).sum(), labour=labour.mean(axis=1).sum()),
        spread=spread_sources(fleet, mixed, money.sum(axis=0)),
        sensitivity=what_moves(fleet, mixed, parts.sum(axis=0), labour.sum(axis=0), risk),
        moves=moved,
        units=unit_table(book, volume, moved),
        missing=pd.concat([missing, learnt.unread], ignore_index=True),
        hours=priced_hours(fleet),
        parts=_on_its_floors(table, book),
        contract=money.sum(axis=0),
        swaps=swaps,
        learnt=learnt.sources,
        factor=factor,
        proposal=book,
        choices=choices,
        years=years,
        risk=risk,
        told=(*told, *wear.told, *tell_missing(missing)),
    )


def _on_its_floors(choice: pd.DataFrame, proposal: Logbook) -> pd.DataFrame:
    """The choice of part on the floors that the proposal names; on all if it names none."""
    floors = proposal.floors.loc[proposal.floors["share"] > 0, "floor"]
    return choice[choice["floor"].isin(floors)].reset_index(drop=True) if len(floors) else choice


def _figures(
    money: np.ndarray, hours: np.ndarray, area: np.ndarray, risk: float, names: list[str]
) -> pd.DataFrame:
    mean = money.mean(axis=1)
    quantiles = np.quantile(money, [0.1, 0.5, 0.8, 0.9, risk], axis=1)
    p10, p50, p80, p90, at_risk = quantiles
    frame = pd.DataFrame(
        {"year": names, "mean": mean, "p10": p10, "p50": p50, "p80": p80, "p90": p90,
         "at_risk": at_risk}
    )  # fmt: skip
    frame["per_hour"] = mean / np.where(hours > 0, hours, np.nan)
    frame["per_1000m2"] = 1000 * mean / np.where(area > 0, area, np.nan)
    return frame


def _tell_factor(factor: float) -> tuple[Problem, ...]:
    if factor == 1:
        return ()
    words = f"what if: all planned hours are multiplied by {factor:g}"
    return (Problem("plans", "plans", (), "hours_per_week", "", "note", words, "", weight=9.0),)


def priced_hours(fleet: Fleet) -> pd.DataFrame:
    """Run hours a week of each machine as priced, and what parts it carries at the start.

    Columns: machine, site, hours_per_week, p10, p90 [h], carries. Means of a draw over the whole
    contract; over the draws their mean and the range of 8 in 10.
    """
    weekly = fleet.hours.hours.mean(axis=2, dtype=float)
    p10, p90 = np.quantile(weekly, [0.1, 0.9], axis=1)
    names = list(fleet.hours.machines)
    sites = fleet.history.machines["site"].reindex(names).fillna("").astype(str).to_numpy()
    return pd.DataFrame(
        {"machine": names, "site": sites, "hours_per_week": weekly.mean(axis=1), "p10": p10,
         "p90": p90, "carries": carries(fleet.history).reindex(names).to_numpy()}
    )  # fmt: skip
