"""What could be known at best: the coming use by someone who knows every parameter of a fleet.

The oracle knows rates, shapes, paces, habits, seasons, plans and the exact state at as-of (the wear
of each edge, the week's noise). What is left to it is chance alone: no forecast can beat its
quantiles on average; the pinball loss over the oracle's says how much having to learn costs.
"""

import numpy as np
import pandas as pd

from tests import fleets
from tests.fleets import AHEAD, QUARTER, WALKED, Fleet


def state_now(fleet: Fleet) -> pd.DataFrame:
    """The edge at work in each slot at as-of: edge, wear so far (D), run hours at as-of."""
    of = fleet.slots["machine"].to_numpy()
    total = fleets.run_hours(fleet.weekly)
    now = total[of, fleet.now]
    spells = fleet.spells
    here = (spells["start"] <= now[spells["slot"]]) & (now[spells["slot"]] < spells["end"])
    fresh = pd.DataFrame({"edge": 1, "start": now}, index=range(len(of)))
    at_work = spells[here].set_index("slot")[["edge", "start"]].combine_first(fresh)
    bend = total[np.arange(len(total)), fleet.machines["bends"]][of]
    start = at_work["start"].to_numpy()
    before = np.clip(np.minimum(bend, now) - start, 0, None)
    slots = fleet.slots
    wear = before * slots["rate_0"] + (now - start - before) * slots["rate_1"]
    return at_work.assign(wear=wear.to_numpy(), now=now, bend=bend)


def hours_ahead(fleet: Fleet, draws: int, rng: np.random.Generator) -> np.ndarray:
    """Run hours of the weeks after as-of: array (draws, machines, weeks)."""
    noise = np.empty((draws, len(fleet.machines), AHEAD))
    last = np.broadcast_to(fleet.noise[:, fleet.now - 1], noise.shape[:2])
    fresh = rng.normal(0, fleet.noise_sd, noise.shape) * np.sqrt(1 - fleet.noise_memory**2)
    for week in range(AHEAD):
        last = noise[..., week] = fleet.noise_memory * last + fresh[..., week]
    ahead = slice(fleet.now, fleet.now + AHEAD)
    known = fleet.weekly[:, ahead] / np.exp(fleet.noise[:, ahead])
    return known * np.exp(noise)


def use_ahead(
    fleet: Fleet, draws: int = 400, seed: int = 0, weeks: tuple = (QUARTER, AHEAD)
) -> list[np.ndarray]:
    """Pieces used from as-of until so many weeks after it, as the oracle draws them.

    Parameters
    ----------
    fleet : Fleet
    draws, seed : int
    weeks : tuple of float or arrays (draws,)
        How far; a fleet is known for a year.

    Returns
    -------
    list of arrays (slots, draws), pieces, one a horizon
    """
    rng = np.random.default_rng([fleet.seed, 7, seed])
    state = state_now(fleet)
    of = fleet.slots["machine"].to_numpy()
    total = fleets.run_hours(hours_ahead(fleet, draws, rng))
    last = [_hours_by(total, horizon)[:, of].T for horizon in weeks]
    ends = _walk(fleet, state, total[:, of, -1].T, rng)
    slot, at = ends["slot"], ends["end"] - state["now"].to_numpy().repeat(draws)[ends["slot"]]
    pieces = (
        ends["replaced"] * (ends["cause"] < 3) * fleet.slots["pieces"].to_numpy()[slot // draws]
    )
    return [
        np.bincount(slot, pieces * (at <= end.ravel()[slot]), end.size).reshape(end.shape)
        for end in last
    ]


def _hours_by(total, weeks):
    """Run hours by a time in weeks, one a draw: array (draws, machines)."""
    weeks = np.broadcast_to(np.asarray(weeks, float), len(total))
    whole = np.minimum(weeks.astype(int), total.shape[2] - 2)
    row = np.arange(len(total))
    low, high = total[row, :, whole], total[row, :, whole + 1]
    return low + (weeks - whole)[:, None] * (high - low)


def _walk(fleet, state, hours, rng):
    """Every slot and draw as a slot of its own, from as-of on."""
    draws = hours.shape[1]
    slots = {name: fleet.slots[name].to_numpy().repeat(draws) for name in WALKED}
    now, bend, edge, wear = (
        state[name].to_numpy().repeat(draws) for name in ("now", "bend", "edge", "wear")
    )
    return fleets.walk_edges(slots, now, now + hours.ravel(), bend, rng, edge, wear)
