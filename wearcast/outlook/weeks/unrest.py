"""How unsteady weekly hours are: the size and memory of the week noise, the walk of the level.

Found from all machines at once, by the likelihood of the log with level, season and trend
integrated out: a season shared by a site must not be taken for a level that wanders.
"""

import numpy as np

from wearcast.outlook.weeks.level import Filtered, Unrest, filter_weeks
from wearcast.outlook.weeks.past import Past
from wearcast.outlook.weeks.season import Tree, tree_evidence

MEMORIES = np.array([0.0, 0.15, 0.3, 0.4, 0.5, 0.6, 0.75, 0.88])
WALKS = np.array([0.005, 0.01, 0.02, 0.04, 0.08, 0.15, 0.3, 0.6, 1.2])
USUAL = Unrest(noise=0.15, memory=0.3, walk=0.02)
"""Common practice, no source; the log moves it, and stands alone after a dozen machine years."""
USUAL_READINGS = 10
WALK_SD, MEMORY_SD = 1.0, 0.4
"""How far the log may move them: sd of the walk's logarithm, and of the memory."""
MOST_MACHINES = 120
"""More machines than this say nothing new about the fleet's unrest; an even choice of them does."""


def measure_unrest(
    past: Past, relative: np.ndarray, terms: np.ndarray, site: np.ndarray, tree: Tree
) -> Unrest:
    """The fleet's unrest: the best of every second pair of memory and walk, then of those near it.

    Parameters
    ----------
    past : Past
    relative : array (machines, weeks)
        Hours a week over usual hours.
    terms : array (weeks, terms)
        Level, season, slope.
    site : int array (machines,)
    tree : Tree
        How strongly season and slope scatter.
    """
    # A machine that never ran has readings, but no hours to which they would be relative.
    some = np.flatnonzero((~np.isnan(relative)).sum(axis=1) > 2)
    if not some.size:
        return USUAL
    some = some[np.unique(np.linspace(0, some.size - 1, MOST_MACHINES).round().astype(int))]
    log = (relative[some], past.span[some], past.first[some])
    # More memory and less walk look alike, so no search along one at a time finds the better.
    best = _best_of(log, terms, site[some], tree, USUAL, *_pairs(MEMORIES[::2], WALKS[::2]))
    for _ in range(2):
        best = _best_of(log, terms, site[some], tree, best, *_neighbours(best))
    return best


def _neighbours(best: Unrest) -> tuple[np.ndarray, np.ndarray]:
    """Pairs of memory and walk, one step of the grid around the best so far."""
    memory = int(np.argmin(np.abs(MEMORIES - best.memory)))
    walk = int(np.argmin(np.abs(WALKS - best.walk)))
    memories = MEMORIES[max(memory - 1, 0) : memory + 2]
    walks = WALKS[max(walk - 1, 0) : walk + 2]
    return _pairs(memories, walks)


def _pairs(memories: np.ndarray, walks: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    return np.repeat(memories, len(walks)), np.tile(walks, len(memories))


def _best_of(
    log: tuple[np.ndarray, ...],
    terms: np.ndarray,
    site: np.ndarray,
    tree: Tree,
    so_far: Unrest,
    memories: np.ndarray,
    walks: np.ndarray,
) -> Unrest:
    """Best of some pairs of memory and walk, all filtered in one go."""
    size, machines = len(memories), len(site)
    relative, span, first = (np.tile(array, (size, 1)) for array in log)
    memory, walk = np.repeat(memories, machines), np.repeat(walks, machines)
    filtered = filter_weeks(relative, span, first, terms, memory, walk)
    scores, noises = np.zeros(size), np.zeros(size)
    for pair in range(size):
        own = slice(pair * machines, (pair + 1) * machines)
        scores[pair], noises[pair] = _score(filtered, own, site, tree, so_far.noise)
    unusual = (np.log(walks / USUAL.walk) / WALK_SD) ** 2 + (
        (memories - USUAL.memory) / MEMORY_SD
    ) ** 2
    best = int(np.argmax(scores - unusual / 2.0))
    return Unrest(float(noises[best]), float(memories[best]), float(walks[best]))


def _score(
    filtered: Filtered, own: slice, site: np.ndarray, tree: Tree, noise: float
) -> tuple[float, float]:
    """Log-likelihood of one pair, and the size of the noise that fits it best."""
    precision, pull, square, log_level = without_level(filtered, own)
    explained, log_spread = tree_evidence(tree, precision / noise**2, pull / noise**2, site)
    readings = int(filtered.readings[own].sum()) - len(site) + USUAL_READINGS
    usual = USUAL_READINGS * USUAL.noise**2
    left = max(square.sum() - explained * noise**2, 0.0) + usual
    spreads = filtered.log_spread[own].sum() + log_level.sum() + log_spread
    return -0.5 * (spreads + readings * np.log(left / readings)), np.sqrt(left / readings)


def without_level(
    filtered: Filtered, own: slice
) -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray]:
    """Precision and pull of season and slope, squares left and log precision of the level.

    The level (term 0) is integrated out with a flat prior; in units of the noise's variance.
    Arrays (machines, terms, terms), (machines, terms), (machines,) and (machines,), in log hours.
    """
    level = filtered.precision[own, 0, 0]
    cross, pull = filtered.precision[own, 0, 1:], filtered.pull[own]
    known = level > 0
    over = np.divide(1.0, level, out=np.zeros_like(level), where=known)
    precision = filtered.precision[own, 1:, 1:] - over[:, None, None] * (
        cross[:, :, None] * cross[:, None, :]
    )
    square = filtered.square[own] - over * pull[:, 0] ** 2
    log_level = np.log(np.where(known, level, 1.0))
    return precision, pull[:, 1:] - (over * pull[:, 0])[:, None] * cross, square, log_level
