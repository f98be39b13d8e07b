"""The best anybody could make of a log's hours: the posterior under the simulator's own prior.

Whoever knows how `tests.fleets` draws levels, seasons and noise, and read every week's hours
exactly (more than a log holds), has this posterior. The log of the hours is linear in level and
season with noise of known size and memory, so it is Gaussian and exact, but for the season's mean,
which the level takes up. Plans give the level outright.
"""

import numpy as np

from tests.fleets import AHEAD, OWN_SEASON, SITE_SEASON, Fleet

SITE_LEVEL, OWN_LEVEL = (np.log(24.0), 0.3), 0.35
PLAN_SD = 0.005
"""What rounding and the season's mean leave open of a planned level."""
ORDERS = (1, 2)


def best_hours(fleet: Fleet, draws: int) -> np.ndarray:
    """Run hours of the weeks after as-of: array (machines, draws, weeks)."""
    rng = np.random.default_rng([fleet.seed, 23])
    machines = fleet.machines
    out = np.empty((len(machines), draws, AHEAD))
    for site in fleet.sites:
        mine = np.flatnonzero(machines["site"] == site)
        out[mine] = _site_hours(fleet, mine, draws, rng)
    weeks = np.arange(fleet.now, fleet.now + AHEAD)
    planned = machines["doubles"].to_numpy()
    out[planned] *= 2.0
    return out * (weeks >= machines["starts"].to_numpy()[:, None])[:, None, :]


def _waves(weeks: np.ndarray) -> np.ndarray:
    """Waves of the year: array (weeks, 4)."""
    turn = 2 * np.pi * 7 * weeks / 364
    columns = [wave(order * turn) for order in ORDERS for wave in (np.cos, np.sin)]
    return np.column_stack(columns)


def _site_hours(fleet: Fleet, mine: np.ndarray, draws: int, rng: np.random.Generator) -> np.ndarray:
    """One site's machines: levels and waves by the log, noise from where it stands."""
    sd, memory = fleet.noise_sd, fleet.noise_memory
    size = np.repeat(1.0 / np.array(ORDERS), 2)
    # Terms: the site's level and waves, then each machine's departure from them.
    n, width = len(mine), 5
    variance = np.concatenate(
        [
            [SITE_LEVEL[1] ** 2, *(SITE_SEASON * size) ** 2],
            *[[OWN_LEVEL**2, *(OWN_SEASON * size) ** 2]] * n,
        ]
    )
    centre = SITE_LEVEL[0] - sd**2 / 2
    precision, pull = np.diag(1 / variance), np.zeros(len(variance))
    weeks = np.arange(fleet.now)
    past = np.column_stack([np.ones(fleet.now), _waves(weeks)])
    seen = slice(fleet.now - fleet.history, fleet.now)
    white = _whitener(fleet.history, memory) / sd
    for row, machine in enumerate(mine):
        at = [*range(width), *range(width * (row + 1), width * (row + 2))]
        regressors = np.zeros((0, width))
        values = np.zeros(0)
        starts, doubles, level = fleet.machines.loc[machine, ["starts", "doubles", "level"]]
        if starts == 0:
            logs = np.log(fleet.weekly[machine, seen]) - centre
            regressors, values = white @ past[seen], white @ logs
        if starts > 0 or doubles:
            told = np.log(level) - sd**2 / 2 - centre - _mean_of_season()
            regressors = np.vstack([regressors, [1 / PLAN_SD, 0, 0, 0, 0]])
            values = np.append(values, told / PLAN_SD)
        design = np.hstack([regressors, regressors])
        precision[np.ix_(at, at)] += design.T @ design
        pull[at] += design.T @ values
    cov = np.linalg.inv(precision)
    root = np.linalg.cholesky((cov + cov.T) / 2)
    terms = cov @ pull + rng.standard_normal((draws, len(pull))) @ root.T
    ahead = np.column_stack([np.ones(AHEAD), _waves(np.arange(fleet.now, fleet.now + AHEAD))])
    out = np.empty((n, draws, AHEAD))
    for row, machine in enumerate(mine):
        own = terms[:, :width] + terms[:, width * (row + 1) : width * (row + 2)]
        if fleet.machines.loc[machine, "starts"] == 0:
            last = np.log(fleet.weekly[machine, fleet.now - 1]) - centre - own @ past[-1]
        else:
            last = rng.normal(0, sd, draws)
        noise = np.empty((draws, AHEAD))
        for week in range(AHEAD):
            fresh = rng.normal(0, sd * np.sqrt(1 - memory**2), draws)
            last = noise[:, week] = memory * last + fresh
        out[row] = np.exp(centre + own @ ahead.T + noise)
    return out


def _mean_of_season() -> float:
    """Log of the mean of a season over the year, as it is on average (second order)."""
    return 0.5 * (SITE_SEASON**2 + OWN_SEASON**2) * sum(order**-2 for order in ORDERS)


def _whitener(weeks: int, memory: float) -> np.ndarray:
    """Matrix that turns the noise of the weeks into independent standard numbers, times its sd."""
    white = np.eye(weeks) / np.sqrt(1 - memory**2)
    white[0, 0] = 1.0
    white[range(1, weeks), range(weeks - 1)] = -memory / np.sqrt(1 - memory**2)
    return white
