"""The page's charts, one figure a function. Each is blank where there is nothing to show."""

import numpy as np
import pandas as pd
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import FuncFormatter

from wearcast.reports.order.timeline import WEEKLY_DAYS, ShelfLine, Timeline
from wearcast.reports.page.drawing import (
    BLUE,
    GREEN,
    ORANGE,
    PALE,
    RED,
    SKY,
    Margins,
    beside,
    draw,
    rows_down,
    short,
)

MOST_SHELVES, MOST_ROWS = 6, 30
_ROW = 0.27  # inches
_LONG = 36
_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
_THOUSANDS = FuncFormatter(lambda value, _: f"{value:,.0f}")
_BASIS = {"measured": (BLUE, "o"), "blended": (GREEN, "s"), "typical": (ORANGE, "D")}


def stock_chart(timeline: Timeline) -> str:
    """Stock run-down of the shelves to order for soonest: likely, range, order-by date."""
    wanted = [line for line in timeline.lines if pd.notna(line.order_by)]
    wanted.sort(key=lambda line: (line.order_by, line.part, line.depot))
    lines = wanted[:MOST_SHELVES]
    if not lines:
        return ""
    rows = (len(lines) + 1) // 2

    def paint(figure: Figure) -> None:
        figure.subplots_adjust(hspace=0.42, wspace=0.16)
        panels = figure.subplots(rows, 2, squeeze=False, sharex=True).ravel()
        for axes, line in zip(panels, lines, strict=False):
            _shelf(axes, line, timeline)
        for axes in panels[len(lines) :]:
            axes.set_visible(False)

    told = "Stock run-down of the parts to order for soonest, if nothing more is ordered"
    return draw("stock", 0.4 + 1.7 * rows, told, paint, Margins(left=0.5, top=0.3))


def _shelf(axes: Axes, line: ShelfLine, timeline: Timeline) -> None:
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
    axes.grid(axis="y")


def _month_word(day: pd.Timestamp) -> str:
    """A month, the same in every locale; the year stands under each January."""
    return f"{_MONTHS[day.month - 1]}\n{day.year}" if day.month == 1 else _MONTHS[day.month - 1]


def floor_chart(floors: pd.DataFrame) -> str:
    """Hours an edge by wear class and floor, with 90 % ranges, marked by basis."""
    shown = floors[np.isfinite(floors["hours_per_edge"])].head(2 * MOST_ROWS)
    if shown.empty:
        return ""
    labels = _pairs(shown, "wears_as", "floor")

    def paint(figure: Figure) -> None:
        axes = figure.subplots()
        rows_down(axes, labels, _LONG)
        axes.grid(axis="x", which="both")
        for basis, (colour, marker) in _BASIS.items():
            some = np.flatnonzero(shown["basis"].eq(basis).to_numpy())
            if len(some):
                _ranges(axes, shown.iloc[some], "hours_per_edge", some, colour, marker, basis)
        axes.set_xscale("log")
        axes.xaxis.set_major_formatter(_THOUSANDS)
        axes.xaxis.set_minor_formatter(_few_hours(shown))
        axes.set_xlabel("mean hours an edge lasts, with 90 % range (logarithmic)")
        _legend_above(axes)

    margins = beside(labels, _LONG, top=0.4)
    return draw("floors", 0.9 + _ROW * len(shown), "Hours an edge lasts by floor", paint, margins)


def _pairs(frame: pd.DataFrame, first: str, second: str) -> list[str]:
    """The names of two columns, side by side."""
    return [f"{one}, {other}" for one, other in zip(frame[first], frame[second], strict=True)]


def _legend_above(axes: Axes) -> None:
    axes.legend(loc="lower left", bbox_to_anchor=(0, 1.0), fontsize=8.5, ncols=3, borderaxespad=0.1)


def _few_hours(shown: pd.DataFrame) -> FuncFormatter:
    """Numbers at 2 and 5 too, where the whole scale spans less than three powers of ten."""
    wide = shown["high"].max() / max(float(shown["low"].min()), 1e-9) > 1000

    def words(value: float, _: int | None) -> str:
        first = f"{value:e}"[0]
        return "" if wide or first not in "25" else f"{value:,.0f}"

    return FuncFormatter(words)


def _ranges(
    axes: Axes,
    frame: pd.DataFrame,
    middle: str,
    rows: np.ndarray,
    colour: str,
    marker: str,
    label: str | None = None,
) -> None:
    """A mark and its range in each row."""
    axes.hlines(rows, frame["low"], frame["high"], color=colour, linewidth=2, alpha=0.6)
    axes.plot(frame[middle], rows, marker, color=colour, markersize=6, label=label)


def pace_chart(machines: pd.DataFrame) -> str:
    """Pace of the machines furthest from the fleet's, with 90 % ranges."""
    known = machines[np.isfinite(machines["pace"])]
    far = np.log(known["pace"].clip(lower=1e-6)).abs()
    rank = pd.DataFrame({"calm": known["look"].eq(""), "far": -far})
    shown = known.loc[rank.sort_values(["calm", "far"], kind="stable").index[:20]]
    shown = shown.sort_values(["pace", "machine", "wears_as"], ascending=[False, True, True])
    if shown.empty:
        return ""
    labels = _pairs(shown, "machine", "wears_as")

    def paint(figure: Figure) -> None:
        axes = figure.subplots()
        rows_down(axes, labels, _LONG)
        looks = shown["look"].ne("").to_numpy()
        for some, colour, marker, label in (
            (np.flatnonzero(looks), RED, "D", "worth a look"),
            (np.flatnonzero(~looks), BLUE, "o", "within the usual"),
        ):
            if len(some):
                _ranges(axes, shown.iloc[some], "pace", some, colour, marker, label)
        axes.axvline(1, color=PALE, linewidth=1.2)
        axes.set_xlabel("wear speed against the fleet (1 = the fleet), with 90 % range")
        _legend_above(axes)

    told = "Machines that wear fastest and slowest"
    return draw("pace", 0.9 + _ROW * len(shown), told, paint, beside(labels, _LONG, top=0.4))


def edge_chart(edges: pd.DataFrame) -> str:
    """Edges used of those a part had, by site and wear class."""
    shown = edges[edges["parts_spent"] > 0].head(MOST_ROWS)
    if shown.empty:
        return ""
    labels = _pairs(shown, "site", "wears_as")

    def paint(figure: Figure) -> None:
        axes = figure.subplots()
        rows_down(axes, labels, _LONG)
        rows = np.arange(len(shown))
        had = shown["edges_available"] / shown["parts_spent"]
        axes.barh(rows, had, color="none", edgecolor=PALE, height=0.62, label="edges it had")
        axes.barh(rows, shown["mean_edges_used"], color=BLUE, height=0.62, label="edges used")
        axes.set_xlabel("edges of a part, on average")
        _legend_above(axes)

    told = "Edges used before a part was spent"
    return draw("edges", 0.9 + _ROW * len(shown), told, paint, beside(labels, _LONG, top=0.4))


def cost_chart(cost: pd.DataFrame, level: str, currency: str) -> str:
    """The coming year's cost by one thing, with its P10 to P90."""
    shown = cost[cost["level"].eq(level) & cost["kind"].eq("all")]
    shown = shown.sort_values(["mean", "where"], ascending=[False, True]).head(MOST_ROWS)
    if shown.empty:
        return ""
    labels = [str(each) for each in shown["where"]]

    def paint(figure: Figure) -> None:
        axes = figure.subplots()
        rows_down(axes, labels)
        rows = np.arange(len(shown))
        axes.barh(rows, shown["mean"], color=SKY, height=0.62)
        axes.hlines(rows, shown["p10"], shown["p90"], color=BLUE, linewidth=2.2)
        axes.xaxis.set_major_formatter(_THOUSANDS)
        axes.set_xlabel(f"cost of the coming year {currency}".strip() + ", line: P10 to P90")
        axes.set_xlim(left=0)

    told = f"Cost of the coming year by {level}"
    return draw(f"cost {level}", 0.75 + _ROW * len(shown), told, paint, beside(labels))


def month_chart(cost: pd.DataFrame, currency: str) -> str:
    """The coming year's cost month by month, with its P10 to P90."""
    shown = cost[cost["level"].eq("month") & cost["kind"].eq("all")].sort_values("where")
    if shown.empty:
        return ""

    def paint(figure: Figure) -> None:
        axes = figure.subplots()
        places = np.arange(len(shown))
        axes.bar(places, shown["mean"], color=SKY, width=0.66)
        axes.vlines(places, shown["p10"], shown["p90"], color=BLUE, linewidth=2.2)
        axes.set_xticks(places, list(shown["where"].map(str)), rotation=45, ha="right")
        axes.yaxis.set_major_formatter(_THOUSANDS)
        axes.set_ylabel(f"cost {currency}".strip())
        axes.grid(axis="y")
        axes.set_ylim(bottom=0)

    margins = Margins(bottom=0.65)
    return draw("months", 2.4, "Cost by month, line: P10 to P90", paint, margins)


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
            axis.set_major_formatter(_THOUSANDS)
        axes.set_xlabel("pieces really used (logarithmic from 10 on)")
        axes.set_ylabel("pieces forecast, with 90 % range")
        axes.grid()
        axes.legend(loc="upper left", fontsize=8.5)

    told = "Forecasts from earlier dates against what happened"
    return draw("trust", 3.6, told, paint, Margins())
