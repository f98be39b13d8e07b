"""The page's drawings on a matplotlib axes: for a notebook, a paper, a slide.

plot_wear(fit(book))
plot_cost(forecast(book), "floor", ax=axes)
"""

from collections.abc import Callable

import matplotlib as mpl
import numpy as np
import pandas as pd
from matplotlib import pyplot as plt
from matplotlib.axes import Axes

from wearcast.errors import UnknownChoice
from wearcast.forecast import Fit, Forecast
from wearcast.logbook.schema.spelling import did_you_mean, listed
from wearcast.reports.order.timeline import ShelfLine, Timeline, timeline_of
from wearcast.reports.page.charts import dearest, paint_cost, paint_shelf
from wearcast.reports.page.drawing import STYLE
from wearcast.reports.page.wear_charts import paint_floors

_LEVELS = ("site", "machine", "part", "floor")


def plot_wear(fitted: Fit | Forecast, wears_as: str | None = None, ax: Axes | None = None) -> Axes:
    """Hours that an edge lasts by wear class and floor, with 90 % ranges, by basis.

    Parameters
    ----------
    fitted : Fit or Forecast
    wears_as : str, optional
        One wear class only.
    ax : Axes, optional
        Where to draw; a new figure without.

    Raises
    ------
    UnknownChoice
        If the fit has no such wear class.
    """
    table = fitted.wear.floor_table
    shown = table[np.isfinite(table["hours_per_edge"])]
    if wears_as is not None:
        shown = shown[shown["wears_as"].eq(wears_as)]
        if shown.empty:
            raise _unknown("wear class", wears_as, table["wears_as"])
    return _drawn(lambda axes: paint_floors(axes, shown), ax, 1.0 + 0.27 * len(shown))


def plot_stock(
    outlook: Forecast, part: str | None = None, depot: str | None = None, ax: Axes | None = None
) -> Axes:
    """What is left on a shelf at coming dates if nothing more is ordered: likely, and 90 % range.

    Parameters
    ----------
    outlook : Forecast
    part, depot : str, optional
        Which shelf; without, the one to order for soonest.
    ax : Axes, optional

    Raises
    ------
    UnknownChoice
        If the order has no such shelf.
    """
    timeline = timeline_of(outlook)
    line = _line(timeline, part, depot)
    return _drawn(lambda axes: paint_shelf(axes, line, timeline), ax, 3.0)


def plot_cost(outlook: Forecast, by: str = "site", ax: Axes | None = None) -> Axes:
    """The coming year's cost by site, machine, part or floor, dearest first, with P10 to P90.

    Raises
    ------
    UnknownChoice
        If the cost is not split so.
    """
    if by not in _LEVELS:
        raise _unknown("split of the cost", by, pd.Series(_LEVELS))
    shown = dearest(outlook.cost, by)
    currency = outlook.choices.currency
    return _drawn(lambda axes: paint_cost(axes, shown, currency), ax, 1.0 + 0.27 * len(shown))


def _drawn(paint: Callable[[Axes], None], axes: Axes | None, height: float) -> Axes:
    """The drawing in the page's look, on the axes given or on a new figure's."""
    with mpl.rc_context(STYLE):
        if axes is None:
            axes = plt.subplots(figsize=(8.2, height), layout="constrained")[1]
        paint(axes)
    return axes


def _line(timeline: Timeline, part: str | None, depot: str | None) -> ShelfLine:
    """The shelf meant: the first to order for of those that answer to the names given."""
    lines = [
        line for line in timeline.lines if part in (None, line.part) and depot in (None, line.depot)
    ]
    if not lines:
        shelves = [f"{line.part}, {line.depot}" for line in timeline.lines]
        asked = ", ".join(name for name in (part, depot) if name is not None)
        raise _unknown("shelf of the order", asked, pd.Series(shelves, dtype=object))
    return min(lines, key=lambda line: (pd.isna(line.order_by), line.order_by))


def _unknown(what: str, name: str, known: pd.Series) -> UnknownChoice:
    names = sorted(set(known.astype(str)))
    cure = f"There are {listed(names)}." if names else "There is none."
    return UnknownChoice(f'"{name}": no such {what}. {did_you_mean(name, names, cure)}')
