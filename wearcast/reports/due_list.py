"""The due list as it is worked off: this week, next week, later; by site, with parts to take."""

from typing import TYPE_CHECKING, NamedTuple

import numpy as np
import pandas as pd

from wearcast.history.readings.curve import REACH_DAYS
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


def due_groups(forecast: "Forecast") -> list[DueGroup]:
    """What is due this week, next week and later; of the site asked for, and without empty ones."""
    return _by_weeks(_told(due_soon(forecast.due, forecast.choices), forecast), forecast)


def due_sheets(forecast: "Forecast") -> list[tuple[str, list[DueGroup]]]:
    """The same for paper, a sheet a site; none where there is but one site."""
    rows = _told(due_soon(forecast.due, forecast.choices), forecast)
    if rows["site"].nunique() < 2:
        return []
    return [
        (str(site), _by_weeks(here, forecast)) for site, here in rows.groupby("site", sort=True)
    ]


def _by_weeks(rows: pd.DataFrame, forecast: "Forecast") -> list[DueGroup]:
    choices = forecast.choices
    end = choices.as_of + pd.Timedelta(days=round(7 * choices.due_weeks))
    weeks = by_week(rows, choices)
    stretches = (
        (f"This week, to {day_words(min(weeks.first, end))}", weeks.now),
        (f"Next week, to {day_words(min(weeks.second, end))}", weeks.then),
        (f"Later, to {day_words(end)}", ~weeks.now & ~weeks.then),
    )
    return [
        DueGroup(title, _by_site(rows[here]), take_along(rows[here]))
        for title, here in stretches
        if here.any()
    ]


def _by_site(rows: pd.DataFrame) -> pd.DataFrame:
    order = ["site", "due_p50", "machine", "position"]
    return rows.sort_values(order, kind="stable", ignore_index=True)


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


def take_along(rows: pd.DataFrame) -> str:
    """The new parts that the rows need, in pieces."""
    new = rows[rows["next_action"].isin(["change", "fit"])]
    counts = new.groupby("part")["pieces"].sum()
    told = [f"{count:.0f} {part}" for part, count in counts.items() if count > 0]
    return f"Parts to take along: {', '.join(told)}." if told else ""


def _pieces(rows: pd.DataFrame, slots: pd.DataFrame) -> np.ndarray:
    """Pieces that each row's position takes; array (rows,), nan where it is none of the slots."""
    pieces = slots.set_index(["machine", "position"])["pieces"]
    places = pd.MultiIndex.from_frame(rows[["machine", "position"]])
    return pieces.reindex(places).to_numpy(float)
