"""What could be known at best: the coming use by someone who knows every parameter of a fleet.

The oracle knows rates, shapes, paces, habits, seasons, plans and the exact state at as-of (the wear
of each edge, the week's noise). What is left to it is chance alone: no forecast can beat its
quantiles on average; the pinball loss over the oracle's says how much having to learn costs.
"""

import numpy as np
import pandas as pd

from tests import fleets
from tests.fleets import AHEAD, QUARTER, Fleet

WALKED = (
    "shape",
    "pace",
    "rate_0",
    "rate_1",
    "damage_0",
    "damage_1",
    "planned",
    "edges",
    "early_worn",
    "early_damaged",
)


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
    known = fleet.weekly[:, fleet.now :] / np.exp(fleet.noise[:, fleet.now :])
    return known * np.exp(noise)


def use_ahead(fleet: Fleet, draws: int = 400, seed: int = 0) -> tuple[np.ndarray, np.ndarray]:
    """Pieces used in the quarter and the year after as-of, as the oracle draws them.

    Returns
    -------
    tuple of two arrays (slots, draws), pieces
    """
    rng = np.random.default_rng([fleet.seed, 7, seed])
    state = state_now(fleet)
    of = fleet.slots["machine"].to_numpy()
    total = fleets.run_hours(hours_ahead(fleet, draws, rng))[:, of].swapaxes(0, 1)
    ends = _walk(fleet, state, total[..., -1], rng)
    slot, at = ends["slot"], ends["end"] - state["now"].to_numpy().repeat(draws)[ends["slot"]]
    pieces = (
        ends["replaced"] * (ends["cause"] < 3) * fleet.slots["pieces"].to_numpy()[slot // draws]
    )
    early = at <= total[..., QUARTER].ravel()[slot]
    shape = (len(of), draws)
    quarter = np.bincount(slot, pieces * early, np.prod(shape)).reshape(shape)
    return quarter, np.bincount(slot, pieces, np.prod(shape)).reshape(shape)


def _walk(fleet, state, hours, rng):
    """Every slot and draw as a slot of its own, from as-of on."""
    draws = hours.shape[1]
    slots = {name: fleet.slots[name].to_numpy().repeat(draws) for name in WALKED}
    now, bend, edge, wear = (
        state[name].to_numpy().repeat(draws) for name in ("now", "bend", "edge", "wear")
    )
    return fleets.walk_edges(slots, now, now + hours.ravel(), bend, rng, edge, wear)
