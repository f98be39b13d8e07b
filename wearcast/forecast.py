"""The story on one screen: from a logbook to everything that the reports show.

    book = read_logbook("logbook.xlsx")
    everything = forecast(book, quarter="2027Q1")
    everything.order, everything.due, everything.cost      # plain pandas frames

A step hands the next a plain table or a small frozen record; all figures are read off one set of
draws, so they agree with each other.
"""

from dataclasses import dataclass, replace
from typing import Any, Unpack

import numpy as np
import pandas as pd

from wearcast.decisions.costing.edge_losses import edge_losses
from wearcast.decisions.costing.floor_costs import with_cost
from wearcast.decisions.findings import tell_decisions
from wearcast.decisions.money import year_cost
from wearcast.decisions.one_site import site_cost
from wearcast.decisions.orders import order_lines
from wearcast.decisions.quotes import QuoteResult, quote_fleet
from wearcast.decisions.quoting.findings import spelled_as_learnt, tell_proposal
from wearcast.decisions.quoting.saved_rates import catalogue_of, date_of, inherited, saved_rates
from wearcast.errors import UnknownChoice, UnusableTable
from wearcast.history.story import History, read_history
from wearcast.logbook.book import Logbook
from wearcast.logbook.choices import Asked, Choices, choose
from wearcast.outlook.due import due_dates
from wearcast.outlook.hours import hours_ahead
from wearcast.outlook.records import Draws
from wearcast.outlook.use import use_by_period
from wearcast.outlook.walk import walk_ahead
from wearcast.told import Problem, with_sources
from wearcast.wear.fit import fit_wear
from wearcast.wear.rates import wear_of_rates
from wearcast.wear.records import Wear

YEAR_DAYS = 364
_MARGIN_DAYS = 14
_SPELL_COLUMNS = (
    "machine", "position", "part", "edge", "start", "end", "hours", "cause", "ended",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Fitted:
    """A logbook and what was learnt from it."""

    book: Logbook
    choices: Choices
    history: History
    wear: Wear


@dataclass(frozen=True, slots=True)
class Forecast:
    """Everything that the reports show; one frame an output file, see each maker's docstring."""

    book: Logbook
    choices: Choices
    history: History
    wear: Wear
    draws: Draws
    order: pd.DataFrame
    forecast: pd.DataFrame
    quantiles: pd.DataFrame
    floors: pd.DataFrame
    machines: pd.DataFrame
    edges: pd.DataFrame
    due: pd.DataFrame
    cost: pd.DataFrame
    spells: pd.DataFrame
    told: tuple[Problem, ...]


def fit(book: Logbook, **asked: Unpack[Asked]) -> Fitted:
    """What the logbook teaches: its history, and how fast things wear.

    Parameters
    ----------
    book : Logbook
        From `read_logbook`.
    **asked
        Options as on the command line, see `wearcast.logbook.choices.Asked`.
    """
    choices = choose(book, **asked)
    history = read_history(book)
    return Fitted(book, choices, history, fit_wear(history, book.parts, choices))


def forecast(known: Logbook | Fitted, **asked: Unpack[Asked]) -> Forecast:
    """Everything the reports show, from one logbook and one set of draws.

    Parameters
    ----------
    known : Logbook or Fitted
        A Fitted keeps its choices unless some are asked for anew.
    **asked
        As for `fit`.
    """
    fitted = _fitted(known, asked)
    book, choices, history, wear = fitted.book, fitted.choices, fitted.history, fitted.wear
    days = days_ahead(book, choices)
    hours = hours_ahead(history, book.plans, choices, days)
    draws = walk_ahead(wear, hours, history, choices, days, book.parts)
    use, quantiles = use_by_period(draws, book, choices)
    return Forecast(
        book=book,
        choices=choices,
        history=history,
        wear=wear,
        draws=draws,
        order=order_lines(draws, history, book, choices),
        forecast=use,
        quantiles=quantiles,
        floors=with_cost(wear, draws, book.parts),
        machines=_machines(wear, history),
        edges=edge_losses(draws, wear, book, choices),
        due=due_dates(draws, history, choices),
        cost=year_cost(draws, history, book, choices),
        spells=_spells(history),
        told=with_sources(
            (
                *book.told,
                *history.told,
                *wear.told,
                *hours.told,
                *tell_decisions(draws, history, book, choices),
            ),
            book.tallies,
        ),
    )


def plan_order(outlook: Forecast) -> pd.DataFrame:
    """The order lines, overdue ones first; columns as in order.csv."""
    return outlook.order


def annual_cost(outlook: Forecast, site: str | None = None) -> pd.DataFrame:
    """The coming year's cost by fleet, site, machine, part, floor and month; as in cost.csv.

    With a site: its own cost, split the same ways, from the same draws.
    """
    if site is None:
        return outlook.cost
    return site_cost(outlook.draws, outlook.history, outlook.book, outlook.choices, site)


def quote(
    proposal: Logbook,
    known: Fitted | Forecast | dict[str, Any],
    years: int = 3,
    risk: float = 0.8,
    **asked: Unpack[Asked],
) -> QuoteResult:
    """The price of a fleet that nobody has measured, by contract year.

    Parameters
    ----------
    proposal : Logbook
        Read with ``proposal=True``: machines, floors, positions, plans; no readings. Its as-of is
        the first plan's start; without a plan that of the rates.
    known : Fitted, Forecast, or a document from `rates`
        Where the wear rates come from; its prices and settings fill what the proposal lacks.
    years : number of contract years
    risk : chance that the price at risk is enough
    **asked
        As for `fit`.

    Raises
    ------
    UnusableTable
        If the proposal carries nothing that wears.
    """
    if isinstance(known, Fitted | Forecast):
        wear, settings, learnt = known.wear, known.book.settings, known.book.as_of
        catalogue: pd.DataFrame | None = known.book.parts
    else:
        wear, catalogue = wear_of_rates(known), catalogue_of(known)
        settings, learnt = known.get("settings", {}), date_of(known)
    if proposal.positions.empty:
        raise UnusableTable(
            "the proposal has no positions, so nothing would wear; add a table positions with "
            "machine, position and part"
        )
    proposal = replace(
        proposal,
        settings={**inherited(settings), **proposal.settings},
        as_of=_start_of(proposal, learnt),
    )
    proposal = spelled_as_learnt(proposal, wear)
    result = quote_fleet(proposal, wear, choose(proposal, **asked), years, risk, catalogue)
    found = tell_proposal(result.proposal, wear, catalogue)
    return replace(result, told=with_sources((*found, *result.told), proposal.tallies))


def _start_of(proposal: Logbook, learnt: pd.Timestamp) -> pd.Timestamp:
    """The proposal's as-of, else that of the rates."""
    start = learnt if pd.isna(proposal.as_of) else proposal.as_of
    if pd.isna(start):
        raise UnknownChoice(
            "neither the proposal nor the rates give a date: write a row with a start in plans, or "
            "give --as-of."
        )
    return start


def rates(known: Fitted | Forecast) -> dict[str, Any]:
    """What was learnt, as plain lists and numbers that can be saved as JSON for a later `quote`."""
    return saved_rates(known.book, known.wear)


def days_ahead(book: Logbook, choices: Choices) -> int:
    """How far to walk: a year, and to the order window's end plus the longest delivery."""
    lead = book.parts["lead_days"].fillna(choices.lead_days)
    longest = (lead + 4 * book.parts["lead_days_sd"].fillna(0.0)).max()
    window = (choices.order_to - choices.as_of).days
    delivery = choices.lead_days if np.isnan(longest) else float(longest)
    return max(YEAR_DAYS, int(np.ceil(window + delivery)) + _MARGIN_DAYS)


def _fitted(known: Logbook | Fitted, asked: Asked) -> Fitted:
    if isinstance(known, Logbook):
        return fit(known, **asked)
    return replace(known, choices=choose(known.book, **asked)) if asked else known


def _machines(wear: Wear, history: History) -> pd.DataFrame:
    """One row a machine and wear class: its pace, and how much it runs."""
    runs = history.machines[["site", "hours_per_week", "silent_days"]]
    table = wear.machine_table.join(runs, on="machine")
    first = ["machine", "site", "wears_as", "pace", "low", "high", "look", "hours_per_week",
             "silent_days"]  # fmt: skip
    return table[[*first, *table.columns.difference(first, sort=False)]]


def _spells(history: History) -> pd.DataFrame:
    """One row an edge at work, with its hours on each floor."""
    floors = history.since_read.add_prefix("hours on ")
    return history.spells[list(_SPELL_COLUMNS)].join(floors)
