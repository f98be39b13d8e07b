"""The due list as it is worked off: this week, next week, later; by site, with parts to take."""

from itertools import groupby
from operator import itemgetter
from typing import TYPE_CHECKING, NamedTuple

import numpy as np
import pandas as pd

from wearcast.history.readings.curve import REACH_DAYS
from wearcast.logbook.choices import Choices
from wearcast.reports.fields import Field, fields_named
from wearcast.reports.frames import day_words
from wearcast.reports.listing import by_week, due_soon, silent_days

if TYPE_CHECKING:
    from wearcast.forecast import Forecast

FIELDS = (
    *fields_named("due", ["due_p50"]),
    Field("between", "text", "Between", "In 8 of 10 futures it is due between these days."),
    *fields_named("due", ["machine", "site", "position", "part"]),
    Field("at_edge", "text", "Edge", "The edge at work, of the edges that the part has."),
    *fields_named("due", ["next_action"]),
    Field("used", "text", "Used", "Wear so far; 100 %: half of such edges are worn out by then."),
    *fields_named("due", ["replace_p50"]),
    Field("remark", "text", "Remark", "Past its usual life, or hours that nobody has read."),
)
ON_A_TERMINAL = (
    "due_p50", "machine", "site", "position", "part", "at_edge", "next_action", "used", "remark",
)  # fmt: skip


class DueGroup(NamedTuple):
    """What is due in one stretch of time."""

    title: str
    rows: pd.DataFrame
    """Columns of `FIELDS`, by site, the soonest first."""
    take: str
    """The parts to take along, as a sentence; blank where nothing is changed."""


MOST_ON_SHEETS = 5_000
"""Rows on the sheets of all sites; with more the page would be too large to open, and `--site`
gives the sheet of one."""


def due_groups(forecast: "Forecast") -> list[DueGroup]:
    """What is due this week, next week and later; of the site asked for, and without empty ones."""
    rows = _told(due_soon(forecast.due, forecast.choices), forecast)
    return [group for _, group in _groups(rows.assign(sheet=""), forecast.choices)]


def due_sheets(forecast: "Forecast") -> list[tuple[str, list[DueGroup]]]:
    """The same for paper, a sheet a site; none where there is but one site, or more than fit."""
    soon = due_soon(forecast.due, forecast.choices)
    if soon["site"].nunique() < 2 or len(soon) > MOST_ON_SHEETS:
        return []
    rows = _told(soon, forecast)
    groups = _groups(rows.assign(sheet=rows["site"].astype(str)), forecast.choices)
    return [(sheet, [group for _, group in here]) for sheet, here in groupby(groups, itemgetter(0))]


def _groups(rows: pd.DataFrame, choices: Choices) -> list[tuple[str, DueGroup]]:
    """The groups of each sheet; the rows are sorted once, as a large fleet has many sheets."""
    weeks = by_week(rows, choices)
    stretch = np.select([weeks.now, weeks.then], [0, 1], 2)
    order = ["sheet", "stretch", "site", "due_p50", "machine", "position"]
    rows = rows.assign(stretch=stretch).sort_values(order, kind="stable", ignore_index=True)
    number = rows.groupby(["sheet", "stretch"], sort=True).ngroup().to_numpy()
    end = choices.as_of + pd.Timedelta(days=round(7 * choices.due_weeks))
    titles = (
        f"This week, to {day_words(min(weeks.first, end))}",
        f"Next week, to {day_words(min(weeks.second, end))}",
        f"Later, to {day_words(end)}",
    )
    take = _take_along(rows, number)
    bounds = np.searchsorted(number, np.arange(len(take) + 1))
    found = []
    for words, first, after in zip(take, bounds[:-1], bounds[1:], strict=True):
        here = rows.iloc[first:after].reset_index(drop=True)
        found.append((str(here["sheet"][0]), DueGroup(titles[here["stretch"][0]], here, words)))
    return found


def _told(rows: pd.DataFrame, forecast: "Forecast") -> pd.DataFrame:
    """The rows with what people read: the range, the edge, the wear and what is odd."""
    days = silent_days(rows, forecast.machines)
    since = forecast.choices.as_of - pd.to_timedelta(days, "D")
    remarks = [
        "; ".join(_remarks(wear, silent > REACH_DAYS, day))
        for wear, silent, day in zip(rows["wear"], days, since, strict=True)
    ]
    return rows.assign(
        between=[
            _between(low, high) for low, high in zip(rows["due_p10"], rows["due_p90"], strict=True)
        ],
        at_edge=[
            _edge(edge, edges) for edge, edges in zip(rows["edge"], rows["edges"], strict=True)
        ],
        used=["" if np.isnan(wear) else f"{100 * wear:.0f} %" for wear in rows["wear"]],
        remark=pd.Series(remarks, rows.index, dtype=object),
        pieces=_pieces(rows, forecast.draws.slots),
    )


def _remarks(wear: float, silent: bool, since: pd.Timestamp) -> list[str]:
    """What is odd about a row."""
    told = ["past its usual life"] if wear > 1 else []
    return [*told, f"hours assumed since {day_words(since)}"] if silent else told


def _between(low: pd.Timestamp, high: pd.Timestamp) -> str:
    """Both days, the month once where it is one."""
    if pd.isna(low) or pd.isna(high):
        return ""
    begin = (
        f"{low.day}" if (low.year, low.month) == (high.year, high.month) else f"{low.day} {low:%b}"
    )
    return f"{high.day} {high:%b}" if low == high else f"{begin} to {high.day} {high:%b}"


def _edge(edge: float, edges: float) -> str:
    return f"? of {edges:.0f}" if np.isnan(edge) else f"{edge:.0f} of {edges:.0f}"


def _take_along(rows: pd.DataFrame, group: np.ndarray) -> list[str]:
    """The new parts that the rows of each group need, in pieces: a sentence a group."""
    new = rows["next_action"].isin(["change", "fit"])
    counts = rows[new].groupby([group[new], "part"])["pieces"].sum()
    told: list[list[str]] = [[] for _ in range(int(group.max(initial=-1)) + 1)]
    counts = counts[counts > 0]
    places = (counts.index.get_level_values(level).tolist() for level in (0, 1))
    for number, part, count in zip(*places, counts.tolist(), strict=True):
        told[number].append(f"{count:.0f} {part}")
    return [f"Parts to take along: {', '.join(each)}." if each else "" for each in told]


def _pieces(rows: pd.DataFrame, slots: pd.DataFrame) -> np.ndarray:
    """Pieces that each row's position takes; array (rows,), nan where it is none of the slots."""
    pieces = slots.set_index(["machine", "position"])["pieces"]
    places = pd.MultiIndex.from_frame(rows[["machine", "position"]])
    return pieces.reindex(places).to_numpy(float)
