"""The yearly season and the trend: the fleet's, a site's departure from it, a machine's own.

Terms are sines and cosines of the year, and a slope. A machine's terms scatter about its site's,
a site's about the fleet's, the fleet's about none, all normal; how much at each step is found
from the log. So a machine's season is its own as far as its history supports it and its site's
beyond, and what no history has shown yet stays open within the usual size of a season.
"""

import math
from dataclasses import dataclass

import numpy as np
from scipy.sparse import csr_array

WAVES = 4
YEAR_DAYS = 365.25
SEASON_SD = (0.10, 0.05, 0.05)
"""Usual size (sd) of the first wave: of the fleet, of a site about it, of a machine about that.
Common practice, no source; the log moves it."""
TREND_SD = (0.01 / 52, 0.005 / 52, 0.01 / 52)
"""Usual size of a slope, share of the usual hours a week: 1 % a year. Small, because a slope that
is free costs more in level error than it gives where there is none; the log moves it up to 11-fold.
"""
LOG_SD = 1.0
"""How far the log may move these sizes (sd of their logarithm)."""
NO_SLOPE = 0.02
"""Share of the usual size of a slope that stands for none."""
SLOPE_SHOWS = 2.0
"""Log of the odds that the log must give a slope before one is carried on: 7 to 1."""
FACTORS = np.exp(np.linspace(-1.2, 1.2, 7))
"""Sizes of the seasons that are drawn, as factors of the likeliest."""
LEAST_WEIGHT = 0.01
"""A size less plausible than this is not drawn."""
STEPS = np.exp(np.linspace(-2.4, 2.4, 9))
SWEEPS = 2


@dataclass(frozen=True, slots=True)
class Tree:
    """How strongly terms scatter: variances, each array (terms,)."""

    fleet: np.ndarray
    site: np.ndarray
    machine: np.ndarray

    @property
    def whole(self) -> np.ndarray:
        """Variance of a lone machine's terms."""
        result: np.ndarray = self.fleet + self.site + self.machine
        return result


@dataclass(frozen=True, slots=True)
class _Said:
    """What the log says at one step of the tree, and what the steps below it made of the rest."""

    precision: np.ndarray
    """array (children, terms, terms)"""
    pull: np.ndarray
    """array (children, terms)"""
    explained: float = 0.0
    log_spread: float = 0.0


_UPWARDS = ("machine", "site", "fleet")


def season_terms(days: np.ndarray) -> np.ndarray:
    """Waves of the year at dates.

    Parameters
    ----------
    days : array (weeks,)
        Days since any fixed day.

    Returns
    -------
    array (weeks, 2 x WAVES)
    """
    angle = 2.0 * np.pi * days[:, None] / YEAR_DAYS * np.arange(1, WAVES + 1)
    return np.concatenate([np.cos(angle), np.sin(angle)], axis=1)


def size_tree(precision: np.ndarray, pull: np.ndarray, site: np.ndarray, trend: bool) -> Tree:
    """How strongly terms scatter at each step, from the log (empirical Bayes).

    Parameters
    ----------
    precision : array (machines, terms, terms)
    pull : array (machines, terms)
    site : int array (machines,)
        Site of each machine, from 0 on.
    trend : bool
        The last term is a slope.
    """
    size = np.ones((2, 3))
    for _ in range(SWEEPS):
        for kind in range(2 if trend else 1):
            for step in range(3):
                size[kind, step] = _best_size(size, (kind, step), precision, pull, site, trend)
    sloped = _tree(size, precision.shape[1], trend)
    level = _tree(size * np.array([[1.0], [NO_SLOPE]]), precision.shape[1], trend)
    # A slope that is not there costs more than one that is overlooked: two years of a season
    # and noise leave so much room for one that all the levels would be unsure.
    with_slope, without = (
        _evidence(_passed(_Said(precision, pull), _UPWARDS, tree, site)) for tree in (sloped, level)
    )
    return sloped if with_slope - without > SLOPE_SHOWS else level


def plausible_trees(
    tree: Tree, precision: np.ndarray, pull: np.ndarray, site: np.ndarray
) -> tuple[tuple[Tree, ...], np.ndarray]:
    """Trees with seasons of other sizes than the likeliest, and how plausible each one is.

    A history under a year says little about how large seasons are: to take the likeliest size for
    the true one would make the year ahead look surer than it is. With years of history one remains.
    `precision` is an array (machines, terms, terms), `pull` an array (machines, terms), `site` an
    array (machines,) of codes; the plausibilities are an array (trees,) of weights that sum to 1.
    """
    trees = [_sized(tree, factor) for factor in FACTORS]
    said = _passed(_Said(precision, pull), _UPWARDS[:1], tree, site)
    logs = np.array(
        [_evidence(_passed(said, _UPWARDS[1:], one, site)) + _log_prior(one) for one in trees]
    )
    weights = np.exp(logs - logs.max())
    weights = np.where(weights >= LEAST_WEIGHT * weights.sum(), weights, 0.0)
    kept = np.flatnonzero(weights)
    return tuple(trees[place] for place in kept), weights[kept] / weights.sum()


def _sized(tree: Tree, factor: float) -> Tree:
    """The tree with seasons of fleet and sites larger by a factor; slopes stay.

    The many machines of a log tell well how much they scatter about their site.
    """
    grown = np.where(np.arange(len(tree.fleet)) < 2 * WAVES, factor**2, 1.0)
    return Tree(tree.fleet * grown, tree.site * grown, tree.machine)


def _log_prior(tree: Tree) -> float:
    """Log of how plausible the sizes of the seasons are before the log."""
    first = np.sqrt([tree.fleet[0], tree.site[0], tree.machine[0]])
    return -0.5 * float(((np.log(first / np.array(SEASON_SD)) / LOG_SD) ** 2).sum())


def _best_size(
    size: np.ndarray,
    which: tuple[int, int],
    precision: np.ndarray,
    pull: np.ndarray,
    site: np.ndarray,
    trend: bool,
) -> float:
    """Best of a row of sizes for one step of the tree, the others held."""
    below, above = _UPWARDS[: 2 - which[1]], _UPWARDS[2 - which[1] :]
    held = _tree(size, precision.shape[1], trend)
    said = _passed(_Said(precision, pull), below, held, site)
    scores = []
    for step in STEPS:
        tried = size.copy()
        tried[which] = step
        tree = _tree(tried, precision.shape[1], trend)
        unusual = (np.log(step) / LOG_SD) ** 2
        scores.append(_evidence(_passed(said, above, tree, site)) - unusual / 2.0)
    return float(STEPS[int(np.argmax(scores))])


def _evidence(said: _Said) -> float:
    """Log-likelihood of the log, given the tree it was passed up, up to a constant."""
    return (said.explained - said.log_spread) / 2.0


def _tree(size: np.ndarray, terms: int, trend: bool) -> Tree:
    """Variances of all terms; the waves of a season get smaller as they get shorter."""
    shrink = np.tile(1.0 / np.arange(1, WAVES + 1), 2)
    sds = []
    for step in range(3):
        waves = SEASON_SD[step] * size[0, step] * shrink
        slope = [TREND_SD[step] * size[1, step]] if trend else []
        sds.append(np.concatenate([waves, slope])[:terms])
    return Tree(*(sd**2 for sd in sds))


def tree_evidence(
    tree: Tree, precision: np.ndarray, pull: np.ndarray, site: np.ndarray
) -> tuple[float, float]:
    """Squares that the tree explains, and its log variance; half their difference is the evidence.

    Both up to a constant, at unit variance of what ``precision`` and ``pull`` are scaled by: an
    array (machines, terms, terms) and one (machines, terms). `site`: array (machines,), codes.
    """
    whole = _passed(_Said(precision, pull), _UPWARDS, tree, site)
    return whole.explained, whole.log_spread


def _passed(said: _Said, steps: tuple[str, ...], tree: Tree, site: np.ndarray) -> _Said:
    """The same after some steps up, of which the sizes of others are no part."""
    for step in steps:
        up, pull, explained, log_spread = _pass_up(said.precision, said.pull, getattr(tree, step))
        if step == "machine":
            up, pull = _sum_sites(up, pull, site)
        elif step == "site":
            up, pull = up.sum(axis=0)[None], pull.sum(axis=0)[None]
        said = _Said(
            up,
            pull,
            said.explained + float(explained.sum()),
            said.log_spread + float(log_spread.sum()),
        )
    return said


def _sum_sites(
    precision: np.ndarray, pull: np.ndarray, site: np.ndarray
) -> tuple[np.ndarray, np.ndarray]:
    """What all machines of a site say together."""
    sites, machines = int(site.max(initial=-1)) + 1, len(site)
    adding = csr_array((np.ones(machines), (site, np.arange(machines))), (sites, machines))
    total = adding @ precision.reshape(machines, math.prod(precision.shape[1:]))
    return total.reshape(sites, *precision.shape[1:]), adding @ pull


def _pass_up(
    precision: np.ndarray, pull: np.ndarray, variance: np.ndarray
) -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray]:
    """What a child says about its parent: precision, pull; what the step explains, log variance."""
    spread = np.eye(len(variance)) + variance[:, None] * precision
    both = np.concatenate([variance[:, None] * precision, (variance * pull)[:, :, None]], axis=2)
    solved = np.linalg.solve(spread, both)
    up = precision - precision @ solved[:, :, :-1]
    pull_up = pull - (precision @ solved[:, :, -1:])[:, :, 0]
    log_spread = np.linalg.slogdet(spread)[1]
    explained = np.einsum("mi,mi->m", pull, solved[:, :, -1])
    return (up + np.swapaxes(up, 1, 2)) / 2.0, pull_up, explained, log_spread


def season_kept(tree: Tree, precision: np.ndarray) -> np.ndarray:
    """Factor by which the yearly wave of a machine's own past is shrunk: array (machines,).

    Prior variance over prior and error variance, the rule of partial pooling: near 0 where the past
    says nothing, near 1 after years of it. What a machine's site and fleet show comes on top.
    """
    yearly = np.array([0, WAVES])
    known = tree.whole[yearly] * precision[:, yearly, yearly]
    result: np.ndarray = (known / (1.0 + known)).mean(axis=1)
    return result


def draw_fleet(
    tree: Tree, precision: np.ndarray, pull: np.ndarray, site: np.ndarray, dice: np.ndarray
) -> np.ndarray:
    """Terms of the fleet: array (draws, terms); dice: standard normal, of the same shape."""
    machine = _pass_up(precision, pull, tree.machine)
    sites = _pass_up(*_sum_sites(machine[0], machine[1], site), tree.site)
    parent = np.zeros((1, *dice.shape))
    result: np.ndarray = draw_child(
        tree.fleet, sites[0].sum(axis=0)[None], sites[1].sum(axis=0)[None], parent, dice[None]
    )[0]
    return result


def draw_sites(
    tree: Tree,
    precision: np.ndarray,
    pull: np.ndarray,
    site: np.ndarray,
    fleet: np.ndarray,
    dice: np.ndarray,
) -> np.ndarray:
    """Terms of each site, given the fleet's: array (sites, draws, terms)."""
    machine = _pass_up(precision, pull, tree.machine)
    totals = _sum_sites(machine[0], machine[1], site)
    return draw_child(tree.site, *totals, np.broadcast_to(fleet, dice.shape), dice)


def draw_child(
    variance: np.ndarray,
    precision: np.ndarray,
    pull: np.ndarray,
    parent: np.ndarray,
    dice: np.ndarray,
) -> np.ndarray:
    """Terms of children drawn given their parents' terms.

    Parameters
    ----------
    variance : array (terms,)
        Scatter of the children about their parent.
    precision, pull : arrays (children, terms, terms) and (children, terms)
        What is known of each child alone.
    parent, dice : arrays (children, draws, terms)
        Terms of the parent; standard normal numbers.
    """
    spread = np.eye(len(variance)) + variance[:, None] * precision
    cov = np.linalg.solve(spread, np.broadcast_to(np.diag(variance), spread.shape))
    cov = (cov + np.swapaxes(cov, 1, 2)) / 2.0
    root = np.linalg.cholesky(cov + 1e-9 * np.diag(variance) + 1e-18 * np.eye(len(variance)))
    surprise = pull[:, None, :] - parent @ precision
    result: np.ndarray = parent + surprise @ cov + dice @ np.swapaxes(root, 1, 2)
    return result
