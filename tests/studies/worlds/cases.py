"""A fleet that was forecast, beside what is true of it; the totals and lives that can be asked."""

import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np

import wearcast
from tests.studies.worlds.catalogue import life_on
from tests.studies.worlds.fleet import make_fleet
from tests.studies.worlds.settings import WORLDS, World
from tests.studies.worlds.truth import REPLICATIONS, Truth, true_year
from tests.studies.worlds.written import Lived, live, write_log
from wearcast.forecast import Forecast
from wearcast.logbook.book import Logbook

MANY = 20.0
"""Totals of fewer expected pieces are not asked for their cover: whole pieces blur it."""


@dataclass(frozen=True)
class Case:
    """A fleet, what was said of it and what is true."""

    name: str
    lived: Lived
    said: Forecast
    truth: Truth
    draws: int


def read(lived: Lived, worn: str | None = None) -> Logbook:
    """The logbook that the package reads."""
    with tempfile.TemporaryDirectory() as folder:
        return wearcast.read_logbook(write_log(lived, Path(folder), worn))


def case_of(
    name: str,
    seed: int,
    draws: int = 300,
    replications: int = REPLICATIONS,
    world: World | None = None,
) -> Case:
    """Make, forecast and truly run a fleet; a `world` stands in for the named one."""
    lived = lived_of(world or WORLDS[name], seed)
    said = wearcast.forecast(read(lived), draws=draws)
    return Case(name, lived, said, true_year(lived, replications), draws)


def lived_of(world: World, seed: int) -> Lived:
    """A fleet's life; where the world asks for a quiet end, the first of its kin that has one."""
    for kin in range(1000):
        lived = live(make_fleet(world, seed + 10_000 * kin))
        if -lived.ends.day.max(initial=lived.fleet.first_day) >= world.quiet_days:
            return lived
    raise ValueError(f"no fleet of {world.about} ends quietly")


def groups(lived: Lived) -> Iterator[tuple[str, str, str, np.ndarray]]:
    """Level, where, part and the places of each total."""
    fleet = lived.fleet
    site, part = fleet.column("site"), fleet.column("part")
    for name in sorted(set(part)):
        yield "fleet", "fleet", name, part == name
        for number in sorted(set(site[part == name])):
            yield "site", fleet.sites[number], name, (part == name) & (site == number)


def inside(true: np.ndarray, low: float, high: float) -> float:
    """Chance that the truth lies in a range of whole pieces; half of it where it is an end.

    Half of an end's chance, on average, is outside: so many draws below the quantile as above.
    """
    within = (true > low) & (true < high)
    return float((within + 0.5 * (true == low) + 0.5 * (true == high)).mean())


def true_life(lived: Lived, wears_as: str, floor: str) -> float:
    """Mean hours to wear-out on a machine of usual wear at a usual site."""
    parts = lived.fleet.parts.values()
    return next(life_on(part, floor) for part in parts if part.wears_as == wears_as)


def kind_of(lived: Lived, wears_as: str) -> str:
    """The kind of a wear class."""
    return next(part.kind for part in lived.fleet.parts.values() if part.wears_as == wears_as)
