"""What a fit says, in hours and with ranges: as a table, and in the look of statsmodels.

A log rate and its p-value answer no question that anybody has of a blade. What is shown is what
a reader can hold against the shelf: hours an edge lasts, the 90 % range, and what it rests on.
"""

from collections.abc import Iterable

import numpy as np
import pandas as pd
from statsmodels.iolib.summary import Summary
from statsmodels.iolib.table import SimpleTable
from statsmodels.iolib.tableformatting import fmt_2cols, fmt_params

from wearcast.logbook.book import Logbook
from wearcast.logbook.choices import Choices
from wearcast.told import sentence
from wearcast.wear.records import Wear

COLUMNS = ("hours_per_edge", "low", "high", "worn", "damaged", "running", "basis")
_METHODS = {
    "blended": "blended with typical lives",
    "data only": "data only, maximum likelihood",
}
_NOTES = (
    "hours_per_edge: mean hours an edge lasts on that floor until it is worn, at the fleet's pace.",
    "low, high: its 90 % range. worn, damaged, running: edges seen, shared by wear between floors.",
    "basis: measured by this log, typical of the trade, or blended from both.",
)


def summary_frame(wear: Wear) -> pd.DataFrame:
    """One row a wear class and floor.

    Returns
    -------
    DataFrame, index (wears_as, floor)
        hours_per_edge, low, high (90 %) [h]; worn, damaged, running [edges]; basis (measured,
        blended, typical ...).
    """
    return wear.floor_table.set_index(["wears_as", "floor"])[list(COLUMNS)]


def summary_text(book: Logbook, choices: Choices, wear: Wear) -> Summary:
    """The same as a statsmodels ``Summary``, with the fit's frame above and its findings below."""
    made = Summary()
    made.tables += [_about(book, choices, wear), _lives(summary_frame(wear))]
    if len(wear.effect_table):
        made.tables.append(_effects(wear.effect_table))
    told = [sentence(each) for each in wear.told]
    made.add_extra_txt([*_NOTES, *told])
    return made


def _about(book: Logbook, choices: Choices, wear: Wear) -> SimpleTable:
    """What was fitted to what, in two columns of names and values."""
    left = [
        ("As of:", f"{book.as_of:%Y-%m-%d}"),
        ("Machines:", f"{len(book.machines['machine'].unique())}"),
        ("Wear classes:", f"{len(wear.classes)}"),
    ]
    ends = wear.floor_table[["worn", "damaged", "running"]].sum()
    right = [
        ("Method:", _METHODS.get(choices.fit, choices.fit)),
        ("Edges worn, damaged:", f"{ends['worn']:.0f}, {ends['damaged']:.0f}"),
        ("Edges still running:", f"{ends['running']:.0f}"),
    ]
    title = "Hours that an edge lasts"
    made = SimpleTable([[value] for _, value in left], None, [name for name, _ in left], title,
                       txt_fmt=fmt_2cols)  # fmt: skip
    made.extend_right(SimpleTable([[value] for _, value in right], None,
                                  [name for name, _ in right], txt_fmt=fmt_2cols))  # fmt: skip
    return made


def _lives(frame: pd.DataFrame) -> SimpleTable:
    """A line a wear class and floor."""
    numbers = ["hours_per_edge", "low", "high"]
    counts = ["worn", "damaged", "running"]
    cells = [
        [*(_hours(value) for value in row[numbers]), *(f"{value:.0f}" for value in row[counts]),
         row["basis"]]
        for _, row in frame.iterrows()
    ]  # fmt: skip
    names = [f"{wears_as}, {floor}" for wears_as, floor in frame.index]
    heads = ["hours", "[5 %", "95 %]", *counts, "basis"]
    return SimpleTable(cells, heads, names, txt_fmt=fmt_params)


def _effects(frame: pd.DataFrame) -> SimpleTable:
    """A line a wear class and effect: how many times as long an edge lasts."""
    cells = [_ratios(row[["life_ratio", "low", "high"]]) for _, row in frame.iterrows()]
    names = [f"{row['wears_as']}, {row['effect']}" for _, row in frame.iterrows()]
    return SimpleTable(cells, ["times the life", "[5 %", "95 %]"], names, txt_fmt=fmt_params)


def _hours(value: float) -> str:
    return "not known" if np.isnan(value) else f"{value:,.0f}"


def _ratios(values: Iterable[float]) -> list[str]:
    return [f"{value:.2f}" for value in values]
