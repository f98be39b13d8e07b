"""How money is divided: by fleet, site, machine, part, floor and month, with hours and area."""

from dataclasses import dataclass

import numpy as np
import pandas as pd

from wearcast.decisions.costing.areas import area_rates, daily_hours, hours_by_floor, months_of
from wearcast.history.story import History
from wearcast.logbook.choices import Choices
from wearcast.outlook.records import Draws


@dataclass(frozen=True, slots=True)
class Division:
    """One level: its places, and which of them each position (or day) belongs to."""

    level: str
    places: tuple[str, ...]
    number: np.ndarray
    """array (slots,) or (days,): the place of each; or (places, slots): its share of each."""
    hours: np.ndarray
    """array (places,) mean run hours there in the 364 days after as-of [h]"""
    area: np.ndarray
    """array (places,) mean area [m2]; nan where the area rate of a machine there is unknown"""

    def add(self, total: np.ndarray, amount: np.ndarray, at: slice) -> None:
        """Add an amount by position, array (slots, draws), to its places' total (places, draws).

        `at` says which of all positions these are.
        """
        if self.number.ndim == 2:
            total += self.number[:, at] @ amount
        else:
            np.add.at(total, self.number[at], amount)


def divisions_of_positions(draws: Draws, history: History, choices: Choices) -> list[Division]:
    """The levels into which positions fall: fleet, site, machine, part and floor."""
    machines = history.machines.reindex(draws.machines)
    rate = area_rates(machines, choices)
    hours = daily_hours(draws.weekly_hours).sum(axis=1)
    slots = draws.slots
    names = np.asarray(draws.machines, dtype=str)
    everyone = np.arange(len(names))
    carries = slots[["part", "machine"]].astype(str).drop_duplicates()
    seat = pd.Index(names).get_indexer(pd.Index(carries["machine"]))
    sites = machines["site"].astype(str).to_numpy()
    on_floor = hours_by_floor(draws, history)
    fleet = np.full(len(slots), "fleet")

    def level(name: str, of_slot: np.ndarray, label: np.ndarray, seats: np.ndarray) -> Division:
        places, number = np.unique(label.astype(str), return_inverse=True)
        run, cleaned = hours[seats], _area(hours[seats], rate[seats])
        return Division(
            level=name,
            places=tuple(places.tolist()),
            number=np.searchsorted(places, of_slot.astype(str)),
            hours=np.bincount(number, run, len(places)),
            area=np.bincount(number, cleaned, len(places)),
        )

    return [
        level("fleet", fleet, np.full(len(names), "fleet"), everyone),
        level("site", slots["site"].to_numpy(), sites, everyone),
        level("machine", slots["machine"].to_numpy(), names, everyone),
        level("part", slots["part"].to_numpy(), carries["part"].to_numpy(), seat),
        Division(
            level="floor",
            places=draws.floors,
            number=draws.wear_share.T,
            hours=on_floor.sum(axis=0),
            area=_area(on_floor, rate[:, None]).sum(axis=0),
        ),
    ]


def months_ahead(draws: Draws, history: History, choices: Choices) -> Division:
    """The months of the year ahead; `number` is the month of each day."""
    rate = area_rates(history.machines.reindex(draws.machines), choices)
    daily = daily_hours(draws.weekly_hours)
    places, number = np.unique(months_of(draws.as_of), return_inverse=True)
    monthly = np.array([daily[:, number == month].sum(axis=1) for month in range(len(places))])
    return Division(
        level="month",
        places=tuple(places.tolist()),
        number=number,
        hours=monthly.sum(axis=1),
        area=_area(monthly, rate).sum(axis=1),
    )


def _area(hours: np.ndarray, rate: np.ndarray) -> np.ndarray:
    """Area of some hours; a machine that stands still needs no rate."""
    return np.where(hours > 0, hours * rate, 0.0)
