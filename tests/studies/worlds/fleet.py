"""A fleet: machines at sites on floors, places that carry parts, and how fast each really wears.

Everything here stays as it is from before the log begins to the end of the year ahead. Days count
from as-of: day 0 is as-of, the log runs from ``first_day`` to 0, the year ahead from 1 to 364.
Arrays wear their axes: ``wear[place, floor]``, ``shares[machine, floor]``.
"""

from dataclasses import dataclass, replace

import numpy as np
import pandas as pd

from tests.studies.worlds.catalogue import DECKS, FLOORS, PARTS, POSITIONS, Part, life_on
from tests.studies.worlds.settings import Policy, World

WARM_UP = 420
"""Days that old machines run before their log begins."""
BEGIN = pd.Timestamp("2024-01-01")
_DAYS_A_WEEK = 7


@dataclass(frozen=True)
class Fleet:
    """One fleet of a world."""

    world: World
    seed: int
    first_day: int
    as_of: pd.Timestamp
    machines: pd.DataFrame
    """machine, site, starts [day], hours [usual week], hours_before (the log began), moves [day;
    far away: never], planned (its hours are a plan, without a season)"""
    places: pd.DataFrame
    """machine (number), site (number), position, part (name), partner (place or -1), and of the
    part: kind, wears_as, edges, pieces, unevenness"""
    parts: dict[str, Part]
    policies: list[Policy]
    """one a site"""
    sites: list[str]
    shares: np.ndarray
    """[2, machine, floor]: before and after the machine moves"""
    wear: np.ndarray
    """[place, floor]: share of a mean endurance that an hour takes [1/h]"""
    damage: np.ndarray
    """[place]: chance of damage an hour [1/h]"""
    turns: np.ndarray
    """[site, 2]: chance to turn, where an edge is left, after wear-out and after damage"""
    lives: dict[str, str]
    """wears_as -> law of life"""
    swing: np.ndarray
    """[site]: how far the hours swing with the year"""

    def column(self, name: str) -> np.ndarray:
        """A column of `places`."""
        return np.asarray(self.places[name])


def make_fleet(world: World, seed: int) -> Fleet:
    """A fleet of that world."""
    rng = np.random.default_rng([seed, 20260])
    first_day = 1 - _DAYS_A_WEEK * int(rng.choice(world.weeks))
    sites = [f"site {letter}" for letter in "ABCDEF"[: rng.integers(*_up_to(world.sites))]]
    machines = _machines(world, sites, first_day, rng)
    parts = {part.name: _as_lived(part, world) for part in PARTS}
    places = make_places(machines["site"].map(sites.index).to_list(), rng)
    kinds = ["weibull", "gamma", "log-normal", "wear path"]
    fleet_floors = _shares(world, len(sites), machines, sites, rng)
    site_wear = np.exp(rng.normal(0, world.site_wear, len(sites)))
    site_damage = np.exp(rng.normal(0, world.site_damage, len(sites)))
    site = places["site"].to_numpy()
    each = [parts[part] for part in places["part"]]
    speed = machine_speeds(world, places, parts, rng) * site_wear[site]
    odd = world.odd_site or world.policy
    return Fleet(
        world=world,
        seed=seed,
        first_day=first_day,
        as_of=BEGIN + pd.Timedelta(days=-first_day),
        machines=machines,
        places=places,
        parts=parts,
        policies=[odd, *[world.policy] * (len(sites) - 1)],
        sites=sites,
        shares=fleet_floors,
        wear=usual_wear(places, parts) * speed[:, None],
        damage=site_damage[site] / np.array([part.hours_to_damage for part in each]),
        turns=_habits(len(sites), rng),
        lives={name: str(rng.choice(kinds)) for name in sorted({p.wears_as for p in PARTS})},
        swing=rng.uniform(0.0, 0.2, len(sites)),
    )


def machine_speeds(
    world: World, places: pd.DataFrame, parts: dict[str, Part], rng: np.random.Generator
) -> np.ndarray:
    """How fast each place wears for its machine's sake: a part shared by all, a part of its class.

    Lowered a little, so that a machine of usual wear is one of mean hazard: a life of a fast
    machine is short by the power of its law.
    """
    count = 1 + int(places["machine"].max())
    shared = rng.normal(0, world.machine_wear, count)
    own = {name: rng.normal(0, world.machine_part_wear, count) for name in _classes(parts)}
    machine = places["machine"].to_numpy()
    each = [parts[part] for part in places["part"]]
    variance = world.machine_wear**2 + world.machine_part_wear**2
    power = np.array([steepness(part) for part in each])
    by_class = np.array([own[p.wears_as][m] for p, m in zip(each, machine, strict=True)])
    return np.asarray(np.exp(shared[machine] + by_class - power * variance / 2))


def steepness(part: Part) -> float:
    """The shape of the Weibull law that has about the part's unevenness (Justus et al. 1978).

    The fit is common practice in wind engineering: shape = unevenness ** -1.086.
    """
    return float(part.unevenness**-1.086)


def _machines(
    world: World, sites: list[str], first_day: int, rng: np.random.Generator
) -> pd.DataFrame:
    count = int(rng.integers(*_up_to(world.machines)))
    old = first_day - WARM_UP
    starts = np.full(count, first_day if world.all_new else old)
    late = rng.random(count) < world.late
    starts[late] = rng.integers(first_day // 2, -30, late.sum())
    before = rng.uniform(*world.hours, count)
    idle = rng.random(count) < world.idle
    hours = np.where(idle, rng.uniform(1.5, 5.0, count), before)
    moves = np.where(
        rng.random(count) < world.moved, rng.integers(min(first_day + 120, -60), -59, count), 10_000
    )
    table = pd.DataFrame(
        {
            "machine": [f"S{number:03d}" for number in range(count)],
            "site": [sites[number % len(sites)] for number in range(count)],
            "starts": starts,
            "hours": hours,
            "hours_before": before,
            "moves": moves,
            "planned": False,
        }
    )
    new = [f"N{number:03d}" for number in range(world.newcomers)]
    hours = np.round(rng.uniform(*world.hours, len(new)))
    fresh = pd.DataFrame(
        {
            "machine": new,
            "site": sites[0],
            "starts": 1,
            "hours": hours,
            "hours_before": hours,
            "moves": 10_000,
            "planned": True,
        }
    )
    return pd.concat([table, fresh], ignore_index=True) if new else table


def make_places(site: list[int], rng: np.random.Generator) -> pd.DataFrame:
    """Two blades and a deck a machine; `site` is each machine's."""
    rows: list[tuple[int, str, Part, int]] = []
    decks = list(DECKS)
    for machine in range(len(site)):
        front = len(rows)
        deck = decks[int(rng.random() < 0.5)]
        rows += [
            (machine, "front blade", POSITIONS["front blade"], front + 1),
            (machine, "rear blade", POSITIONS["rear blade"], front),
            (machine, deck, DECKS[deck], -1),
        ]
    return pd.DataFrame(
        {
            "machine": machine,
            "site": site[machine],
            "position": position,
            "part": part.name,
            "partner": partner,
            "kind": part.kind,
            "wears_as": part.wears_as,
            "edges": part.edges,
            "pieces": part.pieces,
            "unevenness": part.unevenness,
        }
        for machine, position, part, partner in rows
    )


def _shares(
    world: World,
    site_count: int,
    machines: pd.DataFrame,
    sites: list[str],
    rng: np.random.Generator,
) -> np.ndarray:
    """One to three floors a machine, more of those that its site has much of."""
    if world.one_floor:
        return np.tile([1.0, *[0.0] * (len(FLOORS) - 1)], (2, len(machines), 1))
    liking = rng.dirichlet(np.full(len(FLOORS), 1.5), site_count)
    shares = np.zeros((2, len(machines), len(FLOORS)))
    for number, site in enumerate(machines["site"]):
        here = liking[sites.index(site)] + 0.05
        for after in (0, 1):
            floors = rng.choice(
                len(FLOORS), int(rng.integers(1, 4)), replace=False, p=here / here.sum()
            )
            shares[after, number, floors] = np.round(rng.dirichlet(np.full(len(floors), 2.0)), 2)
    return shares / shares.sum(axis=2, keepdims=True)


def _as_lived(part: Part, world: World) -> Part:
    return replace(
        part,
        life=part.life * world.life_factor.get(part.kind, 1.0),
        unevenness=world.unevenness or part.unevenness,
        hours_to_damage=part.hours_to_damage / world.damage,
    )


def _classes(parts: dict[str, Part]) -> list[str]:
    return sorted({part.wears_as for part in parts.values()})


def _up_to(ends: tuple[int, int]) -> tuple[int, int]:
    return ends[0], ends[1] + 1


def stranger_sites(fleet: Fleet, count: int, machines: int = 5) -> Fleet:
    """Sites that nobody has measured, all with the same new machines on the same floors.

    Each has a wear, a damage, habits and machines of its own, as sites of that world have.
    """
    world = replace(
        fleet.world, sites=(1, 1), machines=(machines, machines), all_new=True, weeks=(0,)
    )
    model = make_fleet(world, fleet.seed + 50_000)
    rng = np.random.default_rng([fleet.seed, 20263])
    sites = [f"stranger {number}" for number in range(count)]
    number = np.repeat(np.arange(count), len(model.places))
    places = pd.concat([model.places] * count, ignore_index=True)
    places = places.assign(
        machine=places["machine"] + machines * number,
        site=number,
        partner=np.where(
            places["partner"] >= 0, places["partner"] + len(model.places) * number, -1
        ),
    )
    fleet_machines = pd.concat([model.machines] * count, ignore_index=True)
    speed = machine_speeds(world, places, fleet.parts, rng)
    speed = speed * np.exp(rng.normal(0, world.site_wear, count))[number]
    return replace(
        model,
        as_of=fleet.as_of,
        machines=fleet_machines.assign(
            site=np.repeat(sites, machines), planned=True, hours=fleet_machines["hours"].round()
        ),
        places=places,
        sites=sites,
        policies=[world.policy] * count,
        shares=np.tile(model.shares, (1, count, 1)),
        wear=speed[:, None] * usual_wear(places, fleet.parts),
        damage=np.exp(rng.normal(0, world.site_damage, count))[number]
        / np.array([fleet.parts[part].hours_to_damage for part in places["part"]]),
        turns=_habits(count, rng),
        lives=fleet.lives,
        swing=np.zeros(count),
    )


def usual_wear(places: pd.DataFrame, parts: dict[str, Part]) -> np.ndarray:
    """[place, floor]: share of a mean endurance that an hour takes at usual wear [1/h]."""
    return np.array(
        [[1 / life_on(parts[part], floor) for floor in FLOORS] for part in places["part"]]
    )


def _habits(count: int, rng: np.random.Generator) -> np.ndarray:
    return np.column_stack([rng.uniform(0.85, 1, count), rng.uniform(0.3, 0.8, count)])
