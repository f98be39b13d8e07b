"""The price of a fleet that nobody has measured, from the rates that another one taught.

proposal = read_logbook("proposal", proposal=True)
quote(proposal, fit(read_logbook("logbook.xlsx"))).total
"""

from collections.abc import Sequence
from dataclasses import replace
from typing import Any, Unpack

import pandas as pd

from wearcast.decisions.quotes import QuoteResult, quote_fleet
from wearcast.decisions.quoting.currencies import in_currency
from wearcast.decisions.quoting.learnt import Learnt, learnt_of_documents, learnt_of_log
from wearcast.decisions.quoting.proposal_findings import spelled_as_learnt, tell_proposal
from wearcast.decisions.quoting.saved_rates import saved_rates
from wearcast.errors import UnknownChoice, UnusableTable
from wearcast.forecast import Fit, Forecast
from wearcast.logbook.book import Logbook
from wearcast.logbook.choices import Asked, choose
from wearcast.told import with_sources

_LIMITS = {"years": (1, 10), "risk": (0.5, 0.99), "hours": (0.1, 5)}
Known = Fit | Forecast | dict[str, Any] | Sequence[dict[str, Any]]


def quote(
    proposal: Logbook,
    known: Known,
    years: int = 3,
    risk: float = 0.8,
    hours: float = 1.0,
    *,
    cheapest: bool = False,
    **asked: Unpack[Asked],
) -> QuoteResult:
    """The price of a fleet that nobody has measured, by contract year.

    Parameters
    ----------
    proposal : Logbook
        Read with ``proposal=True``: machines, floors, positions, plans; no readings. The contract
        starts on its as-of: with the first plan; without a plan on the day after the rates' date.
    known : Fit, Forecast, or one or several documents from `rates`
        Where the wear rates come from; its prices and settings fill what the proposal lacks.
        Several operators' documents are pooled, with how far these differ.
    years : number of contract years, 1 to 10
    risk : chance that the price at risk is enough, 0.5 to 0.99
    hours : what if all planned hours were so many times as many
    cheapest : with the part of one use that costs least at each position
    **asked
        As for `fit`.

    Raises
    ------
    UnknownChoice
        If an option is unknown, or years, risk or hours lie where nothing can be priced.
    UnusableTable
        If the proposal carries nothing that wears.
    """
    for name, value in {"years": years, "risk": risk, "hours": hours}.items():
        low, high = _LIMITS[name]
        if not low <= value <= high:
            raise UnknownChoice(f'"{value}": {name} must be a number from {low:g} to {high:g}.')
    learnt = _in_its_currency(learn(known), proposal)
    if proposal.positions.empty:
        raise UnusableTable(
            "the proposal has no positions, so nothing would wear; add a table positions with "
            "machine, position and part"
        )
    proposal = replace(
        proposal,
        settings={**learnt.settings, **proposal.settings},
        as_of=_start_of(proposal, learnt.as_of),
    )
    proposal = spelled_as_learnt(proposal, learnt.wear)
    result = quote_fleet(proposal, learnt, choose(proposal, **asked), years, risk, hours,
                         cheapest=cheapest)  # fmt: skip
    found = tell_proposal(result.proposal, learnt.wear, learnt.parts)
    told = with_sources((*found, *result.told), proposal.tallies)
    return replace(result, told=tuple(dict.fromkeys((*told, *learnt.told))))


def _in_its_currency(learnt: Learnt, proposal: Logbook) -> Learnt:
    """What was learnt, without prices in another currency than the proposal's.

    Raises
    ------
    UnusableTable
        If no price is left.
    """
    currencies = (each.settings.get("currency", "") for each in (learnt, proposal))
    priced, told = in_currency((learnt.parts, learnt.price_breaks), *currencies)
    if told and proposal.parts["price"].isna().all():
        raise UnusableTable(f"{told[0].wrong}. {told[0].remedy}.")
    return replace(learnt, parts=priced[0], price_breaks=priced[1], told=(*told, *learnt.told))


def learn(known: Known) -> Learnt:
    """What a quote is priced by, from a fit or from saved documents."""
    if isinstance(known, Fit | Forecast):
        return learnt_of_log(known.book, known.wear, (*known.book.told, *known.history.told))
    if not known:
        raise UnknownChoice("There are no rates to quote by; give a fit or documents of rates.")
    return learnt_of_documents([known] if isinstance(known, dict) else list(known))


def _start_of(proposal: Logbook, learnt: pd.Timestamp) -> pd.Timestamp:
    """The day before the contract: before the proposal's as-of, else the rates' own."""
    start = learnt if pd.isna(proposal.as_of) else proposal.as_of - pd.Timedelta(days=1)
    if pd.isna(start):
        raise UnknownChoice(
            "neither the proposal nor the rates give a date: write a row with a start in plans, or "
            "give --as-of."
        )
    return start


def rates(known: Fit | Forecast, *, with_prices: bool = False) -> dict[str, Any]:
    """What was learnt, as plain lists and numbers that can be saved as JSON for a later `quote`.

    It names no machine and no site, and holds the catalogue's prices only if asked to.
    """
    told = (*known.book.told, *known.history.told)
    return saved_rates(known.book, known.wear, told, with_prices=with_prices)
