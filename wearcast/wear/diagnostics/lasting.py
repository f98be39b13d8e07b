"""How long edges lasted, against what the fit says: the product-limit curve beside the Weibull.

Hours on all floors are brought to hours on one: the floor where the class ran most. The fitted
curve is the mean over the edges seen, each at what is known of its machine's pace, so that both
curves speak of the same edges.
"""

import numpy as np
import pandas as pd

from wearcast.wear.causes import CODES
from wearcast.wear.diagnostics.curves import product_limit
from wearcast.wear.life import load
from wearcast.wear.pace import machine_exposure
from wearcast.wear.posterior import at_estimate
from wearcast.wear.records import Block, ClassSpells, Wear

FEWEST_ENDS = 5
"""A curve of fewer worn ends shows nothing."""
MOST_STEPS = 80
"""Steps of a curve beyond which none is seen any more."""


def lasting_curves(wear: Wear) -> pd.DataFrame:
    """Chance that an edge is not worn out, by hours on the class's usual floor.

    Returns
    -------
    DataFrame, one row a step
        ``wears_as``, ``floor`` (where the class ran most), ``ends`` (worn ends of the class),
        ``hours`` [h on that floor], ``good``, ``low``, ``high`` (product limit, 90 %), ``fitted``.
    """
    tables = [
        _one_class(name, group, wear.worn, wear.floors)
        for name, group in sorted(wear.spells.items())
        if (group.cause == CODES["worn"]).sum() >= FEWEST_ENDS
    ]
    columns = ["wears_as", "floor", "ends", "hours", "good", "low", "high", "fitted"]
    return pd.concat(tables, ignore_index=True) if tables else pd.DataFrame(columns=columns)


def _one_class(
    name: str, group: ClassSpells, block: Block, floors: tuple[str, ...]
) -> pd.DataFrame:
    """The rows of one wear class."""
    params = at_estimate(block, name, floors, group.effect_names)
    log_wear = np.log(group.hours @ np.exp(params.log_rates[0])) + group.effects @ params.effects[0]
    base = int(np.argmax(group.hours.sum(axis=0)))
    log_rate = params.log_rates[0, base]
    worn = group.cause == CODES["worn"]
    curve = product_limit(np.exp(log_wear - log_rate), worn)
    shown = curve.iloc[np.unique(np.linspace(0, len(curve) - 1, MOST_STEPS).astype(int))]
    run = load(np.log(shown["hours"].to_numpy()) + log_rate, params.log_shape[0])
    seen = machine_exposure(group, params, group.machines)
    edges = np.bincount(group.machine, minlength=len(group.machines))
    good = _still_good(run, params.spread[0], seen.worn[:, 0], seen.load[:, 0])
    return shown[["hours", "good", "low", "high"]].assign(
        wears_as=name,
        floor=floors[base],
        ends=int(worn.sum()),
        fitted=good @ edges / edges.sum(),
    )


def _still_good(
    load: np.ndarray, spread: float, worn: np.ndarray, exposure: np.ndarray
) -> np.ndarray:
    """Chance to last to each load D^k, at what is known of each machine; (loads, machines)."""
    if spread == 0:
        return np.repeat(np.exp(-load)[:, None], len(worn), axis=1)
    stay, pull = 1 / spread + worn, 1 / spread + exposure
    return np.asarray(np.exp(-stay * np.log1p(load[:, None] / pull)))
