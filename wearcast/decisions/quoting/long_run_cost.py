"""What a proposal costs in the long run, draw by draw, in closed form.

What a draw fixes before chance (wear, hours, floors) gives a cost without walking: hours over the
mean hours that a part gives. It is what a quote is taken apart and changed by.
"""

from dataclasses import dataclass

import numpy as np
import pandas as pd

from wearcast.decisions.costing.long_run import edges_a_part
from wearcast.decisions.costing.unit_costs import unit_costs
from wearcast.decisions.quoting.proposals import Fleet
from wearcast.decisions.quoting.spent import turn_costs
from wearcast.outlook.walking.clock import floor_stretches
from wearcast.wear.life import Laws, first_end
from wearcast.wear.records import WearDraws


@dataclass(frozen=True, slots=True)
class Known:
    """What a draw fixes before chance: arrays (slots, draws), or (slots, 1) where held."""

    wear: WearDraws
    mix: np.ndarray
    """array (slots, draws or 1, floors), shares of the run hours"""
    hours: np.ndarray
    """array (slots, draws or 1), of the whole contract [h]"""


def known_of(fleet: Fleet, mix: np.ndarray) -> Known:
    """What the draws of a proposal fix; `mix` is the number of the floor mix of each, (draws,)."""
    return Known(fleet.wear, _slot_mixes(fleet, mix), _slot_hours(fleet))


def long_run_cost(fleet: Fleet, known: Known) -> np.ndarray:
    """Cost of the hours ahead at the long-run use of parts and turns; array (draws or 1,)."""
    parts, labour = long_run_costs(fleet, known)
    return np.asarray(parts + labour)


def long_run_costs(fleet: Fleet, known: Known) -> tuple[np.ndarray, np.ndarray]:
    """The same for parts and for labour; arrays (draws or 1,)."""
    wear = known.wear
    rate = np.sum(known.mix * wear.rate, axis=2)
    damage = np.sum(known.mix * wear.damage, axis=2)
    end = first_end(Laws(rate, wear.shape, wear.pace, damage, wear.off_rate, wear.off_shape))
    running = fleet.history.running
    given = edges_a_part(running["edges"].to_numpy(float), end, wear)
    parts, labour = unit_costs(running, fleet.book, fleet.choices)
    ends = known.hours / end.hours
    turning = turn_costs(running, fleet.book, fleet.choices)
    return parts @ (ends / given), (labour - turning) @ (ends / given) + turning @ ends


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
