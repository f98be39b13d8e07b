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
    at_site = draws.of(np.flatnonzero(draws.slots["site"].eq(site)))
    return replace(
        at_site,
        hours=draws.hours[works],
        weekly_hours=draws.weekly_hours[works],
        machines=tuple(machines[works].tolist()),
    )
