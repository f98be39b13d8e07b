"""The machines whose wear speed surely changed, and the chart of it."""

from typing import TYPE_CHECKING

import pandas as pd
from matplotlib.axes import Axes
from matplotlib.dates import DateFormatter, MonthLocator
from matplotlib.figure import Figure

from wearcast.reports.listing import of_site
from wearcast.reports.page.drawing import BLUE, ORANGE, PALE, Margins, draw, short
from wearcast.wear.diagnostics.speed_changes import speed_changes

if TYPE_CHECKING:
    from wearcast.forecast import Forecast

MOST = 6
_ABREAST = 2
_TOP = 2.5
"""Wear speeds above are off the chart: ranges of few ends reach far."""


def sure_changes(forecast: "Forecast") -> pd.DataFrame:
    """The rows of `speed_changes` that are sure, of the site asked for, the surest first."""
    found = speed_changes(forecast.history, forecast.wear, seed=forecast.choices.seed, every=False)
    sites = found["machine"].map(forecast.history.machines["site"])
    sure = of_site(found.assign(site=sites)[found["sure"]], forecast.choices)
    return sure.sort_values(["chance", "machine"], kind="stable", ignore_index=True)


def sure_sites(forecast: "Forecast") -> pd.DataFrame:
    """The same of sites."""
    seed = forecast.choices.seed
    found = speed_changes(forecast.history, forecast.wear, seed=seed, every=False, of="site")
    sure = of_site(found[found["sure"]], forecast.choices)
    return sure.sort_values(["chance", "site"], kind="stable", ignore_index=True)


def speed_chart(changes: pd.DataFrame, speeds: pd.DataFrame) -> str:
    """Wear speed by quarter of each machine that changed; blank where none did.

    Parameters
    ----------
    changes : DataFrame
        machine, since: a panel each.
    speeds : DataFrame
        As of `wearcast.wear.diagnostics.speed_over_time.speed_over_time`.
    """
    shown = changes.head(MOST)
    if shown.empty:
        return ""
    rows = -(-len(shown) // _ABREAST)

    def paint(figure: Figure) -> None:
        figure.subplots_adjust(hspace=0.55, wspace=0.15)
        panels = figure.subplots(rows, _ABREAST, squeeze=False, sharey=True).ravel()
        for axes, (name, since) in zip(panels, shown[["machine", "since"]].values, strict=False):
            _panel(axes, speeds[speeds["machine"].eq(name)], since)
            axes.set_title(short(str(name), 30), fontsize=9, loc="left")
        for axes in panels[len(shown) :]:
            axes.set_visible(False)

    told = f"Wear speed by quarter: {', '.join(shown['machine'].astype(str))}"
    return draw("speed", 0.7 + 1.75 * rows, told, paint, Margins(left=0.55, top=0.3))


def _panel(axes: Axes, speeds: pd.DataFrame, since: pd.Timestamp) -> None:
    """One machine: a dot and its range a quarter, a line at its mean and at the day."""
    middle = speeds["start"] + pd.Timedelta(days=45)
    axes.axhline(1, color=PALE, linewidth=1.2)
    axes.axvline(since, color=ORANGE, linewidth=1.4, linestyle="--")  # type: ignore[arg-type]
    axes.vlines(middle, speeds["low"], speeds["high"], color=BLUE, linewidth=2, alpha=0.6)
    axes.plot(
        middle, speeds["speed"].clip(upper=_TOP), "o", color=BLUE, markersize=5, clip_on=False
    )
    axes.set_ylim(0, _TOP)
    axes.xaxis.set_major_locator(MonthLocator((1, 7)))  # type: ignore[no-untyped-call]
    axes.xaxis.set_major_formatter(DateFormatter("%b %y"))  # type: ignore[no-untyped-call]
    axes.tick_params(axis="x", labelsize=8.5)
    axes.grid(axis="y")
