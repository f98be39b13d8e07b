"""What an offer says: price, scope, what is in it and what is not, and what it rests on."""

from typing import TYPE_CHECKING, NamedTuple

import numpy as np
import pandas as pd

from wearcast.decisions.quoting.missing import NOT_MEASURED
from wearcast.decisions.quoting.offer import OfferPrice, offer_price
from wearcast.logbook.schema.spelling import listed
from wearcast.reports.frames import shown_number
from wearcast.reports.incomplete import incomplete_words

if TYPE_CHECKING:
    from wearcast.decisions.quotes import QuoteResult

MOST_NAMED, MOST_PARTS, MOST_SITES = 12, 20, 18
"""Machines of a site, parts, and sites that two pages hold."""


class Offer(NamedTuple):
    """An offer in words, ready to be set."""

    title: str
    draft: tuple[str, ...]
    """Why it cannot be sent as it stands; empty: it can."""
    head: tuple[tuple[str, str], ...]
    """Who, for whom, from when to when."""
    prices: tuple[tuple[str, str], ...]
    scope: pd.DataFrame
    """site, machines, hours_per_week, floors."""
    parts: str
    included: tuple[str, ...]
    excluded: tuple[str, ...]
    assumed: tuple[str, ...]
    source: str


def offer_of(result: "QuoteResult") -> Offer:
    """The offer of a priced proposal; no cost of ours and no price of a part is in it."""
    choices = result.choices
    end = result.start + pd.DateOffset(days=365 * result.years - 1)
    years = f"{result.years} {'year' if result.years == 1 else 'years'}"
    head = (
        ("For", choices.client or "to be filled in (setting client)"),
        ("From", choices.offered_by or "to be filled in (setting offered_by)"),
        ("Start", f"{result.start:%Y-%m-%d}"),
        ("Term", f"{years}, to {end:%Y-%m-%d}"),
        ("Valid until", choices.valid_until or "to be filled in (setting valid_until)"),
    )
    return Offer(
        "Offer: wear parts for cleaning machines",
        tuple(incomplete_words(result.missing)),
        head,
        price_rows(
            offer_price(result.total, result.years, result.choices.margin), choices.currency
        ),
        scope_of(result),
        parts_words(result),
        _included(result),
        _excluded(result),
        _assumed(result),
        _source(result),
    )


def price_rows(price: OfferPrice, currency: str) -> tuple[tuple[str, str], ...]:
    """Each price with what it is for; what cannot be said is left out."""
    rows = (
        ("a month", price.month, 2),
        ("a year", price.year, 2),
        ("the whole term", price.whole, 2),
        ("an hour of machine work", price.hour, 3),
        ("1,000 m2 cleaned", price.area, 3),
    )
    return tuple(
        (what, f"{shown_number(value, digits)} {currency}".strip())
        for what, value, digits in rows
        if np.isfinite(value)
    )


def scope_of(result: "QuoteResult") -> pd.DataFrame:
    """Machines, planned hours and floors by site; DataFrame: site, machines, hours, floors."""
    hours, floors = result.hours, result.proposal.floors
    rows = []
    for site, here in hours.groupby("site", sort=True):
        own = floors[floors["machine"].isin(here["machine"])]
        weights = own["machine"].map(here.set_index("machine")["hours_per_week"]) * own["share"]
        shares = weights.groupby(own["floor"]).sum()
        mix = (shares / shares.sum()).sort_values(ascending=False, kind="stable")
        words = ", ".join(f"{name} {100 * share:.0f} %" for name, share in mix.items())
        names = listed([*here["machine"]], MOST_NAMED)
        rows.append(
            (
                site or "main",
                f"{len(here)}: {names}",
                here["hours_per_week"].sum(),
                words,
                len(here),
            )
        )
    rows.sort(key=lambda row: (-row[2], row[0]))
    if len(rows) > MOST_SITES:
        left = rows[MOST_SITES - 1 :]
        words = f"{sum(row[4] for row in left)} at {len(left)} more sites"
        rows = [*rows[: MOST_SITES - 1], ("others", words, sum(row[2] for row in left), "", 0)]
    columns = ["site", "machines", "hours_per_week", "floors", "count"]
    return pd.DataFrame(rows, columns=columns).drop(columns="count")


def parts_words(result: "QuoteResult") -> str:
    """Which parts are supplied."""
    placed, parts = result.proposal.positions, result.proposal.parts.set_index("part")["name"]
    names = [str(parts.get(part) or part) for part in sorted(set(placed["part"]))]
    more = f"; and {len(names) - MOST_PARTS} more" if len(names) > MOST_PARTS else ""
    return f"Supplied as they wear out or are damaged: {'; '.join(names[:MOST_PARTS])}{more}."


def _included(result: "QuoteResult") -> tuple[str, ...]:
    growth = result.choices.price_growth
    adjusted = (
        f"Prices of parts are taken to change by {100 * growth:g} % a year; that is in the price."
        if growth
        else "No growth of the prices of parts is in the price."
    )
    return (
        "The price is the same in every month of the term.",
        f"It is reckoned to cover the parts that wear needs in {100 * result.risk:g} of 100 cases;"
        " we carry the others.",
        adjusted,
        "It may be adjusted at the end of a contract year if planned hours, floors or machines"
        " differ by more than a tenth from the scope, in proportion to what they change.",
        "The work of turning and changing parts is in the price."
        if result.choices.labour_rate
        else "The work of turning and changing parts is not in the price.",
    )


def _excluded(result: "QuoteResult") -> tuple[str, ...]:
    used = result.hours["carries"].ne("new").any()
    first = (
        "The machines' first parts: they come as they are."
        if used
        else "The machines' first parts: they come with new ones."
    )
    return (
        first,
        "Detergent, batteries, repairs, and parts that the scope does not name.",
        "Damage by misuse or accidents, and wear on floors other than those of the scope.",
        "Freight, taxes and disposal, unless said otherwise in writing.",
    )


def _assumed(result: "QuoteResult") -> tuple[str, ...]:
    guessed = result.missing["what"].eq(NOT_MEASURED).any()
    return (
        "Machines run the hours of the scope and are kept as their manuals say.",
        "Edges are turned and parts changed as at the sites that were measured.",
        "A contract year has 365 days.",
        *(("Wear on some of the floors was not measured and is taken from what is usual.",)
          if guessed else ()),
        "A worn or torn blade leaves a wet floor, a slip hazard: parts are to be looked at"
        " whatever the forecast says, and work on a machine follows its manual, the site's rules"
        " and local codes.",
    )  # fmt: skip


def _source(result: "QuoteResult") -> str:
    """What the wear was learnt from, without names."""
    learnt = result.learnt
    if learnt.empty:
        return "Wear is taken from what is usual."
    edges, machines, sites = (int(learnt[name].sum()) for name in ("edges", "machines", "sites"))
    return (
        f"Wear was measured on {edges:,} edges of {machines:,} machines at {sites:,} sites, up to"
        f" {max(learnt['to'].map(str))}; {result.choices.draws} futures were drawn from it, seed"
        f" {result.choices.seed}."
    )
