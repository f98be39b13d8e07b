"""The coming year's cost of one site by itself, read off the very draws of the whole fleet."""

from dataclasses import replace

import numpy as np
import pandas as pd

from wearcast.decisions.money import year_cost
from wearcast.history.story import History
from wearcast.logbook.book import Logbook
from wearcast.logbook.choices import Choices
from wearcast.outlook.records import Draws


def site_cost(
    draws: Draws, history: History, book: Logbook, choices: Choices, site: str
) -> pd.DataFrame:
    """A site's cost by machine, part, floor and month: columns as of `year_cost`.

    The level ``site`` stands in place of the fleet's; floors that the site does not have are left
    out.
    """
    table = year_cost(draws_at(draws, history, site), history, book, choices)
    elsewhere = table["level"].eq("floor") & table["per_100h"].isna()
    return table[table["level"].ne("fleet") & ~elsewhere].reset_index(drop=True)


def draws_at(draws: Draws, history: History, site: str) -> Draws:
    """The draws of the machines that work at a site, in the same order."""
    machines = np.asarray(draws.machines, dtype=object)
    works = history.machines["site"].reindex(machines).eq(site).to_numpy()
    slots = np.flatnonzero(draws.slots["site"].eq(site))
    place = np.full(len(draws.slots), -1)
    place[slots] = np.arange(len(slots))
    uses = place[draws.slot] >= 0
    by_slot = {
        name: getattr(draws, name)[slots]
        for name in ("next_day", "next_is_change", "change_day", "turns", "wear_now", "wear_share")
    }
    by_use = {name: getattr(draws, name)[uses] for name in ("draw", "day", "cause", "edges_lost")}
    return replace(
        draws,
        slots=draws.slots.iloc[slots].reset_index(drop=True),
        slot=place[draws.slot[uses]].astype(draws.slot.dtype),
        hours=draws.hours[works],
        weekly_hours=draws.weekly_hours[works],
        machines=tuple(machines[works].tolist()),
        **by_slot,
        **by_use,
    )
