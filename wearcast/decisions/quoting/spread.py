"""What makes a quote unsure: the variance of its cost taken apart by source.

The cost that the long run would give for a draw's wear rates, pace, hours and floor mix is known
in closed form. How closely the walked cost follows it says how much is chance; how much it moves
with one source alone, the others held at their means, says how the rest is shared out.
"""

from dataclasses import replace

import numpy as np
import pandas as pd

from wearcast.decisions.quoting.long_run_cost import Known, known_of, long_run_cost
from wearcast.decisions.quoting.proposals import Fleet
from wearcast.wear.records import WearDraws

SOURCES = (
    "wear rates",
    "this site against those measured",
    "machine pace",
    "hours",
    "floor mix",
    "chance",
)


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
    drawn = known_of(fleet, mix)
    held = _held(drawn)
    site, machine = drawn.wear.site_lift, drawn.wear.machine_lift
    rates = replace(_with_lift(drawn.wear, -site - machine), pace=held.wear.pace)
    paces = replace(_with_lift(held.wear, machine), pace=drawn.wear.pace)
    alone = {
        "wear rates": replace(held, wear=rates),
        "this site against those measured": replace(held, wear=_with_lift(held.wear, site)),
        "machine pace": replace(held, wear=paces),
        "hours": replace(held, hours=drawn.hours),
        "floor mix": replace(held, mix=drawn.mix),
    }
    moved = {source: float(long_run_cost(fleet, known).var()) for source, known in alone.items()}
    followed = _squared_correlation(money, long_run_cost(fleet, drawn))
    total = sum(moved.values())
    shares = {source: followed * part / total if total else 0.0 for source, part in moved.items()}
    shares["chance"] = 1.0 - sum(shares.values())
    frame = pd.DataFrame({"source": list(shares), "share": list(shares.values())})
    return frame.sort_values("share", ascending=False, kind="stable", ignore_index=True)


def _with_lift(wear: WearDraws, lift: np.ndarray) -> WearDraws:
    """The same with every rate moved by a log."""
    return replace(wear, rate=wear.rate * np.exp(lift)[:, :, None])


def _held(drawn: Known) -> Known:
    """Every source at its mean; site, machine and pace as the usual one."""
    wear = _with_lift(drawn.wear, -drawn.wear.site_lift - drawn.wear.machine_lift)
    means = {
        name: getattr(wear, name).mean(axis=1, keepdims=True)
        for name in ("rate", "shape", "damage", "off_rate", "off_shape", "stress")
    }
    still = np.zeros((len(wear.pace), 1))
    habit = wear.habit.mean(axis=3, keepdims=True)
    return Known(
        replace(wear, **means, pace=still + 1, habit=habit, site_lift=still, machine_lift=still),
        drawn.mix.mean(axis=1, keepdims=True),
        drawn.hours.mean(axis=1, keepdims=True),
    )


def _squared_correlation(one: np.ndarray, other: np.ndarray) -> float:
    if one.std() == 0 or other.std() == 0:
        return 0.0
    return float(np.corrcoef(one, other)[0, 1] ** 2)
