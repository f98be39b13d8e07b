"""What is due each week at each site, as numbers on a grid."""

import numpy as np
import pandas as pd
from matplotlib.figure import Figure

from wearcast.reports.page.drawing import SKY, beside, draw, rows_down

MOST_SITES = 30
_ROW = 0.29  # inches


def due_counts(due: pd.DataFrame, as_of: pd.Timestamp, weeks: int) -> pd.DataFrame:
    """Turns and changes due by site (index, most first) and week ahead (columns 1, 2, ...).

    What is due at once, or has no date as nobody knows what is there, counts in the first week.
    """
    days = (due["due_p50"] - as_of).dt.days.fillna(1).clip(1, 7 * weeks)
    week = ((days - 1) // 7 + 1).astype(int)
    counts = pd.crosstab(due["site"].astype(str), week)
    counts = counts.reindex(columns=range(1, weeks + 1), fill_value=0)
    order = counts.assign(whole=-counts.sum(axis=1)).reset_index()
    return counts.loc[order.sort_values(["whole", "site"])["site"]]


def due_chart(due: pd.DataFrame, as_of: pd.Timestamp, weeks: int) -> str:
    """The grid, the darker the more is due; blank with one site.

    Parameters
    ----------
    due : DataFrame
        site, due_p50: what is due in the weeks ahead.
    as_of : date
    weeks : int
        How many.
    """
    counts = due_counts(due, as_of, weeks).head(MOST_SITES)
    if len(counts) < 2:
        return ""
    labels = counts.index.tolist()
    values = counts.to_numpy(float)

    def paint(figure: Figure) -> None:
        axes = figure.subplots()
        rows_down(axes, labels)
        axes.grid(visible=False)
        row, column = np.nonzero(values)
        share = values[row, column] / values.max()
        axes.scatter(column, row, s=60 + 360 * share, color=SKY, alpha=0.55, linewidths=0)
        for y, x in zip(row.tolist(), column.tolist(), strict=True):
            axes.text(x, y, f"{values[y, x]:.0f}", ha="center", va="center")
        ends = [as_of + pd.Timedelta(days=7 * week) for week in range(1, weeks + 1)]
        axes.set_xticks(range(weeks), [f"to {day.day} {day:%b}" for day in ends])
        axes.set_xlim(-0.6, weeks - 0.4)

    told = "Turns and changes due each week at each site"
    return draw("due", 0.75 + _ROW * len(labels), told, paint, beside(labels))
