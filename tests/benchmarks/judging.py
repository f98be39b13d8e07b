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
from tests.benchmarks import oracle, scores
from tests.fleets import AHEAD, QUARTER, Fleet
from wearcast.outlook.use import count_pieces

PERIODS = {"quarter": 7 * QUARTER, "year": 7 * AHEAD}


def forecast_of(fleet: Fleet, **asked: object) -> object:
    """What the package says to the log that the sites kept."""
    with tempfile.TemporaryDirectory() as folder:
        book = wearcast.read_logbook(fleets.write_log(fleet, Path(folder)))
    return wearcast.forecast(book, **asked)


def judge(fleet: Fleet, forecast: object, oracle_draws: int = 400) -> pd.DataFrame:
    """The rows of one fleet (see the module)."""
    at_best = dict(zip(PERIODS, oracle.use_ahead(fleet, oracle_draws), strict=True))
    rng = np.random.default_rng([fleet.seed, 11])
    said = _said(forecast)
    rows = []
    for level, where, part, mine in groups_of(fleet):
        for period, days in PERIODS.items():
            actual = np.array(float(_pieces(fleet, 1, days)[mine].sum()))
            known = at_best[period][mine].sum(axis=0)
            ours = said[level, where, part, period]
            draws = _draws(forecast, fleet, mine, days)
            rows.append(
                {
                    "seed": fleet.seed,
                    "level": level,
                    "where": where,
                    "part": part,
                    "period": period,
                    "actual": actual,
                    "mean": draws.mean(),
                    "best_mean": known.mean(),
                    "pit": scores.transform(draws, actual, rng),
                    "best_pit": scores.transform(known, actual, rng),
                    "spread": draws.std(),
                    "best_spread": known.std(),
                    "loss": scores.pinball(ours, actual),
                    "loss_oracle": scores.pinball(scores.quantiles_of(known), actual),
                    "loss_last_year": scores.pinball(
                        scores.poisson_quantiles(_last_year(fleet, mine, days)), actual
                    ),
                }
            )
    return pd.DataFrame(rows)


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


def _last_year(fleet, mine, days):
    """Use in the newest year on record (or what there is of one), scaled to the days ahead."""
    seen = min(7 * AHEAD, 7 * fleet.history)
    return _pieces(fleet, 1 - seen, 0)[mine].sum() * days / seen


def _said(forecast):
    """The forecast's quantiles by level, where, part and period."""
    frame = forecast.quantiles.sort_values("q")
    keys = ["level", "where", "part", "period"]
    frame = frame.assign(where=frame["where"].where(frame["level"] != "fleet", "all"))
    return {key: rows["pieces"].to_numpy() for key, rows in frame.groupby(keys)}


def _draws(forecast, fleet, mine, days):
    """The forecast's own draws of the pieces that these slots use."""
    slots = forecast.draws.slots
    names = fleet.machines["machine"].to_numpy()[fleet.slots["machine"].to_numpy()[mine]]
    wanted = set(zip(names, fleet.slots["position"].to_numpy()[mine], strict=True))
    ours = [pair in wanted for pair in zip(slots["machine"], slots["position"], strict=True)]
    return count_pieces(forecast.draws, np.where(ours, 0, -1), 1, days)[0]
