"""The walk: every position and draw from as-of into the days ahead.

It runs on each machine's own run hours (`wearcast.outlook.edges`), a few machines at a time so
that memory stays low, and turns hours into days at the end; standing still costs nothing.
Time is in days after the end of as-of; something at time ``t`` falls on day ``ceil(t)``.
"""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import pandas as pd

from wearcast.history.story import History
from wearcast.logbook.choices import Choices
from wearcast.outlook.clock import Stretches, cumulate, days_at, floor_stretches, hours_by
from wearcast.outlook.edges import REFIT, Dice, Ends, lay_flat, walk_edges
from wearcast.outlook.records import Draws, HoursDraws
from wearcast.outlook.start import Speeds, Start, start_states
from wearcast.wear.draws import draw_wear
from wearcast.wear.records import Wear, WearDraws

ROWS_AT_ONCE = 40_000
"""Positions times draws walked together: keeps a chunk's arrays near the processor's cache."""
YEAR_WEEKS = 52
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
    hours: HoursDraws,
    history: History,
    choices: Choices,
    days: int,
    parts: pd.DataFrame | None = None,
) -> Draws:
    """Every coming change of every position carried at as-of, for each draw.

    Parameters
    ----------
    wear : Wear
    hours : HoursDraws
        At least ``days`` long.
    history : History
        Its ``running`` positions are walked, from ``running_exposure``, under ``mixes``.
    choices : Choices
    days : int
        How far to walk.
    parts : DataFrame, optional
        The catalogue (part, price); gives the slots their price, nan without.
    """
    drawn = draw_wear(wear, history.running, history.running_exposure, choices.seed, choices.draws)
    return walk_slots(drawn, hours, history, choices.seed, days, parts)


def walk_slots(
    wear: WearDraws,
    hours: HoursDraws,
    history: History,
    seed: int,
    days: int,
    parts: pd.DataFrame | None = None,
) -> Draws:
    """The walk for wear that has been drawn; see `walk_ahead`."""
    running = history.running
    ahead = _look_ahead(hours, history, wear)
    start = start_states(running, history.running_exposure, wear, ahead.speeds, seed)
    walked = [
        _walk_chunk(slots, running.iloc[slots], _of_slots(wear, slots), ahead, start, seed, days)
        for slots in _chunks(ahead.machine, wear.shape.shape[1])
    ]
    return _collect(walked, wear, hours, history, start, days, parts)


@dataclass(frozen=True, slots=True)
class _Ahead:
    """Hours and floors ahead, for every slot."""

    machine: np.ndarray
    """array (slots,) row of the slot's machine in the arrays below"""
    weekly_hours: np.ndarray
    """array (machines, draws, weeks) [h]"""
    stretches: Stretches
    speeds: Speeds
    """In the floor mix at as-of."""


def _look_ahead(hours: HoursDraws, history: History, wear: WearDraws) -> _Ahead:
    """Hours and floor mixes, with one more machine that stands still, for names nobody knows."""
    names = pd.Index(hours.machines)
    machine = names.get_indexer(history.running["machine"])
    machine = np.where(machine < 0, len(names), machine)
    still = np.zeros((1, *hours.hours.shape[1:]), dtype=hours.hours.dtype)
    mixes = history.mixes
    stretches = floor_stretches(mixes, (*hours.machines, ""), history.floors, history.as_of)
    now = stretches.mix[machine, 0]
    speeds = Speeds(
        np.einsum("sf,sdf->sd", now, wear.rate),
        np.einsum("sf,sdf->sd", now, wear.damage),
        wear.removal,
    )
    return _Ahead(machine, np.concatenate([hours.hours, still]), stretches, speeds)


def _chunks(machine: np.ndarray, draws: int) -> Iterator[np.ndarray]:
    """Slots by chunks; a machine's slots stay together."""
    order = np.argsort(machine, kind="stable")
    _, first, size = np.unique(machine[order], return_index=True, return_counts=True)
    chunk = np.repeat((first * draws) // ROWS_AT_ONCE, size)
    for number in np.unique(chunk):
        yield np.sort(order[chunk == number])


def _of_slots(wear: WearDraws, slots: np.ndarray) -> WearDraws:
    """The wear of some slots only."""
    return WearDraws(
        rate=wear.rate[slots],
        shape=wear.shape[slots],
        pace=wear.pace[slots],
        damage=wear.damage[slots],
        removal=wear.removal[slots],
        replaced_worn=wear.replaced_worn[slots],
        replaced_damaged=wear.replaced_damaged[slots],
    )


@dataclass(frozen=True, slots=True)
class _Walked:
    """What a chunk's walk found: arrays a use, then arrays (slots, draws) or (slots, floors)."""

    slots: np.ndarray
    slot: np.ndarray
    draw: np.ndarray
    day: np.ndarray
    cause: np.ndarray
    edges_lost: np.ndarray
    next_day: np.ndarray
    next_is_change: np.ndarray
    change_day: np.ndarray
    wear_ahead: np.ndarray


def _walk_chunk(
    slots: np.ndarray,
    running: pd.DataFrame,
    wear: WearDraws,
    ahead: _Ahead,
    start: Start,
    seed: int,
    days: int,
) -> _Walked:
    """Walk a few machines to the end of their hours and turn hours into days."""
    machines, path = np.unique(ahead.machine[slots], return_inverse=True)
    cumulative = cumulate(ahead.weekly_hours[machines])
    bounds = hours_by(cumulative, ahead.stretches.until[machines])[path]
    mix = ahead.stretches.mix[machines][path]
    most_hours = cumulative[path, :, -1]
    rows = lay_flat(wear, mix, bounds, running["edges"].to_numpy(), most_hours)
    dice = Dice(running, wear.shape.shape[1], seed)
    worn, edge = start.wear[slots].ravel(), start.edge[slots].ravel()
    ends = list(walk_edges(rows, worn, edge, dice))
    in_stretch = np.diff(np.minimum(bounds, most_hours[:, :, None]), axis=2, prepend=0.0)
    wear_ahead = np.einsum("sdt,stf,sdf->sf", in_stretch, mix, wear.rate, optimize=True)
    empty = running["age"].to_numpy(dtype=str) == "empty"
    return _dated(slots, ends, cumulative, path, empty, days, wear_ahead)


def _dated(
    slots: np.ndarray,
    ends: list[Ends],
    cumulative: np.ndarray,
    path: np.ndarray,
    empty: np.ndarray,
    days: int,
    wear_ahead: np.ndarray,
) -> _Walked:
    """Ends at run hours as uses on days, by slot, draw and day; the next end and change too."""
    draws = cumulative.shape[1]
    paths = cumulative.reshape(-1, cumulative.shape[-1])
    at = [_days_of(end, paths, path, draws, days) for end in ends]
    size = len(slots) * draws
    next_day, change_day = np.full((2, size), np.inf, dtype=np.float32)
    next_is_change = np.zeros(size, dtype=bool)
    for end, day in zip(ends[::-1], at[::-1], strict=True):
        change_day[end.row[end.replaced]] = day[end.replaced]
    if ends:
        next_day[ends[0].row] = at[0]
        next_is_change[ends[0].row] = ends[0].replaced & np.isfinite(at[0])
    refit = np.flatnonzero(np.repeat(empty, draws))
    next_day[refit] = change_day[refit] = 1.0
    next_is_change[refit] = True
    used = [end.replaced & np.isfinite(day) for end, day in zip(ends, at, strict=True)]
    row = _joined([refit, *(end.row[use] for end, use in zip(ends, used, strict=True))])
    order = np.argsort(row, kind="stable")
    day = _joined([np.ones(len(refit)), *(d[use] for d, use in zip(at, used, strict=True))])
    cause = [np.full(len(refit), REFIT), *(e.cause[u] for e, u in zip(ends, used, strict=True))]
    lost = [np.zeros(len(refit)), *(e.edges_lost[u] for e, u in zip(ends, used, strict=True))]
    return _Walked(
        slots=slots,
        slot=slots[row[order] // draws].astype(np.int32),
        draw=(row[order] % draws).astype(np.int32),
        day=day[order].astype(np.int16),
        cause=_joined(cause)[order].astype(np.int8),
        edges_lost=_joined(lost)[order].astype(np.int8),
        next_day=next_day.reshape(-1, draws),
        next_is_change=next_is_change.reshape(-1, draws),
        change_day=change_day.reshape(-1, draws),
        wear_ahead=wear_ahead,
    )


def _joined(pieces: list[np.ndarray]) -> np.ndarray:
    return np.concatenate(pieces)


def _days_of(end: Ends, paths: np.ndarray, path: np.ndarray, draws: int, days: int) -> np.ndarray:
    """Day of each end, 1 the day after as-of; inf beyond the walk."""
    slot, draw = np.divmod(end.row, draws)
    day = np.maximum(np.ceil(days_at(paths, path[slot] * draws + draw, end.hours)), 1.0)
    return np.where(day <= days, day, np.inf)


def _collect(
    walked: list[_Walked],
    wear: WearDraws,
    hours: HoursDraws,
    history: History,
    start: Start,
    days: int,
    parts: pd.DataFrame | None,
) -> Draws:
    """One record of all chunks, uses sorted by slot, draw and day."""
    uses = {
        name: np.concatenate([getattr(chunk, name) for chunk in walked] or [np.zeros(0, kind)])
        for name, kind in _USES.items()
    }
    order = np.argsort(uses["slot"], kind="stable")
    shape = wear.shape.shape
    by_slot = {
        "next_day": np.full(shape, np.inf, dtype=np.float32),
        "next_is_change": np.zeros(shape, dtype=bool),
        "change_day": np.full(shape, np.inf, dtype=np.float32),
        "wear_ahead": np.zeros((shape[0], len(history.floors))),
    }
    for chunk in walked:
        for name, array in by_slot.items():
            array[chunk.slots] = getattr(chunk, name)
    median_life = (np.log(2.0) / wear.pace) ** (1.0 / wear.shape)
    wear_ahead = by_slot.pop("wear_ahead")
    return Draws(
        as_of=history.as_of,
        days=days,
        draws=shape[1],
        slots=_slots(history.running, parts),
        floors=history.floors,
        **{name: array[order] for name, array in uses.items()},
        **by_slot,
        wear_now=(start.wear / median_life).mean(axis=1),
        wear_share=_shares(wear_ahead, history, wear),
        hours=hours.hours[:, :, :YEAR_WEEKS].sum(axis=2, dtype=float),
        weekly_hours=hours.hours.astype(np.float32, copy=False),
        machines=hours.machines,
    )


_USES = {
    "slot": np.int32,
    "draw": np.int32,
    "day": np.int16,
    "cause": np.int8,
    "edges_lost": np.int8,
}


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
    return ahead / ahead.sum(axis=1, keepdims=True)
