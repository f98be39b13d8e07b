"""The story on one screen: from a logbook to everything that the reports show.

    book = read_logbook("logbook.xlsx")
    everything = forecast(book, quarter="2027Q1")
    everything.order, everything.due, everything.cost      # plain pandas frames

A step hands the next a plain table or a small frozen record; all figures are read off one set of
draws, so they agree with each other.
"""

from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Unpack, cast

import numpy as np
import pandas as pd

from wearcast.decisions.costing.edge_losses import edge_losses
from wearcast.decisions.costing.floor_costs import with_cost
from wearcast.decisions.decision_findings import tell_decisions
from wearcast.decisions.money import year_cost
from wearcast.decisions.one_site import site_cost
from wearcast.decisions.orders import order_lines, plan_orders
from wearcast.decisions.parts import cheapest_parts
from wearcast.history.exposure import instead
from wearcast.history.quarters import YEAR_DAYS
from wearcast.history.story import History, read_history
from wearcast.history.unheard import unheard
from wearcast.logbook.book import Logbook
from wearcast.logbook.choices import Asked, Choices, choose
from wearcast.memory import give_back
from wearcast.outlook.due import due_dates
from wearcast.outlook.hours import learn_hours_ahead
from wearcast.outlook.records import Draws
from wearcast.outlook.use import use_by_period
from wearcast.outlook.walk import walk_ahead
from wearcast.told import Problem, under_headings, with_sources
from wearcast.wear.fit import fit_wear
from wearcast.wear.records import Wear

if TYPE_CHECKING:
    from statsmodels.iolib.summary import Summary

_MARGIN_DAYS = 14
_LATEST_ORDER_DAY = 35
_GIVE = "give a logbook (from wearcast.read_logbook){}, not a {}"
_SPELL_COLUMNS = (
    "machine", "position", "part", "edge", "start", "end", "hours", "cause", "ended",
)  # fmt: skip


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Fit:
    """A logbook and what was learnt from it."""

    book: Logbook
    choices: Choices
    history: History
    wear: Wear
    asked: Asked = field(default_factory=Asked)
    """The options that the choices were made of."""

    def summary(self) -> "Summary":
        """Hours that an edge lasts by wear class and floor, with ranges and basis, as text."""
        from wearcast.fit_summary import summary_text  # statsmodels takes long to import

        return summary_text(self.book, self.choices, self.wear)

    def summary_frame(self) -> pd.DataFrame:
        """The same as a frame, see `wearcast.fit_summary.summary_frame`."""
        from wearcast.fit_summary import summary_frame

        return summary_frame(self.wear)

    def __repr__(self) -> str:
        """What was fitted to what."""
        return (
            f"<Fit of {len(self.history.spells)} spells of {len(self.history.machines)} machines,"
            f" {len(self.wear.classes)} wear classes on {len(self.wear.floors)} floors, as of"
            f" {self.book.as_of:%Y-%m-%d}, {self.choices.fit}>"
        )


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Forecast:
    """Everything that the reports show; one frame an output file, see each maker's docstring."""

    book: Logbook
    choices: Choices
    history: History
    wear: Wear
    draws: Draws
    order: pd.DataFrame
    orders: pd.DataFrame
    order_service: pd.DataFrame
    forecast: pd.DataFrame
    quantiles: pd.DataFrame
    floors: pd.DataFrame
    machines: pd.DataFrame
    edges: pd.DataFrame
    due: pd.DataFrame
    cost: pd.DataFrame
    told: tuple[Problem, ...]
    part_choice: pd.DataFrame
    """Cost of 100 hours of each part that could sit at a position: see `cheapest_parts`."""
    asked: Asked = field(default_factory=Asked)
    """The options that the choices were made of."""

    @property
    def spells(self) -> pd.DataFrame:
        """One row an edge at work, with its hours on each floor; made when it is asked for."""
        floors = instead(self.history.exposure, self.history.since_read).add_prefix("hours on ")
        return self.history.spells[list(_SPELL_COLUMNS)].join(floors)

    def __repr__(self) -> str:
        """From when, for which window, and how much there is to do."""
        choices = self.choices
        return (
            f"<Forecast as of {choices.as_of:%Y-%m-%d}, order from {choices.order_from:%Y-%m-%d} to"
            f" {choices.order_to:%Y-%m-%d}: {len(self.order)} order lines, {len(self.due)}"
            f" positions, {len(self.told)} findings, {choices.draws} draws>"
        )


def fit(book: Logbook, **asked: Unpack[Asked]) -> Fit:
    """What the logbook teaches: its history, and how fast things wear.

    Parameters
    ----------
    book : Logbook
        From `read_logbook` or `Logbook.from_frames`.
    **asked
        Options as on the command line: seed, draws, service_level, quarter, site ...; see
        `wearcast.logbook.choices.Asked`.

    Raises
    ------
    UnknownChoice
        If an option is unknown or its value means nothing.
    NothingToFit
        If the logbook holds no history from which anything could be said.
    """
    if not isinstance(book, Logbook):
        raise TypeError(_GIVE.format("", type(book).__name__))
    choices = choose(book, **asked)
    give_back()
    history = read_history(book)
    give_back()
    wear = fit_wear(history, book.parts, choices)
    give_back()
    return Fit(
        book, choices, _fitted_of(unheard(history, wear.silent, wear.unwritten)), wear, asked
    )


def _fitted_of(history: History) -> History:
    """The same without what only fitting asks: of a large fleet half a gigabyte."""
    none = {name: getattr(history, name).iloc[:0].copy() for name in ("end_mix", "spell_quarters")}
    return replace(history, **none)


def forecast(known: Logbook | Fit | Forecast, **asked: Unpack[Asked]) -> Forecast:
    """Everything the reports show, from one logbook and one set of draws.

    Parameters
    ----------
    known : Logbook, Fit or Forecast
        A Fit or Forecast keeps its options but for those that are asked for anew.
    **asked
        As for `fit`.
    """
    fitted = _fitted(known, asked)
    book, choices, history, wear = fitted.book, fitted.choices, fitted.history, fitted.wear
    days = days_ahead(book, choices)
    hours = learn_hours_ahead(history, book.plans, choices, days)
    draws = walk_ahead(wear, hours, history, choices, days, book.parts)
    give_back()
    use, quantiles = use_by_period(draws, book, choices)
    plan = plan_orders(draws, history, book, choices)
    return Forecast(
        book=book,
        choices=choices,
        history=history,
        wear=wear,
        draws=draws,
        order=plan.lines,
        orders=plan.orders,
        order_service=plan.service,
        forecast=use,
        quantiles=quantiles,
        floors=with_cost(wear, draws, book.parts),
        machines=_machines(wear, history),
        edges=edge_losses(draws, wear, book, choices),
        due=due_dates(draws, history, choices),
        part_choice=cheapest_parts(book, wear, choices),
        cost=year_cost(draws, history, book, choices),
        told=under_headings(
            with_sources(
                (
                    *book.told,
                    *history.told,
                    *wear.told,
                    *hours.told,
                    *tell_decisions(draws, history, book, choices),
                ),
                book.tallies,
            ),
            book.headings,
        ),
        asked=fitted.asked,
    )


def order(known: Logbook | Fit | Forecast, **asked: Unpack[Asked]) -> pd.DataFrame:
    """The order lines, overdue ones first.

    Parameters
    ----------
    known : Logbook, Fit or Forecast
        Of a Forecast the same futures are ordered for, at another service level or for another
        window if that is asked.
    **asked
        As for `fit`.

    Returns
    -------
    DataFrame
        One row a depot and part with something to order or to watch; columns as in order.csv.
    """
    if not isinstance(known, Forecast):
        return forecast(known, **asked).order
    if not asked:
        return known.order
    fitted = _fitted(known, asked)
    if not _is_drawn(fitted, known):
        return forecast(fitted).order
    return order_lines(known.draws, known.history, known.book, fitted.choices)


def _is_drawn(fitted: Fit, known: Forecast) -> bool:
    """Whether the futures drawn for a forecast are those that the fit would be given."""
    now, then = fitted.choices, known.choices
    asked = [(one.seed, one.draws, one.hours_factor) for one in (now, then)]
    same = asked[0] == asked[1] and fitted.wear is known.wear
    return same and days_ahead(known.book, now) <= known.draws.days


def annual_cost(known: Logbook | Fit | Forecast, site: str | None = None) -> pd.DataFrame:
    """The coming year's cost by fleet, site, machine, part, floor and month; as in cost.csv.

    With a site: its own cost, split the same ways, from the same draws.

    Raises
    ------
    UnknownChoice
        If the logbook has no such site.
    """
    outlook = known if isinstance(known, Forecast) else forecast(known)
    named = choose(outlook.book, site=site).site
    if named is None:
        return outlook.cost
    return site_cost(outlook.draws, outlook.history, outlook.book, outlook.choices, named)


def days_ahead(book: Logbook, choices: Choices) -> int:
    """How far to walk: a year, and until the next order has been delivered at the latest."""
    lead = book.parts["lead_days"].fillna(choices.lead_days)
    longest = (lead + 4 * book.parts["lead_days_sd"].fillna(0.0)).max()
    window = (choices.order_to - choices.as_of).days
    if not choices.window_asked:
        # The order goes out up to a month later, on its supplier's day, or by its own date.
        window += _LATEST_ORDER_DAY if choices.ordering == "at once" else window
    delivery = choices.lead_days if np.isnan(longest) else float(longest)
    return max(YEAR_DAYS, int(np.ceil(window + delivery)) + _MARGIN_DAYS)


def _fitted(known: Logbook | Fit | Forecast, asked: Asked) -> Fit:
    """The fit with the options asked for now; what it rests on is fitted anew if need be."""
    if isinstance(known, Logbook):
        return fit(known, **asked)
    if isinstance(known, Forecast):
        known = Fit(known.book, known.choices, known.history, known.wear, known.asked)
    if not isinstance(known, Fit):
        raise TypeError(_GIVE.format(", a fit or a forecast", type(known).__name__))
    if not asked:
        return known
    merged = _merged(known.asked, asked)
    choices = choose(known.book, **merged)
    if (choices.fit, choices.pace) != (known.choices.fit, known.choices.pace):
        return fit(known.book, **merged)
    return replace(known, choices=choices, asked=merged)


def _merged(before: Asked, now: Asked) -> Asked:
    """The options of both; a window asked for now takes the place of the one before as a whole."""
    windows = ("quarter", "order_from", "weeks")
    given = {name: value for name, value in now.items() if value is not None}
    kept = {
        name: value
        for name, value in before.items()
        if name not in windows or not given.keys() & set(windows)
    }
    return cast(Asked, {**kept, **given})


def _machines(wear: Wear, history: History) -> pd.DataFrame:
    """One row a machine and wear class: its pace, and how much it runs."""
    runs = history.machines[["site", "hours_per_week", "silent_days"]]
    table = wear.machine_table.join(runs, on="machine")
    first = ["machine", "site", "wears_as", "pace", "low", "high", "look", "hours_per_week",
             "silent_days"]  # fmt: skip
    return table[[*first, *table.columns.difference(first, sort=False)]]
