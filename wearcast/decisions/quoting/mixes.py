"""Floor mixes that are not known for sure: shares drawn between their lowest and highest.

A proposal may give ``share_low`` and ``share_high`` beside a share. What is not known about a
building is not known for all its machines alike, so one draw moves a floor's share at a site for
every machine there. The walk takes one mix at a time: the draws are dealt to a few mixes.
"""

from collections.abc import Iterator

import numpy as np
import pandas as pd

from wearcast.history.story import History
from wearcast.logbook.book import Logbook
from wearcast.wear.streams import machine_stream

MIXES = 25


def possible_mixes(book: Logbook, history: History, seed: int) -> list[pd.DataFrame]:
    """Floor shares by machine and since, as in the history: one frame, or `MIXES` drawn ones.

    A share is triangular between low and high with its peak at the share itself, one stratum a
    mix (a Latin square), and the shares of a machine are scaled to 1 again.
    """
    ranged = book.floors.dropna(subset=["share_low", "share_high"], how="all")
    if ranged.empty:
        return [history.mixes]
    sites = history.machines["site"]
    places = sorted(
        {(sites.get(m, ""), f) for m, f in zip(ranged["machine"], ranged["floor"], strict=True)}
    )
    chances = {
        place: _strata(machine_stream(seed, place[0], f"share of {place[1]}")) for place in places
    }
    return [_mix(ranged, history, sites, chances, number) for number in range(MIXES)]


def _strata(stream: np.random.Generator) -> np.ndarray:
    """One chance in each of `MIXES` equal slices, shuffled."""
    chances: np.ndarray = (np.arange(MIXES) + stream.random(MIXES)) / MIXES
    return stream.permutation(chances)


def _mix(
    ranged: pd.DataFrame,
    history: History,
    sites: pd.Series,
    chances: dict[tuple[str, str], np.ndarray],
    number: int,
) -> pd.DataFrame:
    mixes = history.mixes.copy()
    floors = list(history.floors)
    for name, rows in ranged.groupby("floor"):
        floor = str(name)
        each = rows.drop_duplicates("machine").set_index("machine")[["share_low", "share_high"]]
        here = mixes["machine"].isin(each.index)
        machines = mixes["machine"][here]
        low, high = each.reindex(machines).to_numpy(float).T
        peak = mixes[floor][here].to_numpy(float)
        chance = np.array([chances[(sites.get(m, ""), floor)][number] for m in machines])
        drawn = triangular(
            chance,
            np.fmin(np.where(np.isnan(low), 0.0, low), peak),
            peak,
            np.fmax(np.where(np.isnan(high), 1.0, high), peak),
        )
        mixes[floor] = mixes[floor].mask(here, pd.Series(drawn, index=machines.index))
    total = mixes[floors].sum(axis=1)
    mixes[floors] = mixes[floors].div(total.where(total > 0, 1.0), axis=0)
    return mixes


def triangular(
    chance: np.ndarray, low: np.ndarray, peak: np.ndarray, high: np.ndarray
) -> np.ndarray:
    """The triangular distribution's quantile at a chance; arrays of one shape."""
    width = np.maximum(high - low, 1e-12)
    left = (peak - low) / width
    rising = low + np.sqrt(chance * width * (peak - low))
    falling = high - np.sqrt((1 - chance) * width * (high - peak))
    return np.asarray(np.where(chance < left, rising, falling))


def dealt(mixes: int, draws: int) -> np.ndarray:
    """Number of the mix that each draw takes; array (draws,)."""
    return np.arange(draws) % mixes


def batches(mix: np.ndarray) -> Iterator[tuple[int, np.ndarray]]:
    """Each mix with the draws that take it; `mix` is an array (draws,) of their numbers."""
    for number in np.unique(mix):
        yield int(number), np.flatnonzero(mix == number)
