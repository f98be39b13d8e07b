"""What makes a quote unsure: the variance of its cost taken apart by source.

The cost that the long run would give for a draw's wear rates, pace, hours and floor mix is known
in closed form. How closely the walked cost follows it says how much is chance; how much it moves
with one source alone, the others held at their means, says how the rest is shared out.
"""

from dataclasses import dataclass, replace

import numpy as np
import pandas as pd

from wearcast.decisions.costing.unit_costs import unit_costs
from wearcast.decisions.quoting.long_run import edge_hours, edges_a_part, turn_chance
from wearcast.decisions.quoting.proposals import Fleet
from wearcast.outlook.walking.clock import floor_stretches
from wearcast.wear.records import WearDraws

SOURCES = ("wear rates", "machine pace", "hours", "floor mix", "chance")


@dataclass(frozen=True, slots=True)
class _Known:
    """What a draw fixes before chance: arrays (slots, draws), or (slots, 1) where held."""

    wear: WearDraws
    mix: np.ndarray
    """array (slots, draws or 1, floors)"""
    hours: np.ndarray


def spread_sources(fleet: Fleet, mix: np.ndarray, money: np.ndarray) -> pd.DataFrame:
    """Shares of the variance of a contract's cost.

    Parameters
    ----------
    fleet : Fleet
    mix : int array (draws,), number of the floor mix that each draw took
    money : array (draws,), cost of the contract as walked

    Returns
    -------
    DataFrame
        source (see `SOURCES`), share (0 to 1; they sum to 1), largest first.
    """
    drawn = _Known(fleet.wear, _slot_mixes(fleet, mix), _slot_hours(fleet))
    held = _held(drawn)
    alone = {
        "wear rates": replace(held, wear=replace(drawn.wear, pace=held.wear.pace)),
        "machine pace": replace(held, wear=replace(held.wear, pace=drawn.wear.pace)),
        "hours": replace(held, hours=drawn.hours),
        "floor mix": replace(held, mix=drawn.mix),
    }
    moved = {source: float(_long_run_cost(fleet, known).var()) for source, known in alone.items()}
    followed = _squared_correlation(money, _long_run_cost(fleet, drawn))
    total = sum(moved.values())
    shares = {source: followed * part / total if total else 0.0 for source, part in moved.items()}
    shares["chance"] = 1.0 - sum(shares.values())
    frame = pd.DataFrame({"source": list(shares), "share": list(shares.values())})
    return frame.sort_values("share", ascending=False, kind="stable", ignore_index=True)


def _long_run_cost(fleet: Fleet, known: _Known) -> np.ndarray:
    """Cost of the hours ahead at the long-run use of parts; array (draws or 1,)."""
    wear = known.wear
    rate = np.sum(known.mix * wear.rate, axis=2)
    damage = np.sum(known.mix * wear.damage, axis=2)
    hours = edge_hours(rate, wear.shape, wear.pace, damage + wear.removal)
    goes_on = turn_chance(hours, damage, wear.removal, wear.replaced_worn, wear.replaced_damaged)
    running = fleet.history.running
    edges = np.broadcast_to(running["edges"].to_numpy(float)[:, None], hours.shape)
    parts, labour = unit_costs(running, fleet.book, fleet.choices)
    uses = known.hours / (hours * edges_a_part(edges, goes_on))
    return np.asarray((parts + labour) @ uses)


def _held(drawn: _Known) -> _Known:
    """Every source at its mean; the pace at 1."""
    wear = drawn.wear
    return _Known(
        WearDraws(
            rate=wear.rate.mean(axis=1, keepdims=True),
            shape=wear.shape.mean(axis=1, keepdims=True),
            pace=np.ones((len(wear.pace), 1)),
            damage=wear.damage.mean(axis=1, keepdims=True),
            removal=wear.removal.mean(axis=1, keepdims=True),
            replaced_worn=wear.replaced_worn.mean(axis=1, keepdims=True),
            replaced_damaged=wear.replaced_damaged.mean(axis=1, keepdims=True),
        ),
        drawn.mix.mean(axis=1, keepdims=True),
        drawn.hours.mean(axis=1, keepdims=True),
    )


def _slot_mixes(fleet: Fleet, mix: np.ndarray) -> np.ndarray:
    """Floor mix of each position's machine, in the end; array (slots, draws, floors)."""
    history, machines = fleet.history, fleet.hours.machines
    seat = pd.Index(machines).get_indexer(pd.Index(history.running["machine"]))
    last = [
        floor_stretches(one, machines, history.floors, history.as_of).mix[seat, -1]
        for one in fleet.mixes
    ]
    return np.stack(last, axis=1)[:, mix]


def _slot_hours(fleet: Fleet) -> np.ndarray:
    """Run hours of each position's machine in the whole contract; array (slots, draws)."""
    seat = pd.Index(fleet.hours.machines).get_indexer(pd.Index(fleet.history.running["machine"]))
    return np.asarray(fleet.hours.hours.sum(axis=2, dtype=float)[seat])


def _squared_correlation(one: np.ndarray, other: np.ndarray) -> float:
    if one.std() == 0 or other.std() == 0:
        return 0.0
    return float(np.corrcoef(one, other)[0, 1] ** 2)
