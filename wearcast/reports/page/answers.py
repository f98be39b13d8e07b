"""The answers that stand before the tables, in sentences: what costs more, by how much, how surely.

Each is read off the frames of the report; nothing is said where there is nothing to compare.
"""

from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from wearcast.decisions.costing.likes import range_per_100h, ranked
from wearcast.logbook.choices import Choices
from wearcast.reports.causes import cause_words
from wearcast.reports.frames import shown_number
from wearcast.reports.listing import of_site

if TYPE_CHECKING:
    from wearcast.forecast import Forecast

MOST_CLASSES = 6
_MEASURED = ("measured", "blended")
_PLACED = {"site": "at", "floor": "on"}


def answers(forecast: "Forecast", causes: pd.DataFrame | None = None) -> dict[str, list[str]]:
    """The sentences of each section of the page; `causes` of the sites' cost, where known."""
    currency = forecast.choices.currency
    return {
        "floors": [*dearest(forecast.cost, "floor", currency), *floor_words(forecast.floors)],
        "edges": edge_words(
            of_site(forecast.edges, forecast.choices),
            forecast.cost,
            currency,
            forecast.choices.site,
        ),
        "cost": site_words(forecast.cost, causes, forecast.choices),
    }


def dearest(cost: pd.DataFrame, level: str, currency: str) -> list[str]:
    """Which place costs most in 100 machine hours, how surely, and against the cheapest."""
    rows = ranked(cost, level)
    if len(rows) < 2:
        return []
    most, least = rows.iloc[0], rows.iloc[-1]
    low, high = (float(one) for one in range_per_100h(most))
    money = f" {currency}" if currency else ""
    at, times = _PLACED[level], most["per_100h"] / least["per_100h"]
    return [
        f"100 machine hours cost most {at} {most['where']}: {shown_number(most['per_100h'], 2)}"
        f"{money} (in 8 of 10 futures {shown_number(low, 2)} to {shown_number(high, 2)}), "
        f"{shown_number(times, 1)} times as much as {at} {least['where']} "
        f"({shown_number(least['per_100h'], 2)}). That counts what the machines there carry."
    ]


def floor_words(floors: pd.DataFrame) -> list[str]:
    """Like for like: each wear class on the floor that differs most from its usual one."""
    told = []
    for name, rows in floors.groupby("wears_as", sort=True):
        known = rows[rows["basis"].isin(_MEASURED) & np.isfinite(rows["relative"])]
        known = known[known["hours"].gt(0)]
        base = known[known["relative"].eq(1)]
        others = known[known["relative"].ne(1)]
        if base.empty or others.empty:
            continue
        sure = others[(others["relative_low"] > 1) | (others["relative_high"] < 1)]
        told.append((-float(rows["hours"].sum()), str(name), _class_words(base.iloc[0], sure)))
    return [words for *_, words in sorted(told)[:MOST_CLASSES]]


def _class_words(base: pd.Series, sure: pd.DataFrame) -> str:
    """One class: hours on its usual floor, and the floor that surely differs most from it."""
    name, floor = base["wears_as"], base["floor"]
    begin = (
        f"{name}: an edge lasts about {shown_number(base['hours_per_edge'], 0)} h on {floor} (90 % "
        f"range {shown_number(base['low'], 0)} to {shown_number(base['high'], 0)})"
    )
    if sure.empty:
        return f"{begin}; the log cannot tell its other floors from that."
    far = sure.loc[np.log(sure["relative"]).abs().idxmax()]
    # A life is the inverse of a rate, so the ends of its range change places.
    life, low, high = (1 / far[each] for each in ("relative", "relative_high", "relative_low"))
    return (
        f"{begin}; on {far['floor']} {shown_number(life, 2)} times as long "
        f"({shown_number(low, 2)} to {shown_number(high, 2)})."
    )


def edge_words(
    edges: pd.DataFrame, cost: pd.DataFrame, currency: str, site: str | None = None
) -> list[str]:
    """What full use of every edge would save, and where most of it; of a fleet or a site's rows."""
    lost = edges[edges["lost_per_year"].gt(0)]
    here = cost["level"].eq("fleet") if site is None else cost["where"].eq(site)
    rows = cost[here & cost["level"].isin(["fleet", "site"]) & cost["kind"].eq("all")]
    if lost.empty or rows.empty:
        return []
    total, whole = float(lost["lost_per_year"].sum()), float(rows["mean"].iloc[0])
    worst = lost.sort_values(["lost_per_year", "site"], ascending=[False, True]).iloc[0]
    had = worst["edges_available"] / worst["parts_spent"] if worst["parts_spent"] else np.nan
    money = f" {currency}" if currency else ""
    share = f", {shown_number(100 * total / whole, 0)} % of the cost" if whole > 0 else ""
    used = (
        f"; a part there gave {shown_number(worst['mean_edges_used'], 1)} of its "
        f"{shown_number(had, 0)} edges"
        if np.isfinite(had)
        else ""
    )
    return [
        f"Using every edge would save about {shown_number(total, 0)}{money} a year{share}. Most "
        f"of it: {worst['site']}, {worst['wears_as']}, {shown_number(worst['lost_per_year'], 0)} "
        f"(90 % range {shown_number(worst['lost_low'], 0)} to "
        f"{shown_number(worst['lost_high'], 0)}){used}."
    ]


def site_words(cost: pd.DataFrame, causes: pd.DataFrame | None, choices: Choices) -> list[str]:
    """Which site costs most an hour, and why each costs more or less than the fleet."""
    told = dearest(cost, "site", choices.currency)
    return told if causes is None else [*told, *cause_words(causes, cost, choices)]
