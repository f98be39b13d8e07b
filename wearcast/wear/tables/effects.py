"""Columns of the design beyond the floors: front or rear, and end-for-end turning.

``front`` is +1/2 at a front position and -1/2 at a rear one, so that a floor's rate is the middle
of the two. ``turning`` says how regularly the part of a place is turned end for end, by turns a run
hour: 0 (never) to 1 (about as often as is usual in this log), less its mean over the spells.
"""

from collections.abc import Iterable

import numpy as np
import pandas as pd
from scipy.stats import norm

from wearcast.wear.records import Block

Z90 = float(norm.ppf(0.95))

FRONT_WORDS = {"front", "fore"}
REAR_WORDS = {"rear", "back"}
FEWEST_ENDS = 5
"""Worn ends needed on each side before an effect is looked for."""
REGULAR = 0.7
"""Share of the usual number of turns an hour from which a place counts as regular: a life that is
no whole number of intervals has a turn less, and the shorter it is the more that weighs.
"""

Places = dict[tuple[str, str, str], tuple[float, ...]]


def find_effects(spells: pd.DataFrame) -> tuple[dict[str, pd.DataFrame], Places]:
    """Effects of each wear class that the log has both sides of.

    Parameters
    ----------
    spells : DataFrame
        Spells in the fit: machine, position, wears_as, kind, edges, hours, cause, end_turns.

    Returns
    -------
    dict of DataFrame
        By wear class: a column an effect, indexed as the class's spells.
    dict
        (wear class, machine, position) -> the values for a spell there from now on.
    """
    columns: dict[str, pd.DataFrame] = {}
    places: Places = {}
    for name, group in spells.groupby("wears_as", sort=True):
        here = pd.DataFrame(index=group.index)
        ahead = group.groupby(["machine", "position"], sort=True).size().to_frame("spells")
        for effect, make in (("front", _front), ("turning", _turning)):
            values = make(group)
            if values is not None:
                here[effect] = values
                ahead[effect] = values.groupby([group["machine"], group["position"]]).last()
        columns[str(name)] = here
        if len(here.columns):
            rows = ahead[list(here.columns)].to_numpy(float)
            keys = [(str(name), str(machine), str(position)) for machine, position in ahead.index]
            places.update(zip(keys, map(tuple, rows.tolist()), strict=True))
    return columns, places


def _front(spells: pd.DataFrame) -> pd.Series | None:
    """Side of each spell's position; None unless both sides have worn ends."""
    words = spells["position"].str.lower().str.split(r"[^a-z]+", regex=True)
    side = words.map(lambda word: _side(set(word))).astype(float)
    worn = spells["cause"].eq("worn")
    enough = all((worn & (side == way)).sum() >= FEWEST_ENDS for way in (0.5, -0.5))
    return side if enough else None


def _side(words: set[str]) -> float:
    """+1/2 front, -1/2 rear, 0 neither or both."""
    return 0.5 * (bool(words & FRONT_WORDS) - bool(words & REAR_WORDS))


def _turning(spells: pd.DataFrame) -> pd.Series | None:
    """How regularly the parts of each place are turned end for end; None if not to be told.

    It is a habit of the place: turns against the chances that its run hours gave. Turns counted
    spell by spell would make long life seem due to turning, for a long spell has time for more.
    """
    if not (spells["edges"].eq(1).all() and spells["end_turns"].gt(0).any()):
        return None
    place = [spells["machine"], spells["position"]]
    turns, hours = (spells[name].groupby(place).transform("sum") for name in ("end_turns", "hours"))
    interval = float((hours / turns)[turns > 0].median())
    chances = REGULAR * hours / interval
    # A place that has hardly run leans on the fleet's habit by one chance.
    usual = float(spells["end_turns"].sum() / (REGULAR * spells["hours"].sum() / interval))
    regular = ((turns + min(usual, 1.0)) / (chances + 1)).clip(upper=1.0)
    worn = spells["cause"].eq("worn")
    enough = all((worn & side).sum() >= FEWEST_ENDS for side in (regular > 0.5, regular <= 0.5))
    return regular - regular.mean() if enough and np.ptp(regular) > 0 else None


def effect_rows(classes: Iterable[tuple[str, tuple[str, ...], Block]]) -> pd.DataFrame:
    """How far each effect changes the life of a part, with its 90 % interval.

    Parameters
    ----------
    classes : iterable of (wear class, its effects, its block)

    Returns
    -------
    DataFrame, one row an effect of a class
        ``wears_as``, ``effect``, ``life_ratio`` (``front``: front over rear; ``turning``:
        regularly turned over never), ``low``, ``high``.
    """
    found = [
        (name, effect, block, block.terms.index(f"{effect}[{name}]"))
        for name, effects, block in classes
        for effect in effects
        if f"{effect}[{name}]" in block.terms
    ]
    middle = -np.array([block.mean[at] for _, _, block, at in found])
    error = np.sqrt(np.array([block.cov[at, at] for _, _, block, at in found]))
    return pd.DataFrame(
        {
            "wears_as": pd.Series([name for name, *_ in found], dtype=object),
            "effect": pd.Series([effect for _, effect, *_ in found], dtype=object),
            "life_ratio": np.exp(middle),
            "low": np.exp(middle - Z90 * error),
            "high": np.exp(middle + Z90 * error),
        }
    )
