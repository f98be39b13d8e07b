"""The price of a fleet that nobody has measured, by contract year, and what makes it unsure.

A proposal is a logbook without readings: machines, floors, positions, plans. Wear rates come from
another logbook or a saved rates file; a machine's pace is drawn from the fleet's spread. A
contract year has 365 days and starts the day after as-of.
"""

from dataclasses import dataclass

import numpy as np
import pandas as pd

from wearcast.decisions.costing.unit_costs import unpriced
from wearcast.decisions.parts import cheapest_parts
from wearcast.decisions.quoting.proposals import (
    Fleet,
    draw_fleet,
    mix_of_draw,
    money_by_year,
    use_costs,
    walk_fleet,
    with_catalogue,
    work_by_year,
)
from wearcast.decisions.quoting.spread import spread_sources
from wearcast.logbook.book import Logbook
from wearcast.logbook.choices import Choices
from wearcast.outlook.records import Draws
from wearcast.told import Problem
from wearcast.wear.records import Wear

COLUMNS = (
    "year", "mean", "p10", "p50", "p80", "p90", "at_risk", "per_hour", "per_1000m2",
)  # fmt: skip


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class QuoteResult:
    """A priced proposal."""

    frame: pd.DataFrame
    """One row a contract year: year, mean, p10, p50, p80, p90, at_risk (at the chance asked for),
    per_hour (of all machines' run hours), per_1000m2 (blank where an area rate is unknown)."""
    total: pd.DataFrame
    """The same for the whole contract, one row; year: ``1 to n``."""
    spread: pd.DataFrame
    """source (wear rates, machine pace, hours, floor mix, chance), share of the variance of the
    whole contract's cost; sums to 1, largest first."""
    moves: pd.DataFrame
    """What the money goes to, largest first: by (``site``, ``machine``, ``kind``, ``part``,
    ``floor``), where, mean (money a year), share."""
    parts: pd.DataFrame
    """Cost of 100 hours of each part that could sit there: see `cheapest_parts`."""
    proposal: Logbook
    choices: Choices
    years: int
    risk: float
    told: tuple[Problem, ...]

    def __repr__(self) -> str:
        """The whole price, and at which risk."""
        price, risky = self.total[["mean", "at_risk"]].iloc[0]
        return (
            f"<QuoteResult over {self.years} years: {price:,.0f} expected, {risky:,.0f} enough in"
            f" {100 * self.risk:g} of 100 cases, {len(self.told)} findings>"
        )


def quote_fleet(
    proposal: Logbook,
    wear: Wear,
    choices: Choices,
    years: int,
    risk: float,
    catalogue: pd.DataFrame | None = None,
) -> QuoteResult:
    """The proposal's price by contract year.

    Parameters
    ----------
    proposal : Logbook
    wear : Wear
        From a fit or from a rates file.
    choices : Choices
        Draws, seed, price_growth, currency and the rest.
    years : number of contract years
    risk : chance that the price at risk is enough
    catalogue : DataFrame, optional
        Parts of the logbook that the rates were learnt from: fills what the proposal's lacks.
    """
    fleet = draw_fleet(with_catalogue(proposal, catalogue), wear, choices, years)
    walked = walk_fleet(fleet)
    book = fleet.book
    money = money_by_year(walked, book, choices, years)
    hours, area = work_by_year(walked, fleet, years)
    return QuoteResult(
        frame=_figures(money, hours, area, risk, [str(year + 1) for year in range(years)]),
        total=_figures(
            money.sum(axis=0, keepdims=True),
            hours.sum(keepdims=True),
            area.sum(keepdims=True),
            risk,
            [f"1 to {years}"],
        ),
        spread=spread_sources(fleet, mix_of_draw(fleet), money.sum(axis=0)),
        moves=_moves(walked, book, choices, years),
        parts=cheapest_parts(book, wear, choices),
        proposal=book,
        choices=choices,
        years=years,
        risk=risk,
        told=(*book.told, *fleet.history.told, *wear.told, *_tell(fleet, walked)),
    )


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
    return frame[list(COLUMNS)]


def _moves(
    walked: list[tuple[np.ndarray, Draws]], book: Logbook, choices: Choices, years: int
) -> pd.DataFrame:
    """What the money goes to: a year's mean by site, machine, kind, part and floor."""
    spent = [(one, use_costs(one, book, choices)) for _, one in walked]
    tables = [
        _mean_by(column, spent, choices.draws * years)
        for column in ("site", "machine", "kind", "part", "floor")
    ]
    return pd.concat(tables, ignore_index=True)


def _mean_by(column: str, spent: list[tuple[Draws, np.ndarray]], draw_years: int) -> pd.DataFrame:
    sums = []
    for one, amount in spent:
        if column == "floor":
            by_floor = amount @ one.wear_share[one.slot]
            sums.append(pd.Series(by_floor, index=pd.Index(one.floors)))
        else:
            label = one.slots[column].to_numpy()[one.slot]
            sums.append(pd.Series(amount).groupby(label).sum())
    mean = pd.concat(sums).groupby(level=0).sum() / draw_years
    mean = mean.sort_values(ascending=False, kind="stable")
    total = float(mean.sum())
    share = mean / total if total > 0 else mean
    return pd.DataFrame(
        {"by": column, "where": mean.index, "mean": mean.to_numpy(), "share": share.to_numpy()}
    )


def _tell(fleet: Fleet, walked: list[tuple[np.ndarray, Draws]]) -> list[Problem]:
    """What the price leaves out: parts without a price, machines without planned hours."""
    told = []
    bare = unpriced(walked[0][1].slots, fleet.book)
    if bare:
        told.append(
            Problem("parts", "parts", (), "price", "", "note",
                    f"no price is known for {', '.join(bare)}; the quote leaves these parts out",
                    "Write the price of one piece under price", weight=float(len(bare)))
        )  # fmt: skip
    idle = fleet.hours.hours.sum(axis=(1, 2)) <= 0
    names = [name for name, still in zip(fleet.hours.machines, idle, strict=True) if still]
    if names:
        told.append(
            Problem("plans", "plans", (), "hours_per_week", "", "note",
                    f"no hours are planned for {', '.join(names)}; the quote counts none",
                    "Add a row to plans with the hours a week", weight=float(len(names)))
        )  # fmt: skip
    return told
