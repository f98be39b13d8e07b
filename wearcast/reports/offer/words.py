"""What an offer says: price, scope, what is in it and what is not, and what it rests on."""

from collections.abc import Iterable
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

MOST_SITES, SCOPE_LINES = 10, 20
"""Sites, and the lines of print for all of them together, that the second page holds."""
_SITE, _MACHINES, _FLOORS = 17, 26, 26
"""Characters of a line in the columns of the scope."""
_NAME, _PART, _PARTS, _DRAFT, _PARTY = 24, 60, 450, 450, 160
"""Characters of a machine's or floor's name, of a part's, and of the texts that may be long."""
MONEY_DIGITS = 2
_NEEDED = ("currency", "client", "offered_by", "valid_until")


_BLANK, _CUT = "______________________", "…"


class Offer(NamedTuple):
    """An offer in words, ready to be set."""

    title: str
    draft: tuple[str, ...]
    """Why it cannot be sent as it stands; empty: it can."""
    head: tuple[tuple[str, str], ...]
    """Who, for whom, from when to when."""
    price: OfferPrice
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
        ("For", _party(choices.client)),
        ("From", _party(choices.offered_by)),
        ("Start", f"{result.start:%Y-%m-%d}"),
        ("Term", f"{years}, to {end:%Y-%m-%d}"),
        ("Valid until", choices.valid_until or _BLANK),
    )
    price = offer_price(result.total, result.years, choices.margin)
    return Offer(
        "Offer: wear parts for cleaning machines",
        draft_words(result),
        head,
        price,
        price_rows(price, choices.currency),
        scope_of(result),
        parts_words(result),
        _included(result),
        _excluded(result),
        _assumed(result),
        _source(result),
    )


def draft_words(result: "QuoteResult") -> tuple[str, ...]:
    """Why the offer is a draft: what nobody has filled in, and what the price lacks or guesses."""
    blank = [name for name in _NEEDED if not getattr(result.choices, name)]
    words = [f"Not filled in: {listed(blank)} (settings of the proposal)."] if blank else []
    told = _cut(" ".join(incomplete_words(result.missing)), _DRAFT)
    more = " All of it stands in the working paper." if told.endswith(_CUT) else ""
    return (*words, told + more) if told else tuple(words)


def _party(words: str) -> str:
    return _cut(words, _PARTY) or _BLANK


def _cut(words: str, room: int) -> str:
    """The text, whole if it has room, else with the sign that some is missing."""
    return words if len(words) <= room else words[: room - 1].rstrip() + _CUT


def named(names: Iterable[str], room: int, longest: int = _NAME, mark: str = ", ") -> str:
    """As many names as so many characters hold, at least one, and how many there are more."""
    short = [_cut(name, longest) for name in names]
    ends = np.cumsum([len(name) + len(mark) for name in short])
    held = int((ends <= room).sum())
    if held == len(short):
        return mark.join(short)
    held = max(int((ends <= room - _NAME // 2).sum()), 1)  # the count of the others needs room
    more = f" and {len(short) - held} more" if held < len(short) else ""
    return mark.join(short[:held]) + more


def price_rows(price: OfferPrice, currency: str) -> tuple[tuple[str, str], ...]:
    """Each price with what it is for; what cannot be said is left out."""
    return tuple(
        (what, f"{shown_number(value, digits)} {currency}".strip())
        for what, digits, value in price_figures(price)
    )


def price_figures(price: OfferPrice) -> list[tuple[str, int, float]]:
    """What each price is for, the digits after its point, and the price; none that is unknown."""
    rows = [
        ("a month", MONEY_DIGITS, price.month),
        ("a year", MONEY_DIGITS, price.year),
        ("the whole term", MONEY_DIGITS, price.whole),
        ("an hour of machine work", 3, price.hour),
        ("1,000 m2 cleaned", 3, price.area),
    ]
    return [row for row in rows if np.isfinite(row[2])]


def scope_of(result: "QuoteResult") -> pd.DataFrame:
    """Machines, planned hours and floors by site, the most hours first.

    Columns: site, machines, hours_per_week [h], floors. No more sites and words than two pages
    hold: small sites are summed up, names that find no room are counted.
    """
    rows = result.hours.assign(site=result.hours["site"].replace("", "main"))
    hours = rows.groupby("site")["hours_per_week"].sum().sort_values(ascending=False, kind="stable")
    kept = list(hours.index[: MOST_SITES if len(hours) <= MOST_SITES else MOST_SITES - 1])
    lines = max(SCOPE_LINES // min(len(hours), MOST_SITES), 1)
    found = []
    for site in kept:
        here = rows[rows["site"].eq(site)]
        machines = named(here["machine"].map(str), _MACHINES * lines - 5)
        floors = floor_words(here, result.proposal.floors, _FLOORS * lines)
        found.append((_cut(site, _SITE * lines), f"{len(here)}: {machines}", hours[site], floors))
    left = hours.drop(kept)
    if len(left):
        count = int(rows["site"].isin(left.index).sum())
        found.append((f"{len(left)} more sites", f"{count} in all", left.sum(), ""))
    return pd.DataFrame(found, columns=["site", "machines", "hours_per_week", "floors"])


def floor_words(here: pd.DataFrame, floors: pd.DataFrame, room: int) -> str:
    """The shares of the floors by the hours of these machines, largest first, as they find room."""
    own = floors[floors["machine"].isin(here["machine"])]
    weights = own["machine"].map(here.set_index("machine")["hours_per_week"]) * own["share"]
    shares = weights.groupby(own["floor"]).sum().sort_values(ascending=False, kind="stable")
    if not shares.sum() > 0:
        return ""
    percent = 100 * shares / shares.sum()
    words = [f"{_cut(str(name), _NAME - 7)} {share:.0f}\u00a0%" for name, share in percent.items()]
    fits = max(int((np.cumsum([len(each) + 2 for each in words]) <= room - 12).sum()), 1)
    rest = f", others {percent.iloc[fits:].sum():.0f}\u00a0%" if fits < len(words) else ""
    return ", ".join(words[:fits]) + rest


def parts_words(result: "QuoteResult") -> str:
    """Which parts are supplied."""
    placed, parts = result.proposal.positions, result.proposal.parts.set_index("part")["name"]
    names = sorted({str(parts.get(part) or part) for part in placed["part"]})
    return f"Supplied as they wear out or are damaged at work: {named(names, _PARTS, _PART, '; ')}."


def _included(result: "QuoteResult") -> tuple[str, ...]:
    choices = result.choices
    growth, labour = choices.price_growth, bool(choices.labour_rate)
    what = "Prices of parts and of work" if labour else "Prices of parts"
    adjusted = (
        f"{what} are taken to change by {100 * growth:g} % a year; that is in the price."
        if growth
        else f"{what} are taken to stay as they are at the start."
    )
    work = "The work of turning and changing parts is"
    return (
        "The price is the same in every month of the term.",
        f"It is reckoned to cover what wear and usual damage need over the term in"
        f" {100 * result.risk:g} of 100 cases; we carry the others.",
        adjusted,
        "It may be adjusted at the end of a contract year, in proportion, if planned hours, floors"
        f" or machines differ from the scope by more than {100 * choices.adjust_beyond:g} %.",
        f"{work} in the price." if labour else f"{work} not in the price.",
    )


def _excluded(result: "QuoteResult") -> tuple[str, ...]:
    used = result.hours["carries"].ne("new").any()
    return (
        f"The machines' first parts: they come {'as they are' if used else 'with new ones'}.",
        "Detergent, batteries, repairs, and parts that the scope does not name.",
        "Damage by misuse, and wear on floors other than those of the scope.",
        "Freight, taxes and disposal, unless said otherwise in writing.",
    )


def _assumed(result: "QuoteResult") -> tuple[str, ...]:
    guessed = result.missing["what"].eq(NOT_MEASURED).any()
    return (
        "Machines run the hours of the scope and are kept as their manuals say.",
        "Edges are turned, and parts changed and damaged, as at the sites that were measured.",
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
    who = f" of {len(learnt)} operators" if len(learnt) > 1 else ""
    last = max(learnt["to"].map(str))
    until = f", up to {last}" if last else ""
    return (
        f"Wear was measured on {edges:,} edges of {machines:,} machines at {sites:,} sites{who}"
        f"{until}; not on the machines of this scope, which may wear"
        f" theirs faster or slower. {result.choices.draws} futures were drawn from it, seed"
        f" {result.choices.seed}."
    )
