"""In words: why a site costs more or less in 100 run hours than the fleet."""

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

import numpy as np
import pandas as pd

from wearcast.decisions.costing.site_causes import REST, site_causes
from wearcast.logbook.choices import Choices
from wearcast.reports.frames import shown_number

if TYPE_CHECKING:
    from wearcast.forecast import Forecast

SMALL = 0.05
"""Causes below this share of all that a site's causes move are told as one."""
MOST_SITES = 12
"""Sites told of; site_causes.csv has up to 40."""
_WORDS = {
    "positions": ("more positions a machine", "fewer positions a machine"),
    "parts": ("dearer or shorter-lived parts", "cheaper or longer-lived parts"),
    "floors": ("harder floors", "easier floors"),
    "wear": ("faster wear on like floors", "slower wear on like floors"),
    "edges": ("more edges thrown away", "fewer edges thrown away"),
    "damage": ("more damage", "less damage"),
    REST: ("more due this year than in the long run", "less due this year than in the long run"),
}


def causes_of(forecast: "Forecast") -> pd.DataFrame:
    """The causes of each site's cost, of the whole fleet's sites; see `site_causes`."""
    return site_causes(
        forecast.cost,
        forecast.wear,
        forecast.draws,
        forecast.history,
        forecast.book,
        forecast.choices,
    )


def cause_words(causes: pd.DataFrame, cost: pd.DataFrame, choices: Choices) -> list[str]:
    """A sentence a site, the dearest first; of the site that was asked for alone, if one was.

    Parameters
    ----------
    causes : DataFrame
        As of `wearcast.decisions.costing.site_causes.site_causes`.
    cost : DataFrame
        As of `wearcast.decisions.money.year_cost`.
    choices : Choices
    """
    whole = cost[cost["kind"].eq("all") & cost["level"].isin(["fleet", "site"])]
    known = whole.set_index("where")[["per_100h", "per_1000m2"]].astype(float).to_dict("index")
    sites = [choices.site] if choices.site else list(dict.fromkeys(causes["site"]))[:MOST_SITES]
    return [
        _sentence(site, causes[causes["site"].eq(site)], known, f" {choices.currency}".rstrip())
        for site in sites
        if causes["site"].eq(site).any()
    ]


def _sentence(
    site: str, causes: pd.DataFrame, known: Mapping[Any, Mapping[Any, float]], money: str
) -> str:
    here, fleet = known[site], known["fleet"]
    more = here["per_100h"] - fleet["per_100h"]
    area = ""
    if np.isfinite(here["per_1000m2"]) and np.isfinite(fleet["per_1000m2"]):
        area = (
            f"; in 1,000 m2 {shown_number(here['per_1000m2'], 2)} against "
            f"{shown_number(fleet['per_1000m2'], 2)}"
        )
    return (
        f"{site} costs {shown_number(abs(more), 2)}{money} {'more' if more > 0 else 'less'} in 100 "
        f"machine hours than the fleet ({shown_number(here['per_100h'], 2)} against "
        f"{shown_number(fleet['per_100h'], 2)}{area}): {_parts(causes)}."
    )


def _parts(causes: pd.DataFrame) -> str:
    """The causes that matter, largest first, and the others in one; they add up."""
    least = SMALL * float(causes["per_100h"].abs().sum())
    large = causes[causes["per_100h"].abs().ge(least)]
    order = large["per_100h"].abs().sort_values(ascending=False, kind="stable").index
    told = [_cause(row) for row in large.loc[order].to_dict("records")]
    left = float(causes["per_100h"].sum() - large["per_100h"].sum())
    told += [f"{_signed(left)} all else"] if len(large) < len(causes) else []
    return ", ".join(told)


def _cause(row: Mapping[Any, Any]) -> str:
    """One cause, with its range; where that holds 0, it may be none."""
    money = float(row["per_100h"])
    words = f"{_signed(money)} {_WORDS[row['cause']][money < 0]}"
    if not np.isfinite(row["low"]):
        return words
    unsure = ", so perhaps none" if row["low"] < 0 < row["high"] else ""
    return f"{words} ({_signed(row['low'])} to {_signed(row['high'])}{unsure})"


def _signed(money: float) -> str:
    shown = shown_number(abs(money), 2)
    sign = "" if float(shown.replace(",", "")) == 0 else "-" if money < 0 else "+"
    return f"{sign}{shown}"
