"""One fleet, one forecast, one row an answer: what was said, what happened, what could be known.

Rows stand for site x part, site x ``all``, fleet x part and fleet x ``all``, each for the quarter
(91 days) and the year (364 days) after as-of. ``loss`` is the pinball loss over 19 quantiles of the
forecast's quantiles.csv, ``loss_oracle`` the oracle's, ``loss_last_year`` that of last year's use
with Poisson spread (half a year of history is doubled).
"""

import tempfile
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pandas as pd

import wearcast
from tests import fleets
from tests.fleets import AHEAD, QUARTER, Fleet
from tests.studies.forecasts import oracle, scores
from wearcast.outlook.use import count_pieces

PERIODS = {"quarter": 7 * QUARTER, "year": 7 * AHEAD}


def forecast_of(fleet: Fleet, **asked: object) -> object:
    """What the package says to the log that the sites kept."""
    with tempfile.TemporaryDirectory() as folder:
        book = wearcast.read_logbook(fleets.write_log(fleet, Path(folder)))
    return wearcast.forecast(book, **asked)


def best_of(fleet: Fleet, draws: int = 400) -> dict[str, np.ndarray]:
    """The oracle's draws of pieces by period: arrays (slots, draws)."""
    return dict(zip(PERIODS, oracle.use_ahead(fleet, draws), strict=True))


def judge(
    fleet: Fleet,
    forecast: object,
    oracle_draws: int = 400,
    best: dict[str, np.ndarray] | None = None,
) -> pd.DataFrame:
    """The rows of one fleet (see the module); `best` saves asking the oracle anew."""
    best = best_of(fleet, oracle_draws) if best is None else best
    ours = {period: _draws(forecast, fleet, days) for period, days in PERIODS.items()}
    true = {period: _pieces(fleet, 1, days) for period, days in PERIODS.items()}
    seen = min(7 * AHEAD, 7 * fleet.history)
    daily = _pieces(fleet, 1 - seen, 0) / seen
    rng = np.random.default_rng([fleet.seed, 11])
    said = _said(forecast)
    rows = [
        {"level": level, "where": where, "part": part, "period": period}
        | _scores(
            true[period][mine].sum(),
            said[level, where, part, period],
            ours[period][mine].sum(axis=0),
            best[period][mine].sum(axis=0),
            daily[mine].sum() * PERIODS[period],
            rng,
        )
        for level, where, part, mine in groups_of(fleet)
        for period in PERIODS
    ]
    return pd.DataFrame(rows).assign(seed=fleet.seed)


def _scores(actual, said, draws, best, last_year, rng):
    """What was said, what happened, what could be known."""
    actual = np.array(float(actual))
    return {
        "actual": float(actual),
        "mean": draws.mean(),
        "best_mean": best.mean(),
        "pit": float(scores.transform(draws, actual, rng)),
        "best_pit": float(scores.transform(best, actual, rng)),
        "spread": draws.std(),
        "best_spread": best.std(),
        "loss": float(scores.pinball(said, actual)),
        "loss_oracle": float(scores.pinball(scores.quantiles_of(best), actual)),
        "loss_last_year": float(scores.pinball(scores.poisson_quantiles(last_year), actual)),
    }


def groups_of(fleet: Fleet) -> Iterator[tuple[str, str, str, np.ndarray]]:
    """Level, where, part and the slots of each row that is judged."""
    site = fleet.machines["site"].to_numpy()[fleet.slots["machine"]]
    part = fleet.slots["part"].to_numpy()
    for where in fleet.sites:
        yield "site", where, "all", np.flatnonzero(site == where)
        for name in sorted(set(part[site == where])):
            yield "site", where, name, np.flatnonzero((site == where) & (part == name))
    yield "fleet", "all", "all", np.arange(len(part))
    for name in sorted(set(part)):
        yield "fleet", "all", name, np.flatnonzero(part == name)


def _pieces(fleet, first, last):
    """Pieces really used by each slot in these days after as-of."""
    ends = fleets.timed(fleet)
    inside = ends["day"].between(first, last) & ends["replaced"]
    pieces = fleet.slots["pieces"].to_numpy()[ends["slot"]] * inside
    return np.bincount(ends["slot"], pieces, len(fleet.slots))


def _said(forecast):
    """The forecast's quantiles by level, where, part and period."""
    frame = forecast.quantiles.sort_values("q")
    keys = ["level", "where", "part", "period"]
    frame = frame.assign(where=frame["where"].where(frame["level"] != "fleet", "all"))
    return {key: rows["pieces"].to_numpy() for key, rows in frame.groupby(keys)}


def _draws(forecast, fleet, days):
    """The forecast's own draws of the pieces that each slot of the fleet uses."""
    slots = forecast.draws.slots
    names = fleet.machines["machine"].to_numpy()[fleet.slots["machine"]]
    wanted = pd.MultiIndex.from_arrays([names, fleet.slots["position"]])
    place = pd.MultiIndex.from_frame(slots[["machine", "position"]]).get_indexer(wanted)
    counts = count_pieces(forecast.draws, np.arange(len(slots)), 1, days)
    return counts[place] * (place >= 0)[:, None]
