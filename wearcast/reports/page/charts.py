"""The page's charts of stock, money and trust, one figure a function; blank without figures."""

import numpy as np
import pandas as pd
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from wearcast.decisions.costing.likes import range_per_100h, ranked
from wearcast.logbook.schema.vocabulary import MONTH_NAMES
from wearcast.reports.order.timeline import WEEKLY_DAYS, ShelfLine, Timeline
from wearcast.reports.page.drawing import (
    BLUE,
    ORANGE,
    PALE,
    RED,
    SKY,
    THOUSANDS,
    Margins,
    beside,
    draw,
    rows_down,
    short,
)

MOST_SHELVES, MOST_ROWS = 6, 30
_ROW = 0.27  # inches


def stock_chart(timeline: Timeline) -> str:
    """Stock run-down of the shelves to order for soonest: likely, range, order-by date."""
    wanted = [line for line in timeline.lines if pd.notna(line.order_by)]
    wanted.sort(key=lambda line: (line.order_by, line.part, line.depot))
    lines = wanted[:MOST_SHELVES]
    if not lines:
        return ""
    rows = (len(lines) + 1) // 2

    def paint(figure: Figure) -> None:
        figure.subplots_adjust(hspace=0.42, wspace=0.2)
        panels = figure.subplots(rows, 2, squeeze=False, sharex=True).ravel()
        for axes, line in zip(panels, lines, strict=False):
            paint_shelf(axes, line, timeline)
        for axes in panels[len(lines) :]:
            axes.set_visible(False)

    told = "Stock run-down of the parts to order for soonest, if nothing more is ordered"
    return draw("stock", 0.4 + 1.7 * rows, told, paint, Margins(left=0.75, top=0.3))


def paint_shelf(axes: Axes, line: ShelfLine, timeline: Timeline) -> None:
    """One shelf: stock over time, nought as the floor, the order-by date."""
    half = timeline.days <= WEEKLY_DAYS
    days = timeline.days[half]
    axes.fill_between(days, line.low[half], line.high[half], color=SKY, alpha=0.35, linewidth=0)
    axes.plot(days, line.likely[half], color=BLUE, linewidth=1.8)
    axes.axhline(0, color=RED, linewidth=1)
    order_day = (line.order_by - timeline.dates[0]).days
    if 0 <= order_day <= days[-1]:
        axes.axvline(order_day, color=ORANGE, linewidth=2, linestyle="--")
    axes.set_title(f"{short(line.part)}, {short(line.depot, 14)}", fontsize=9.5, loc="left")
    months = pd.date_range(timeline.dates[0], periods=len(days) // 4, freq="MS")
    axes.set_xticks((months - timeline.dates[0]).days, [_month_word(day) for day in months])
    axes.set_ylabel("pieces", fontsize=8.5)
    axes.grid(axis="y")


def _month_word(day: pd.Timestamp) -> str:
    """A month, the same in every locale; the year stands under each January."""
    name = MONTH_NAMES[day.month - 1][:3]
    return f"{name}\n{day.year}" if day.month == 1 else name


def dearest(cost: pd.DataFrame, level: str) -> pd.DataFrame:
    """The rows of a level that a chart of cost shows, dearest first."""
    shown = cost[cost["level"].eq(level) & cost["kind"].eq("all")]
    return shown.sort_values(["mean", "where"], ascending=[False, True]).head(MOST_ROWS)


def hour_cost_chart(cost: pd.DataFrame, level: str, currency: str) -> str:
    """Cost in 100 run hours by one thing, with 8 in 10 futures, beside the fleet's."""
    order = ranked(cost, level)
    shown = order.head(MOST_ROWS)
    if shown.empty:
        return ""
    labels = [str(each) for each in shown["where"]]
    whole = cost[cost["level"].eq("fleet") & cost["kind"].eq("all")]["per_100h"]

    def paint(figure: Figure) -> None:
        axes = figure.subplots()
        rows_down(axes, labels)
        rows = np.arange(len(shown))
        axes.hlines(rows, *range_per_100h(shown), color=BLUE, linewidth=2.2)
        axes.plot(shown["per_100h"], rows, "o", color=BLUE, markersize=6)
        for usual in whole:
            axes.axvline(usual, color=ORANGE, linewidth=1.6, linestyle="--")
        axes.xaxis.set_major_formatter(THOUSANDS)
        axes.set_xlabel(f"cost{_in(currency)} in 100 hours; dashed: the fleet")
        axes.set_xlim(left=0)

    more = f", the {MOST_ROWS} dearest" if len(order) > MOST_ROWS else ""
    told = f"Cost in 100 run hours by {level}{more}"
    return draw(f"cost {level}", 0.75 + _ROW * len(shown), told, paint, beside(labels))


def paint_cost(axes: Axes, shown: pd.DataFrame, currency: str) -> None:
    """A bar a row: expected cost, with its P10 to P90."""
    rows_down(axes, [str(each) for each in shown["where"]])
    rows = np.arange(len(shown))
    axes.barh(rows, shown["mean"], color=SKY, height=0.62)
    axes.hlines(rows, shown["p10"], shown["p90"], color=BLUE, linewidth=2.2)
    axes.xaxis.set_major_formatter(THOUSANDS)
    axes.set_xlabel(f"cost of the coming year{_in(currency)}; dark line: 8 in 10 futures")
    axes.set_xlim(left=0)


def _in(currency: str) -> str:
    return f" in {currency}" if currency else ""


def trust_chart(backtest: pd.DataFrame) -> str:
    """What was used against what was forecast, with 90 % ranges."""
    shown = backtest[backtest["level"].isin(["fleet", "site"])].head(400)
    if shown.empty:
        return ""

    def paint(figure: Figure) -> None:
        axes = figure.subplots()
        inside = shown["actual"].between(shown["p05"], shown["p95"])
        for some, colour, label in (
            (shown[inside], BLUE, "inside its 90 % range"),
            (shown[~inside], RED, "outside"),
        ):
            axes.vlines(some["actual"], some["p05"], some["p95"], color=colour, alpha=0.3)
            axes.plot(some["actual"], some["mean"], "o" if colour == BLUE else "D",
                      color=colour, markersize=4, label=label)  # fmt: skip
        most = float(max(shown["actual"].max(), shown["p95"].max(), 1.0))
        axes.plot([0, most], [0, most], color=PALE, linewidth=1)
        for axis, scale in ((axes.xaxis, axes.set_xscale), (axes.yaxis, axes.set_yscale)):
            scale("symlog", linthresh=10)
            axis.set_major_formatter(THOUSANDS)
        axes.set_xlabel("pieces really used (logarithmic from 10 on)")
        axes.set_ylabel("pieces forecast, with 90 % range")
        axes.grid()
        axes.legend(loc="upper left", fontsize=8.5)

    told = "Forecasts from earlier dates against what happened"
    return draw("trust", 3.6, told, paint, Margins())
