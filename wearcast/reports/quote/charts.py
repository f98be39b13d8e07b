"""The quote's charts, one figure a function."""

import numpy as np
import pandas as pd
from matplotlib.figure import Figure

from wearcast.reports.page.drawing import (
    BLUE,
    ORANGE,
    SKY,
    THOUSANDS,
    Margins,
    beside,
    draw,
    rows_down,
)

_ROW = 0.3  # inches
_STEP_LETTERS = 36


def year_chart(frame: pd.DataFrame, risk: float, currency: str) -> str:
    """Cost of each contract year: expected, P10 to P90, and at the chosen risk."""

    def paint(figure: Figure) -> None:
        axes = figure.subplots()
        places = np.arange(len(frame))
        axes.bar(places, frame["mean"], color=SKY, width=0.55, label="expected")
        axes.vlines(places, frame["p10"], frame["p90"], color=BLUE, linewidth=2.4)
        axes.plot(places, frame["at_risk"], "D", color=ORANGE, label=f"enough in {100 * risk:g} %")
        axes.set_xticks(places, [f"year {each}" for each in frame["year"]])
        axes.yaxis.set_major_formatter(THOUSANDS)
        axes.set_ylabel(f"cost in {currency}" if currency else "cost")
        axes.set_ylim(bottom=0)
        axes.grid(axis="y")
        axes.legend(loc="lower left", bbox_to_anchor=(0, 1.0), fontsize=8.5, ncols=2)

    margins = Margins(left=0.9, top=0.45)
    return draw(
        "quote years", 2.9, "Cost by contract year; dark line: 8 in 10 futures", paint, margins
    )


def share_chart(name: str, labels: list[str], shares: list[float], told: str, whole: str) -> str:
    """Shares of a whole as bars, in the order given."""
    if not labels:
        return ""

    def paint(figure: Figure) -> None:
        axes = figure.subplots()
        rows_down(axes, labels)
        axes.barh(np.arange(len(labels)), 100 * np.asarray(shares), color=BLUE, height=0.6)
        axes.set_xlabel(f"% of the {whole}")
        axes.set_xlim(left=0)

    return draw(name, 0.75 + _ROW * len(labels), told, paint, beside(labels))


def change_chart(changes: pd.DataFrame, currency: str) -> str:
    """What one thing otherwise would cost or save, as bars."""
    shown = changes[changes["mean_change"].abs() > 0]
    if shown.empty:
        return ""
    steps = list(shown["step"])

    def paint(figure: Figure) -> None:
        axes = figure.subplots()
        rows_down(axes, steps, _STEP_LETTERS)
        colours = np.where(shown["mean_change"] > 0, ORANGE, BLUE)
        axes.barh(np.arange(len(shown)), shown["mean_change"], color=colours, height=0.6)
        axes.axvline(0, color="#444444", linewidth=0.8)
        axes.xaxis.set_major_formatter(THOUSANDS)
        axes.set_xlabel(f"{currency} of the whole contract" if currency else "whole contract")

    told = "What one thing otherwise would cost (orange) or save (blue)"
    margins = beside(steps, _STEP_LETTERS)
    return draw("sensitivity", 0.75 + _ROW * len(steps), told, paint, margins)
