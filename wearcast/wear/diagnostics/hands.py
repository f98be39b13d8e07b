"""Whether some people or shifts tear more edges, or take them off sooner, than others do.

Each ended edge went through so much hazard of wear and of damage, by the fit: its site, floors,
part and machine are in that. Worn and torn ends by one over the hazard of the edges that ended by
one, over the same of all others, is 1 where hands make no difference. Who takes an edge off is not
always who wore it; the words say so.
"""

import numpy as np
import pandas as pd
from scipy.special import ndtr

from wearcast.history.story import History
from wearcast.wear.causes import CODES
from wearcast.wear.diagnostics.doubts import fitted_at, tear_residuals, wear_residuals
from wearcast.wear.diagnostics.speed_changes import sure_ones
from wearcast.wear.life import steepness
from wearcast.wear.posterior import at_estimate
from wearcast.wear.priors import Z90
from wearcast.wear.records import Wear

KINDS = ("by", "shift")
FEWEST = 12
"""Ends of one hand, and of the others, from which anything is said."""
COLUMNS = (
    "kind", "who", "ends", "torn", "torn_times", "torn_low", "torn_high", "worn", "life_times",
    "life_low", "life_high", "told",
)  # fmt: skip


def ends_by_hand(history: History, wear: Wear) -> pd.DataFrame:
    """Ends by who wrote them and by shift, against all others.

    Parameters
    ----------
    history : History
        Its spells tell ``by`` and ``shift`` of the change that ended them.
    wear : Wear

    Returns
    -------
    DataFrame
        kind (``by`` or ``shift``), who, ends, torn, torn_times (damage an hour over that of the
        others, like for like; nan where too few), torn_low, torn_high (90 %), worn, life_times
        (wear life until taken off over that of the others), life_low, life_high, told (``tears
        more``, ``tears less``, ``takes off sooner``, ``takes off later``, ``too few to say`` or
        blank); a row each that is written. Told is only what chance would not bring in 19 of 20
        logs, however many are compared.
    """
    if not any(history.spells[kind].ne("").any() for kind in KINDS):
        return pd.DataFrame(columns=list(COLUMNS))
    ends = _ends(history, wear)
    rows = [
        (kind, str(who), *_against(own, ends[ends[kind].ne(who) & ends[kind].ne("")]))
        for kind in KINDS
        for who, own in ends[ends[kind].ne("")].groupby(kind, sort=True)
    ]
    frame = pd.DataFrame(rows, columns=[*COLUMNS[:-1], "torn_z", "life_z"])
    chances = 2 * ndtr(-np.abs(frame[["torn_z", "life_z"]].to_numpy(float)))
    sure = sure_ones(np.nan_to_num(chances, nan=1.0).ravel()).reshape(chances.shape)
    signs = frame[["torn_z", "life_z"]].to_numpy(float) > 0
    words = [
        _words(*row)
        for row in zip(sure.tolist(), signs.tolist(), frame["torn_times"].isna(), strict=True)
    ]
    return frame.assign(told=pd.Series(words, frame.index, dtype=object))[list(COLUMNS)]


def _ends(history: History, wear: Wear) -> pd.DataFrame:
    """Worn and torn ends with the hazards that led to them: by, shift, worn, torn, wore, tore."""
    fitted = fitted_at((wear.worn, wear.torn, wear.off), wear.spells, wear.floors)
    parts = []
    for name, group in wear.spells.items():
        if not len(group.cause):
            continue
        steep = steepness(at_estimate(wear.worn, name, wear.floors).log_shape[0])
        parts.append(
            pd.DataFrame(
                {
                    "spell": group.spell,
                    "worn": group.cause == CODES["worn"],
                    "torn": group.cause == CODES["damaged"],
                    "wore": wear_residuals(name, group, fitted),
                    "tore": tear_residuals(name, group, fitted),
                    "steep": steep,
                    "ended": group.cause != CODES["running"],
                }
            )
        )
    if not parts:
        return pd.DataFrame(columns=["by", "shift", "worn", "torn", "wore", "tore", "steep"])
    ends = pd.concat(parts, ignore_index=True)
    hands = history.spells.loc[ends["spell"], list(KINDS)].reset_index(drop=True)
    return ends.join(hands)[ends["ended"]]


def _against(own: pd.DataFrame, others: pd.DataFrame) -> tuple[float, ...]:
    """The figures of one hand, and how many standard errors the logs of the ratios are off 0."""
    torn, worn = float(own["torn"].sum()), float(own["worn"].sum())
    if min(len(own), len(others)) < FEWEST:
        none = (np.nan,) * 3
        return (len(own), torn, *none, worn, *none, np.nan, np.nan)
    tears, tear_sd = _log_ratio(own, others, "torn", "tore")
    wears, wear_sd = _log_ratio(own, others, "worn", "wore")
    steep = float(own["steep"].mean())
    life, life_sd = -wears / steep, wear_sd / steep
    return (
        len(own), torn, *np.exp([tears, tears - Z90 * tear_sd, tears + Z90 * tear_sd]),
        worn, *np.exp([life, life - Z90 * life_sd, life + Z90 * life_sd]),
        tears / tear_sd, life / life_sd,
    )  # fmt: skip


def _log_ratio(
    own: pd.DataFrame, others: pd.DataFrame, count: str, hazard: str
) -> tuple[float, float]:
    """Log of ends over hazard against the others', and its standard error.

    Half an end more on both sides keeps it finite where there was none.
    """
    ends = [float(one[count].sum()) + 0.5 for one in (own, others)]
    gone = [max(float(one[hazard].sum()), 1e-9) for one in (own, others)]
    log = np.log(ends[0] / gone[0]) - np.log(ends[1] / gone[1])
    return float(log), float(np.sqrt(1 / ends[0] + 1 / ends[1]))


def _words(sure: list[bool], more: list[bool], few: bool) -> str:
    if few:
        return "too few to say"
    told = [("tears more" if more[0] else "tears less")] if sure[0] else []
    told += [("takes off later" if more[1] else "takes off sooner")] if sure[1] else []
    return ", ".join(told)
