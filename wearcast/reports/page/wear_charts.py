"""The page's charts of wear, one figure a function; blank where there is nothing to show."""

import numpy as np
import pandas as pd
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import FuncFormatter, PercentFormatter

from wearcast.reports.page.drawing import (
    BLUE,
    GREEN,
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

MOST_ROWS, MOST_CLASSES = 30, 9
_ROW = 0.27  # inches
_LONG = 36
_ABREAST = 3
_SHEET_ROWS, _MOST_SHEETS = 20, 6
_BASIS = {"measured": (BLUE, "o"), "blended": (GREEN, "s"), "typical": (ORANGE, "D")}


def floor_chart(floors: pd.DataFrame) -> str:
    """Hours an edge by wear class and floor, with 90 % ranges, marked by basis."""
    shown = floors[np.isfinite(floors["hours_per_edge"])].head(MOST_ROWS)
    if shown.empty:
        return ""
    labels = _pairs(shown, "wears_as", "floor")
    classes = ", ".join(shown["wears_as"].drop_duplicates().astype(str))
    told = f"Hours an edge lasts by floor: {classes}"
    margins = beside(labels, _LONG, top=0.4)
    height = 0.9 + _ROW * len(shown)
    return draw(f"floors {classes}", height, told, lambda figure: paint_floors(figure.subplots(),
                shown), margins)  # fmt: skip


def paint_floors(axes: Axes, shown: pd.DataFrame) -> None:
    """A mark and its 90 % range a wear class and floor, by basis, on a logarithmic scale."""
    rows_down(axes, _pairs(shown, "wears_as", "floor"), _LONG)
    axes.grid(axis="x", which="both")
    for basis, (colour, marker) in _BASIS.items():
        some = np.flatnonzero(shown["basis"].eq(basis).to_numpy())
        if len(some):
            _ranges(axes, shown.iloc[some], "hours_per_edge", some, colour, marker, basis)
    axes.set_xscale("log")
    axes.xaxis.set_major_formatter(THOUSANDS)
    axes.xaxis.set_minor_formatter(_few_hours(shown))
    axes.tick_params(axis="x", which="both", length=3, labelsize=9)
    axes.set_xlabel("mean hours an edge lasts, with 90 % range (logarithmic)")
    _legend_above(axes)


def floor_charts(floors: pd.DataFrame) -> list[str]:
    """Charts of hours an edge, so many whole wear classes on each as can be read on a sheet."""
    sizes = floors.groupby("wears_as", sort=False).size()
    sheet = (sizes.cumsum() - 1) // _SHEET_ROWS
    drawn = [floor_chart(rows) for _, rows in floors.groupby(floors["wears_as"].map(sheet))]
    return [chart for chart in drawn if chart][:_MOST_SHEETS]


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


def lasting_chart(curves: pd.DataFrame) -> str:
    """Share of edges not yet worn out by hours: as logged, with 90 % band, and as forecast."""
    ends = curves.groupby("wears_as")["ends"].first().sort_values(ascending=False, kind="stable")
    names = sorted(ends.index[:MOST_CLASSES])
    if not names:
        return ""
    rows = -(-len(names) // _ABREAST)

    def paint(figure: Figure) -> None:
        figure.subplots_adjust(hspace=0.5, wspace=0.22)
        panels = figure.subplots(rows, _ABREAST, squeeze=False, sharey=True).ravel()
        for axes, name in zip(panels, names, strict=False):
            _lasting(axes, curves[curves["wears_as"].eq(name)])
        for axes in panels[len(names) :]:
            axes.set_visible(False)
        figure.legend(*panels[0].get_legend_handles_labels(), loc="upper left", ncols=3,
                      fontsize=8.5, borderaxespad=0.1)  # fmt: skip

    told = "Share of edges not yet worn out, by hours at work: as logged and as forecast"
    return draw("lasting", 0.9 + 1.75 * rows, told, paint, Margins(left=0.55, top=0.6))


def _lasting(axes: Axes, curve: pd.DataFrame) -> None:
    """One wear class: the product-limit steps and the fit."""
    hours = np.append(0.0, curve["hours"])
    good, low, high = (np.append(1.0, curve[name]) for name in ("good", "low", "high"))
    axes.fill_between(hours, low, high, step="post", color=SKY, alpha=0.35, linewidth=0,
                      label="its 90 % range")  # fmt: skip
    axes.step(hours, good, where="post", color=BLUE, linewidth=1.4, label="as logged")
    axes.plot(hours, np.append(1.0, curve["fitted"]), color=RED, linewidth=1.8, linestyle="--",
              label="as forecast")  # fmt: skip
    name, floor = curve["wears_as"].iloc[0], curve["floor"].iloc[0]
    axes.set_title(f"{short(str(name), 18)}\nh on {short(str(floor), 20)}", fontsize=9, loc="left")
    axes.yaxis.set_major_formatter(PercentFormatter(1.0, decimals=0, symbol=" %"))
    axes.xaxis.set_major_formatter(THOUSANDS)
    axes.set_xlim(left=0)
    axes.set_ylim(0, 1.02)
    axes.grid()


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
