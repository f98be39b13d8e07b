"""Why a site costs more or less in 100 run hours than the fleet: a sum of causes.

A site differs from the fleet in how many positions its machines have, which parts are on them, on
which floors, how fast they wear there (the site's and its machines' own speed, like for like), how
many edges are thrown away and how much is torn. Each of these can be its own or the fleet's; the
long-run cost (in closed form: hours over the hours that a part gives) is worked out for all 64
mixtures, draw by draw, and a cause counts by what it adds on average over all orders of exchanging
them: the Shapley value, the only share that adds up and treats causes alike (L. S. Shapley, in
Contributions to the Theory of Games II, Princeton (1953) 307-317; from memory). A single walk
through the causes would give what two do together to the one that happens to come first.

What the coming year has beyond the long run (how worn the parts are now, prices that grow, chance)
is the cause ``rest``, so that all causes add up to the difference that the cost table shows.
"""

from collections.abc import Mapping
from itertools import product
from math import factorial
from typing import NamedTuple

import numpy as np
import pandas as pd
from scipy.sparse import csr_array

from wearcast.decisions.costing.likes import ranked
from wearcast.decisions.costing.long_run import edges_given
from wearcast.decisions.costing.unit_costs import unit_costs
from wearcast.history.story import History
from wearcast.logbook.book import Logbook
from wearcast.logbook.choices import Choices
from wearcast.outlook.records import Draws
from wearcast.outlook.walking.clock import floor_stretches
from wearcast.wear.draws import draw_fleet, draw_slots
from wearcast.wear.life import Laws, first_end, speed_of
from wearcast.wear.records import Wear

CAUSES = ("positions", "parts", "floors", "wear", "edges", "damage")
REST = "rest"
MOST_SITES = 40
"""Sites that are taken apart: those farthest from the fleet."""
MOST_DRAWS = 100
MOST_SLOTS = 8_000
"""Positions that stand for the fleet: every second or third where there are more."""
SLOTS_AT_ONCE = 4_000
LEAST_HOURS = 1e-6
"""A machine that will not run still carries something."""
COLUMNS = ["site", "cause", "per_100h", "low", "high"]


def site_causes(
    cost: pd.DataFrame,
    wear: Wear,
    draws: Draws,
    history: History,
    book: Logbook,
    choices: Choices,
) -> pd.DataFrame:
    """What makes each site dearer or cheaper than the fleet, in 100 run hours.

    Parameters
    ----------
    cost : DataFrame
        As of `wearcast.decisions.money.year_cost`.
    wear, draws, history, book, choices
        What it was made of.

    Returns
    -------
    DataFrame
        site (dearest first), cause (``positions``: how many of each kind its machines have;
        ``parts``: which parts are there; ``floors``; ``wear``: its own speed of wear; ``edges``:
        parts taken off with edges or life left; ``damage``; ``rest``), per_100h (currency in 100
        run hours more than the fleet), low and high (8 of 10 draws; nan for the rest). The causes
        of a site add up to its ``per_100h`` in `cost` less the fleet's. Empty where there are not
        two sites that cost something.
    """
    known = _per_100h(cost)
    sites = _farthest(known)
    if not sites:
        return pd.DataFrame(columns=COLUMNS)
    shares = _shapley(_mixtures(_cells(sites, wear, draws, history, book, choices)))
    rows = []
    for at, site in enumerate(sites):
        means = shares[:, at].mean(axis=1)
        low, high = np.quantile(shares[:, at], [0.1, 0.9], axis=1)
        rows += [(site, *row) for row in zip(CAUSES, means, low, high, strict=True)]
        rows.append((site, REST, known[site] - known[""] - means.sum(), np.nan, np.nan))
    return pd.DataFrame(rows, columns=COLUMNS)


def _per_100h(cost: pd.DataFrame) -> dict[str, float]:
    """Cost of 100 hours by site, dearest first, and under "" the fleet's."""
    sites, fleet = (ranked(cost, level) for level in ("site", "fleet"))
    found = dict(zip(sites["where"].astype(str), sites["per_100h"].tolist(), strict=True))
    return found | dict.fromkeys(["" for _ in fleet.index], float(fleet["per_100h"].sum()))


def _farthest(known: Mapping[str, float]) -> list[str]:
    """The sites to take apart, dearest first."""
    sites = [site for site in known if site]
    if "" not in known or len(sites) < 2:
        return []
    chosen = sorted(sites, key=lambda site: -abs(known[site] - known[""]))[:MOST_SITES]
    return [site for site in sites if site in chosen]


class _Cells(NamedTuple):
    """What the positions with one part at one site have, weighted by their run hours.

    Site 0 is the fleet. A part that a site does not have is taken as the site is on the whole, for
    the case that the fleet's machines stood there.
    """

    edges: np.ndarray
    """array (parts,)"""
    positions: np.ndarray
    """array (sites, parts) positions of the part's kind that a machine has"""
    money: np.ndarray
    """array (sites, parts) currency of a change, times the share of those with the part"""
    mix: np.ndarray
    """array (sites, parts, floors)"""
    speed: np.ndarray
    """array (sites, parts, draws) wear speed over the fleet's on like floors"""
    tear: np.ndarray
    """array (sites, parts, draws) damage over the fleet's on like floors"""
    off: np.ndarray
    """array (sites, parts, 2, draws) rate [1/h] and shape of being taken off"""
    habit: np.ndarray
    """array (sites, parts, laws, edges, draws), see `wearcast.wear.records.WearDraws.habit`"""
    rate: np.ndarray
    """array (parts, draws, floors) wear a run hour in the fleet [1/h]"""
    damage: np.ndarray
    """array (parts, draws, floors) damage a run hour in the fleet [1/h]"""
    shape: np.ndarray
    """array (parts, draws)"""


def _cells(
    sites: list[str], wear: Wear, draws: Draws, history: History, book: Logbook, choices: Choices
) -> _Cells:
    """The cells of the fleet and some sites."""
    running, names = history.running, pd.Index(sites)
    seat = pd.Index(draws.machines).get_indexer(pd.Index(running["machine"]))
    machine_hours = np.maximum(draws.hours, LEAST_HOURS)
    site = history.machines["site"].reindex(draws.machines).astype(str)
    ran = np.bincount(names.get_indexer(pd.Index(site)) + 1, machine_hours, len(sites) + 1)
    ran[0] = machine_hours.sum()
    cells, edges = _adding(running, names, np.append(machine_hours, LEAST_HOURS)[seat])
    shape = (len(sites) + 1, len(edges))
    weight = np.asarray(cells.sum(axis=1)).reshape(shape)
    mixes = floor_stretches(history.mixes, draws.machines, draws.floors, draws.as_of).mix[seat, -1]
    money = (cells @ np.sum(unit_costs(running, book, choices), axis=0)).reshape(shape)
    kinds = _of_kind(running, weight)
    drawn = _drawn(_thinned(cells, len(edges)), wear, history, choices, shape)
    return _Cells(
        edges=edges,
        positions=kinds / ran[:, None],
        money=np.where(kinds > 0, money / np.maximum(kinds, LEAST_HOURS), money[:1] / kinds[:1]),
        mix=_as_the_site((cells @ mixes).reshape(*shape, -1), weight),
        speed=_as_the_site(_against_fleet(drawn["rate"]) * weight[:, :, None], weight),
        tear=_as_the_site(_against_fleet(drawn["damage"]) * weight[:, :, None], weight),
        off=_as_the_fleet(drawn["off"], weight),
        habit=_as_the_fleet(drawn["habit"], weight),
        rate=drawn["rate"][0],
        damage=drawn["damage"][0],
        shape=drawn["shape"][0],
    )


def _adding(
    running: pd.DataFrame, sites: pd.Index, hours: np.ndarray
) -> tuple[csr_array, np.ndarray]:
    """A matrix that adds up slots by cell (sites x parts), by their hours; and edges by part."""
    parts, part = np.unique(running["part"].to_numpy(str), return_inverse=True)
    site = sites.get_indexer(pd.Index(running["site"].astype(str))) + 1
    here = np.flatnonzero(site > 0)
    row = np.concatenate([part, site[here] * len(parts) + part[here]])
    at = np.concatenate([np.arange(len(part)), here])
    size = ((len(sites) + 1) * len(parts), len(part))
    edges = running["edges"].astype(float).groupby(part).max().to_numpy()
    return csr_array((hours[at], (row, at)), shape=size), edges


def _thinned(cells: csr_array, parts: int) -> csr_array:
    """The same with fewer positions for the fleet, which has the first rows, one a part.

    Of thousands its means are as good, and to draw all of them again would take minutes.
    """
    step = -(-int(cells.indptr[parts]) // MOST_SLOTS)
    if step <= 1:
        return cells
    row = np.repeat(np.arange(cells.shape[0]), np.diff(cells.indptr))
    within = np.arange(len(row)) - cells.indptr[row]
    kept = (row >= parts) | (within % step == 0)
    return csr_array((cells.data[kept], (row[kept], cells.indices[kept])), shape=cells.shape)


def _of_kind(running: pd.DataFrame, weight: np.ndarray) -> np.ndarray:
    """Hours by site and part summed over all parts of its kind: array (sites, parts)."""
    kind = running.groupby(running["part"].astype(str))["kind"].first().astype(str).to_numpy()
    return np.asarray(weight @ (kind[:, None] == kind).astype(float))


def _drawn(
    cells: csr_array, wear: Wear, history: History, choices: Choices, shape: tuple[int, int]
) -> dict[str, np.ndarray]:
    """Mean over the slots of each cell of what is drawn for them; nan where there are none."""
    running, number = history.running, min(choices.draws, MOST_DRAWS)
    weight = np.asarray(cells.sum(axis=1)).reshape(shape)
    asked = np.unique(cells.indices)
    fleet = draw_fleet(wear, running, history.floors, choices.seed, number, None)
    sums: dict[str, np.ndarray] = {}
    for first in range(0, len(asked), SLOTS_AT_ONCE):
        some = asked[first : first + SLOTS_AT_ONCE]
        slots = draw_slots(fleet, running.iloc[some].reset_index(drop=True))
        values = {
            "rate": slots.rate * speed_of(slots.pace, slots.shape)[:, :, None],
            "damage": slots.damage,
            "shape": slots.shape,
            "off": np.stack([slots.off_rate, slots.off_shape], axis=1),
            "habit": slots.habit[slots.habit_of],
        }
        for name, each in values.items():
            added = cells[:, some] @ each.reshape(len(each), -1).astype(float)
            sums[name] = sums.get(name, 0.0) + added.reshape(*weight.shape, *each.shape[1:])
    with np.errstate(invalid="ignore"):
        return {name: one / _wide(weight, one.ndim) for name, one in sums.items()}


def _wide(weight: np.ndarray, dimensions: int) -> np.ndarray:
    return weight.reshape(weight.shape + (1,) * (dimensions - 2))


def _against_fleet(values: np.ndarray) -> np.ndarray:
    """Over the fleet's: the same on every floor; array (sites, parts, draws)."""
    return np.asarray(np.nan_to_num(values[..., 0] / values[:1, :, :, 0]))


def _as_the_site(sums: np.ndarray, weight: np.ndarray) -> np.ndarray:
    """Weighted sums as means; where a site has nothing of a part, its mean over all parts."""
    wide = _wide(weight, sums.ndim)
    whole = sums.sum(axis=1, keepdims=True) / wide.sum(axis=1, keepdims=True)
    return np.asarray(np.where(wide > 0, sums / np.maximum(wide, LEAST_HOURS), whole))


def _as_the_fleet(means: np.ndarray, weight: np.ndarray) -> np.ndarray:
    """The same with the fleet's where a site has nothing of a part."""
    return np.asarray(np.where(_wide(weight, means.ndim) > 0, means, means[:1]))


def _mixtures(cells: _Cells) -> dict[tuple[bool, ...], np.ndarray]:
    """Cost of 100 hours where each cause is the site's own (True) or the fleet's, by `CAUSES`.

    Arrays (sites, draws).
    """
    found: dict[tuple[bool, ...], np.ndarray] = {}
    for floors, wear, edges, damage in product((False, True), repeat=4):
        changes = _changes(cells, floors=floors, wear=wear, edges=edges, damage=damage)
        for positions, parts in product((False, True), repeat=2):
            carried = _own(cells.positions, positions) * _own(cells.money, parts)
            cost = 100 * (carried[:, :, None] * changes).sum(axis=1)
            found[positions, parts, floors, wear, edges, damage] = cost
    return found


def _own(values: np.ndarray, wanted: bool) -> np.ndarray:
    """The sites' values, or the fleet's in their place."""
    return values[1:] if wanted else np.broadcast_to(values[:1], values[1:].shape)


def _changes(cells: _Cells, *, floors: bool, wear: bool, edges: bool, damage: bool) -> np.ndarray:
    """Parts used up in an hour in the long run, each as the site's own or the fleet's.

    Array (sites, parts, draws).
    """
    mix = _own(cells.mix, floors)
    off = _own(cells.off, edges)
    end = first_end(
        Laws(
            np.einsum("spf,pdf->spd", mix, cells.rate) * _own(cells.speed, wear),
            cells.shape[None],
            np.ones(1),
            np.einsum("spf,pdf->spd", mix, cells.damage) * _own(cells.tear, damage),
            off[:, :, 0],
            off[:, :, 1],
        )
    )
    habit = np.moveaxis(_own(cells.habit, edges), (2, 3), (0, 1))
    return np.asarray(1 / (end.hours * edges_given(cells.edges[None, :, None], end, habit)))


def _shapley(cost: Mapping[tuple[bool, ...], np.ndarray]) -> np.ndarray:
    """What each cause adds on average over all orders: array (causes, sites, draws)."""
    size = len(CAUSES)
    shares = []
    for cause in range(size):
        share = 0.0
        for others in product((False, True), repeat=size - 1):
            before = sum(others)
            weight = factorial(before) * factorial(size - 1 - before) / factorial(size)
            with_it, without = ((*others[:cause], own, *others[cause:]) for own in (True, False))
            share = share + weight * (cost[with_it] - cost[without])
        shares.append(share)
    return np.array(shares)
