"""The price of a fleet that nobody has measured, from the rates that another one taught.

proposal = read_logbook("proposal", proposal=True)
quote(proposal, fit(read_logbook("logbook.xlsx"))).total
"""

from dataclasses import replace
from typing import Any, Unpack

import pandas as pd

from wearcast.decisions.quotes import QuoteResult, quote_fleet
from wearcast.decisions.quoting.findings import spelled_as_learnt, tell_proposal
from wearcast.decisions.quoting.missing import UNREAD, rows_set_aside
from wearcast.decisions.quoting.saved_rates import catalogue_of, date_of, inherited, saved_rates
from wearcast.errors import UnknownChoice, UnusableTable
from wearcast.forecast import Fit, Forecast
from wearcast.logbook.book import Logbook
from wearcast.logbook.choices import Asked, choose
from wearcast.told import with_sources
from wearcast.wear.rates import wear_of_rates


def quote(
    proposal: Logbook,
    known: Fit | Forecast | dict[str, Any],
    years: int = 3,
    risk: float = 0.8,
    **asked: Unpack[Asked],
) -> QuoteResult:
    """The price of a fleet that nobody has measured, by contract year.

    Parameters
    ----------
    proposal : Logbook
        Read with ``proposal=True``: machines, floors, positions, plans; no readings. The contract
        starts with the first plan; without a plan on the day after the rates' date.
    known : Fit, Forecast, or a document from `rates`
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
    if isinstance(known, Fit | Forecast):
        wear, settings, learnt = known.wear, known.book.settings, known.book.as_of
        read = with_sources((*known.book.told, *known.history.told), known.book.tallies)
        catalogue: pd.DataFrame | None = known.book.parts
    else:
        wear, catalogue = wear_of_rates(known), catalogue_of(known)
        settings, learnt, read = known.get("settings", {}), date_of(known), ()
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
    told = with_sources((*found, *result.told), proposal.tallies)
    unread = rows_set_aside(read, UNREAD)
    return replace(
        result,
        missing=pd.concat([result.missing, unread], ignore_index=True),
        told=tuple(dict.fromkeys((*told, *read))),
    )


def _start_of(proposal: Logbook, learnt: pd.Timestamp) -> pd.Timestamp:
    """The proposal's as-of, else that of the rates."""
    start = learnt if pd.isna(proposal.as_of) else proposal.as_of
    if pd.isna(start):
        raise UnknownChoice(
            "neither the proposal nor the rates give a date: write a row with a start in plans, or "
            "give --as-of."
        )
    return start


def rates(known: Fit | Forecast) -> dict[str, Any]:
    """What was learnt, as plain lists and numbers that can be saved as JSON for a later `quote`."""
    return saved_rates(known.book, known.wear)
