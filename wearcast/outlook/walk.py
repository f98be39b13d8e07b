"""The walk: every position and draw from as-of into the days ahead.

It runs on each machine's own run hours (`wearcast.outlook.walking.edges`), a few machines at a
time so that memory stays low, and turns hours into days at the end; standing still costs nothing.
Time is in days after the end of as-of; something at time ``t`` falls on day ``ceil(t)``.
"""

from dataclasses import dataclass, replace

import numpy as np
import pandas as pd

from wearcast.history.story import History
from wearcast.logbook.choices import Choices
from wearcast.outlook.hours import HoursAhead
from wearcast.outlook.mean_hours import YEAR_WEEKS, MeanHours
from wearcast.outlook.pieces import whole_machines
from wearcast.outlook.records import Block, Draws, HoursDraws
from wearcast.outlook.walking.clock import (
    DAYS_A_WEEK,
    Stretches,
    cumulate,
    floor_stretches,
    hours_by,
)
from wearcast.outlook.walking.dates import Paths, date_ends, join_blocks
from wearcast.outlook.walking.edges import Begun, Habits, Waits, lay_lanes, walk_edges
from wearcast.outlook.walking.start import Start, laws_at, start_states
from wearcast.wear.draws import draw_fleet, draw_slots, of_slots
from wearcast.wear.life import Laws, median_wear
from wearcast.wear.records import Wear, WearDraws

ROWS_AT_ONCE = 32_000
"""Positions times draws walked together: keeps a chunk's arrays near the processor's cache."""
FUTURES_AT_ONCE = 200_000
"""Positions times draws whose wear and hours are drawn together: bounds what is held of them."""
WEEKS_A_QUARTER = 13
SLOT_COLUMNS = (
    "machine",
    "site",
    "depot",
    "position",
    "part",
    "wears_as",
    "kind",
    "edges",
    "pieces",
)


def walk_ahead(
    wear: Wear,
    hours: HoursAhead,
    history: History,
    choices: Choices,
    days: int,
    parts: pd.DataFrame | None = None,
) -> Draws:
    """Every coming change of every position carried at as-of, for each draw.

    Parameters
    ----------
    wear : Wear
    hours : HoursAhead
        At least ``days`` long.
    history : History
        Its ``running`` positions are walked, from ``running_exposure``, under ``mixes``.
    choices : Choices
    days : int
        How far to walk.
    parts : DataFrame, optional
        The catalogue (part, price); gives the slots their price, nan without.
    """
    fleet = draw_fleet(wear, history.running, history.floors, choices.seed, choices.draws, parts)
    means = MeanHours(hours)
    walked = []
    machine = history.running["machine"].to_numpy(str)
    for some in whole_machines(machine, max(FUTURES_AT_ONCE // choices.draws, 1)):
        here = _at(history, some)
        drawn = draw_slots(fleet, here.running)
        runs = means.taken(here.running["machine"])
        walked.append(_walk(drawn, runs, here, choices.seed, days))
    return _draws_of(walked, means, history, choices.draws, days, parts)


def walk_slots(
    wear: WearDraws,
    hours: HoursDraws,
    history: History,
    seed: int,
    days: int,
    parts: pd.DataFrame | None = None,
) -> Draws:
    """The walk for wear and hours that have been drawn; see `walk_ahead`."""
    walked = [_walk(wear, hours, history, seed, days)]
    means = MeanHours(hours)
    return _draws_of(walked, means, history, wear.shape.shape[1], days, parts)


def _at(history: History, some: slice) -> History:
    """The same with some of the running positions, and the floors of their machines."""
    running = history.running.iloc[some].reset_index(drop=True)
    return replace(
        history,
        running=running,
        mixes=history.mixes[history.mixes["machine"].isin(running["machine"])],
        running_exposure=history.running_exposure.iloc[some].reset_index(drop=True),
    )


@dataclass(frozen=True, slots=True)
class _Walked:
    """What came of the walk of some slots."""

    block: Block
    wear_now: np.ndarray
    """array (slots,)"""
    wear_share: np.ndarray
    """array (slots, floors)"""


def _walk(wear: WearDraws, hours: HoursDraws, history: History, seed: int, days: int) -> _Walked:
    """Walk all running positions of a history, a few at a time."""
    running = history.running
    ahead = _look_ahead(hours, history, wear)
    start = start_states(running, history.running_exposure, wear, ahead.laws, seed)
    size = max(ROWS_AT_ONCE // wear.shape.shape[1], 1)
    walked = [
        _walk_some(
            np.arange(at, min(at + size, len(running))), wear, ahead, start, history, seed, days
        )
        for at in range(0, max(len(running), 1), size)
    ]
    return _Walked(
        join_blocks([block for block, _ in walked]),
        (start.wear / median_wear(wear.shape, wear.pace)).mean(axis=1),
        _shares(np.concatenate([floors for _, floors in walked]), history, wear),
    )


def _draws_of(
    walked: list[_Walked],
    means: MeanHours,
    history: History,
    draws: int,
    days: int,
    parts: pd.DataFrame | None,
) -> Draws:
    """The record of all that was walked, slot after slot."""
    hours, weekly_hours = means.of_all()
    return Draws(
        as_of=history.as_of,
        days=days,
        draws=draws,
        slots=_slots(history.running, parts),
        floors=history.floors,
        blocks=tuple(one.block for one in walked),
        wear_now=np.concatenate([one.wear_now for one in walked]),
        wear_share=np.concatenate([one.wear_share for one in walked]),
        hours=hours,
        weekly_hours=weekly_hours,
        machines=means.machines,
    )


@dataclass(frozen=True, slots=True)
class _Ahead:
    """Hours and floors ahead, for every slot."""

    machine: np.ndarray
    """array (slots,) row of the slot's machine in the arrays below"""
    weekly_hours: np.ndarray
    """array (machines, draws, weeks) [h]"""
    stretches: Stretches
    laws: Laws
    """In the floor mix at as-of; arrays (slots, draws)."""


def _look_ahead(hours: HoursDraws, history: History, wear: WearDraws) -> _Ahead:
    """Hours and floor mixes of the machines; one that nobody knows stands still."""
    names, machine = np.unique(history.running["machine"].to_numpy(str), return_inverse=True)
    known = pd.Index(hours.machines).get_indexer(pd.Index(names))
    weekly = np.zeros((len(names), *hours.hours.shape[1:]), dtype=hours.hours.dtype)
    weekly[known >= 0] = hours.hours[known[known >= 0]]
    mixes, floors = history.mixes, history.floors
    stretches = floor_stretches(mixes, tuple(names.tolist()), floors, history.as_of)
    laws = laws_at(wear, stretches.mix[machine, 0])
    return _Ahead(machine, weekly, stretches, laws)


def _stressed(hours: np.ndarray, stress: np.ndarray) -> np.ndarray:
    """Hours as edges feel them: a quarter in which everything wears faster is a longer one.

    Parameters
    ----------
    hours : array (paths, draws, weeks), h
    stress : array (paths, draws, quarters)
    """
    quarter = np.minimum(np.arange(hours.shape[2]) // WEEKS_A_QUARTER, stress.shape[2] - 1)
    return np.asarray(hours * stress[:, :, quarter])


def _walk_some(
    slots: np.ndarray,
    wear: WearDraws,
    ahead: _Ahead,
    start: Start,
    history: History,
    seed: int,
    days: int,
) -> tuple[Block, np.ndarray]:
    """Walk some slots: what becomes due, and their wear ahead by floor (slots, floors)."""
    running, twins = history.running.iloc[slots], _twins(history.running, wear.twin[slots])
    wear = of_slots(wear, slots)
    rows = len(wear.stress)
    both = ahead.machine[slots] * rows + wear.habit_of
    paths, path = np.unique(both, return_inverse=True)
    machines, stress = np.divmod(paths, rows)
    cumulative = cumulate(_stressed(ahead.weekly_hours[machines], wear.stress[stress]))
    until = ahead.stretches.until[machines]
    needed = 1 + int((until < 7.0 * ahead.weekly_hours.shape[2]).sum(axis=1).max(initial=0))
    bounds = hours_by(cumulative, until[:, :needed])[path]
    mix = ahead.stretches.mix[machines, :needed][path]
    most_hours = cumulative[path, :, -1]
    # Of the first year, so that looking farther ahead leaves the earlier days as they were.
    weeks = min(cumulative.shape[-1] - 1, YEAR_WEEKS)
    a_day = cumulative[path, :, weeks] / (DAYS_A_WEEK * weeks)
    lanes = lay_lanes(wear, mix, bounds, running["edges"].to_numpy(), most_hours, a_day)
    waits = Waits(running, twins, wear.shape.shape[1], seed)
    begun = Begun(*(array[slots].ravel() for array in (start.wear, start.hours, start.edge)))
    ends = list(walk_edges(lanes, begun, Habits(wear.habit, wear.habit_of), waits))
    empty = running["age"].to_numpy(dtype=str) == "empty"
    block = date_ends(ends, Paths(cumulative, path, empty, days))
    in_stretch = np.diff(np.minimum(bounds, most_hours[:, :, None]), axis=2, prepend=0.0)
    by_floor = np.einsum("sdt,stf,sdf->sf", in_stretch, mix, wear.rate, optimize=True)
    return block, by_floor


def _twins(running: pd.DataFrame, twin: np.ndarray) -> np.ndarray:
    """Position that each slot's edge is handled together with; "" for none."""
    positions = np.append(running["position"].to_numpy(dtype=object), "")
    return np.asarray(positions[twin], dtype=object)


def _slots(running: pd.DataFrame, parts: pd.DataFrame | None) -> pd.DataFrame:
    """The positions walked, with the price of their part."""
    slots = running[list(SLOT_COLUMNS)].reset_index(drop=True)
    if parts is None:
        return slots.assign(price=np.nan)
    price = parts.drop_duplicates("part").set_index("part")["price"]
    return slots.assign(price=slots["part"].map(price).astype(float))


def _shares(wear_ahead: np.ndarray, history: History, wear: WearDraws) -> np.ndarray:
    """Each floor's share of the wear ahead; of the latest mix where a machine will not run."""
    latest = history.mixes.sort_values(["machine", "since"], kind="stable").drop_duplicates(
        "machine", keep="last"
    )
    mix = latest.set_index("machine")[list(history.floors)].reindex(history.running["machine"])
    still = mix.fillna(1.0 / max(len(history.floors), 1)).to_numpy() * wear.rate.mean(axis=1)
    ahead = np.where(wear_ahead.sum(axis=1, keepdims=True) > 0, wear_ahead, still)
    result: np.ndarray = ahead / ahead.sum(axis=1, keepdims=True)
    return result
