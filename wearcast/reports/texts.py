"""Sentences that the reports carry: cautions, method, assumptions, likely causes."""

from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from wearcast import __version__
from wearcast.decisions.costing.unit_costs import unpriced
from wearcast.told import recount
from wearcast.wear.causes import CODES

if TYPE_CHECKING:
    from wearcast.forecast import Forecast

_WIDTH = 2.563
"""Of the middle 8 in 10 of a normal law, in its standard deviations."""
_FEW = 4
CAUTIONS = (
    "The forecast plans purchasing; it does not replace looking at the part.",
    "A worn or torn blade leaves a wet floor: a slip hazard, whatever the forecast says.",
    "Before anyone touches a blade, brush or pad: park the machine level, take the key out, handle "
    "deck and squeegee as its manual says, disconnect the battery where the manual says so, and "
    "wear gloves and eye protection.",
    "Follow the machine's manual, the site's rules and local codes, and leave electrical work to "
    "qualified people.",
)

METHOD = (
    "Every line of the log that ends an edge's time at work, and every edge still at work, is a "
    "spell: so many run hours on each floor. Wear adds up with the hours, at a rate that depends "
    "on the floor, the machine, the site and the quarter of the year, as far as the log shows; "
    "the shape of the wear-out is fitted for each wear class. Edges are torn, too, and taken off "
    "as planned: these ends have laws of their own, the planned ones by site and by run hours.",
    "Each machine has its own pace, drawn towards the fleet's as long as its own log is short. "
    "Typical lives of common practice speak only where the log says little; the column basis tells "
    "which: measured, blended or typical. It says bounds where so many ends were planned that the "
    "log cannot tell how long an edge would last: low and high are what it can mean.",
    "The coming hours follow each machine's recent weeks, the season once a year of history is "
    "there, and the plans in the logbook.",
    "All dates, pieces and money are read off the same simulated futures, so they agree with each "
    "other. A range is the middle 80 or 90 of 100 futures, as its heading says.",
)

QUOTE_METHOD = (
    "The wear rates come from the logbook or the rates file that was given; nobody has measured "
    "the proposed machines, so each draws its pace from the spread of the fleet that was.",
    "All figures are read off the same simulated futures of the contract. The price at risk is "
    "enough in the chosen share of them.",
)

GLOSSARY = (
    ("Edge", "one usable side of a blade or pad; a squeegee blade has up to four."),
    ("Turn", "the part stays, its next edge goes to work."),
    ("Worn, damaged, planned", "why an edge ended: it no longer did its work; it was torn; it was "
     "taken off in good time."),
    ("Pace", "how fast a machine wears edges against the fleet: 1.20 is 20 % faster."),
    ("8 in 10 futures", "what the log leaves open is drawn many times over; the range leaves out "
     "the lowest tenth and the highest."),
    ("Measured, typical, blended", "what a life rests on: your log, what is usual in the trade, or "
     "both."),
    ("Service level", "the chance that nothing runs short until the next order arrives."),
    ("Like", "machines with the same parts; the same parts at other sites; the other floors."),
)  # fmt: skip

SPREAD_WORDS = {
    "wear rates": "how surely the measured log tells the wear on each floor; more of it helps.",
    "this site against those measured": "sites and those who run them differ, and nobody knows yet "
    "how this one does; the log of one operator cannot tell how operators differ, so a usual "
    "difference is allowed for.",
    "machine pace": "some machines wear parts faster than others, and nobody knows yet which these "
    "are; a log of their own tells.",
    "hours": "weeks run longer or shorter than planned.",
    "floor mix": "the shares of the floors are not known for sure; measuring them helps.",
    "chance": "no edge lasts as long as the last one; this stays, and weighs less in a big fleet.",
}

LIKELY_CAUSES = {
    "wears fast": (
        "down pressure set too high",
        "squeegee not level or wrongly angled",
        "rough joints, drains or door sills on its route",
        "brush turns missed",
        "an hour meter that counts less than the work done",
    ),
    "wears slow": (
        "down pressure set too low, or work done with the deck up",
        "parts left on past their time: look whether it streaks",
        "changes not written down",
        "an hour meter that counts key-on time, standing still included",
    ),
}

HANDS_TITLE = "Torn and worn edges by who changed them, and by shift"
HANDS_WORDS = (
    "Who changes an edge is not always who wore or tore it, and a name on few ends says nothing. "
    "Records about people fall under the law and the rules of the workplace: ask before using them."
)


def likely_causes(look: str) -> str:
    """What to look at on a machine whose wear stands out, in common practice; blank for others."""
    causes = LIKELY_CAUSES.get(look, ())
    return "; ".join(causes)


def without_price(forecast: "Forecast") -> str:
    """Which parts the money leaves out, as a sentence; blank if none."""
    bare = unpriced(forecast.draws.slots, forecast.book)
    return f"Not in these figures, as no price is known: {', '.join(bare)}." if bare else ""


def assumptions(forecast: "Forecast") -> list[tuple[str, str, str]]:
    """What the figures rest on: what, its value, what it means."""
    choices, book = forecast.choices, forecast.book
    level = f"{100 * choices.service_level:g} %"
    return [
        ("As of", f"{choices.as_of:%Y-%m-%d}", "The day the forecast stands on; later rows are "
         "left out."),
        ("Ordered for", f"{choices.order_from:%Y-%m-%d} to {choices.order_to:%Y-%m-%d}",
         "The order lasts until the next one has come: to the end of this period, and a delivery "
         "time more. With orders by date each line's period begins on the day it goes out."),
        ("Orders go out", choices.ordering, "at once: all lines today, or on their supplier's "
         "order day; by date: each line on its order-by date. Who waits to the last day takes the "
         "chance of a shortage anew each time; say so with the setting ordering, and the "
         "quantities allow for it."),
        ("Service level", level, f"In {level} of the futures the pieces are enough until the next "
         "order arrives; a line that is late may be empty before. Figures and order.csv give each "
         "line's chance of no shortage (service_cycle) and its share of pieces (service_pieces)."),
        ("Data range", _data_range(forecast), "First and last day in readings and changes."),
        ("Logbook", sources_words(book.sources), _rows_words(forecast)),
        ("Spells", _spell_words(forecast), "Edges at work that the fit rests on."),
        ("Fit", f"{choices.fit}, pace {choices.pace}", "blended: with typical lives of common "
         "practice; data only: maximum likelihood. pace machine: each machine has its own."),
        ("Delivery", f"{choices.lead_days:g} days", "For parts that give no lead_days."),
        ("Open orders", "on their due day", "Those past due are expected half a delivery time "
         "after as-of; one that is past due at a shelf counted later is not counted in until it is "
         "marked as received. Where one comes too late, pieces are moved or ordered to last until "
         "then."),
        ("Depots", "each by itself", "Packs and smallest orders hold for each depot's line, price "
         "steps for all pieces of a part in one order; what one depot can spare, or lend until its "
         "own order comes, goes to another first."),
        ("Gathered", f"{choices.gather_days:g} days", "Ordering by date, lines of one supplier "
         "whose order-by dates lie this close go out together on the earliest."),
        ("Price growth", f"{100 * choices.price_growth:g} % a year", "Money of later months grows "
         "by this."),
        ("Currency", choices.currency or "none given", "As in the settings."),
        ("Futures", f"{choices.draws} draws, seed {choices.seed}", "Same logbook, options, seed "
         "and version: same figures. So many draws tell the chance behind a 95 % figure to "
         f"{_points(0.95, choices.draws)} points, that behind an end of 8 in 10 to "
         f"{_points(0.9, choices.draws)} (one standard error), and a mean to about 1/"
         f"{_WIDTH * np.sqrt(choices.draws):.0f} of the width of its 8 in 10."),
        ("A year", "364 days", "52 weeks; money a year is scaled by 365/364."),
        ("Version", __version__, "Of wearcast."),
    ]  # fmt: skip


def _points(chance: float, draws: int) -> str:
    """Standard error of a chance counted from so many draws, in points of 100."""
    return f"{100 * np.sqrt(chance * (1 - chance) / draws):.1f}"


def sources_words(sources: tuple[str, ...]) -> str:
    """The files read; beyond a few, how many more."""
    more = f" and {len(sources) - _FEW} more" if len(sources) > _FEW else ""
    return ", ".join(sources[:_FEW]) + more


def _data_range(forecast: "Forecast") -> str:
    days = pd.concat([forecast.book.readings["date"], forecast.book.changes["date"]]).dropna()
    return f"{days.min():%Y-%m-%d} to {days.max():%Y-%m-%d}" if len(days) else "none"


def _rows_words(forecast: "Forecast") -> str:
    later = set(forecast.told) - set(forecast.book.told)
    tallies = recount(forecast.book.tallies, later)
    used, aside = sum(each.used for each in tallies), sum(each.set_aside for each in tallies)
    return f"{used:,} rows used, {aside:,} set aside (see Problems)."


def _spell_words(forecast: "Forecast") -> str:
    spells = forecast.history.spells
    fitted = spells.loc[spells["in_fit"].astype(bool), "cause"]
    counts = fitted.value_counts()
    order = (*(each for each in CODES if each != "running"), "running")
    told = [f"{int(counts[each])} {each}" for each in order if counts.get(each, 0)]
    return f"{len(fitted)}: {', '.join(told)}" if told else "none"
