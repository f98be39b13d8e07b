"""The best anybody could make of a log's wear: the posterior under the simulator's own prior.

Written apart from the package's fit: no Laplace, no empirical Bayes. Whoever knows how
`tests.fleets` draws its fleets (sd of lives, shapes, spreads, floor effects common and own, rear,
damage, habits) and reads the same spells has this posterior; no forecast from that log can be
sharper on average. It is sampled by Metropolis, class by class given the others, one chain a draw.

Letters: ``k`` shape, ``v`` spread of the pace z; a class's vector is log rate at mean life 1
(-log mean life) by floor, log k, log v, log of the rear factor.
"""

from dataclasses import dataclass

import numpy as np
from scipy.optimize import minimize
from scipy.special import gammaln

from tests.fleets import CLASSES, FLOOR_EFFECT, FLOORS, Fleet
from wearcast.history.story import History
from wearcast.wear.causes import CODES, LAWS
from wearcast.wear.records import ClassSpells, Wear

LIFE_SD, SHAPE_SD, SPREAD, REAR, COMMON_SD, OWN_SD, DAMAGE_SD = (
    0.3,
    0.2,
    (np.log(0.12), 0.5),
    (-0.1, 0.15),
    0.15,
    0.12,
    0.4,
)
"""What `tests.fleets` draws with, as written there."""
EARLY = {"worn": (1.5, 8.0), "torn": (2.0, 3.0)}
PLANNED = 1 / 5000.0
STEPS = 150
"""Sweeps of a chain from a draw of the Gaussian about the mode: its shape needs tens of them."""
HARSH = np.exp(0.5 * np.maximum(FLOOR_EFFECT, 0))


@dataclass(frozen=True, slots=True)
class Seen:
    """The spells of one class."""

    hours: np.ndarray
    """array (spells, floors)"""
    end_mix: np.ndarray
    rear: np.ndarray
    """array (spells,) 1.0 at a rear position"""
    worn: np.ndarray
    starts: np.ndarray
    """Row at which each machine's spells begin."""
    ends: np.ndarray
    """array (machines,) worn ends"""


def best_wear(fleet: Fleet, history: History, wear: Wear, draws: int) -> dict[str, np.ndarray]:
    """Posterior draws of everything in `wearcast.wear.records.WearDraws`, by name.

    Parameters
    ----------
    fleet : Fleet
        Only its seed is used.
    history : History
    wear : Wear
        Of it only the spells and the counts of replaced parts are used, which are the log's.
    draws : int
    """
    rng = np.random.default_rng([fleet.seed, 17])
    names = [name for name in CLASSES.index if name in wear.spells]
    seen = {name: _seen(wear.spells[name], history) for name in names}
    vectors = sample(seen, draws, rng)
    running = history.running
    slots, place = len(running), [list(FLOORS).index(floor) for floor in history.floors]
    out = {
        "rate": np.empty((slots, draws, len(place))),
        "damage": np.empty((slots, draws, len(place))),
        "off_rate": np.full((slots, draws), PLANNED),
        "off_shape": np.ones((slots, draws)),
        "stress": np.ones((running["site"].nunique(), draws, 1)),
        **{name: np.empty((slots, draws)) for name in ("shape", "pace")},
    }
    for name in names:
        mine = np.flatnonzero(running["wears_as"].eq(name))
        drawn = vectors[name]
        rates = _log_rates(drawn)
        rear = running["position"].iloc[mine].str.startswith("rear").to_numpy(float)
        out["rate"][mine] = np.exp(rates[None] + rear[:, None, None] * drawn[None, :, -1:])[
            :, :, place
        ]
        out["shape"][mine] = np.exp(drawn[:, -3])
        out["pace"][mine] = _paces(wear.spells[name], seen[name], drawn, running, mine, rng)
        torn = _damage(wear.spells[name], seen[name], name, draws, rng)
        out["damage"][mine] = torn[None, :, None] * HARSH[place]
    return out | habits_of(
        {law: _habits(wear, running, law, usual, draws, rng) for law, usual in EARLY.items()}
    )


def habits_of(early: dict[str, np.ndarray]) -> dict[str, np.ndarray]:
    """Chances (slots, draws) that a worn or torn edge takes the part with it, as `WearDraws` has
    them: alike at every edge; one taken off always does."""
    chances = np.stack([early.get(law, np.ones_like(early["worn"])) for law in LAWS], axis=1)
    return {"habit": chances[:, :, None], "habit_of": np.arange(len(chances))}


def _seen(group: ClassSpells, history: History) -> Seen:
    order = [list(history.floors).index(floor) for floor in FLOORS if floor in history.floors]
    known = [place for place, floor in enumerate(FLOORS) if floor in history.floors]
    hours = np.zeros((len(group.cause), len(FLOORS)))
    end_mix = hours.copy()
    hours[:, known] = group.hours[:, order]
    end_mix[:, known] = history.end_mix.loc[group.spell].to_numpy(float)[:, order]
    position = history.spells.loc[group.spell, "position"]
    worn = (group.cause == CODES["worn"]).astype(float)
    starts = np.flatnonzero(np.diff(group.machine, prepend=-1))
    return Seen(
        hours,
        end_mix,
        position.str.startswith("rear").to_numpy(float),
        worn,
        starts,
        np.add.reduceat(worn, starts) if len(worn) else np.zeros(0),
    )


def _log_rates(vectors: np.ndarray) -> np.ndarray:
    """Log rates by floor: array (draws, floors)."""
    return vectors[:, : len(FLOORS)] + gammaln(1 + np.exp(-vectors[:, -3]))[:, None]


def _load(seen: Seen, vectors: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Log D of each spell, and sum of D^k of each machine, by draw."""
    log_wear = np.log(seen.hours @ np.exp(_log_rates(vectors)).T)
    log_wear += seen.rear[:, None] * vectors[:, -1]
    power = np.exp(np.minimum(np.exp(vectors[:, -3]) * log_wear, 100.0))
    return log_wear, np.add.reduceat(power, seen.starts, axis=0)


def log_likelihood(seen: Seen, vectors: np.ndarray) -> np.ndarray:
    """Log-likelihood, one value a draw, pace integrated out: array (draws,)."""
    if not len(seen.worn):
        return np.zeros(len(vectors))
    log_wear, load = _load(seen, vectors)
    k, v = np.exp(vectors[:, -3]), np.exp(vectors[:, -2])
    worn = seen.worn > 0
    rate = np.log(seen.end_mix[worn] @ np.exp(_log_rates(vectors)).T)
    rate += seen.rear[worn, None] * vectors[:, -1]
    ends = (vectors[:, -3] + (k - 1) * log_wear[worn] + rate).sum(axis=0)
    count = seen.ends[:, None]
    pace = gammaln(1 / v + count) - gammaln(1 / v) + count * np.log(v)
    return ends + (pace - (1 / v + count) * np.log1p(v * load)).sum(axis=0)


def _prior(names: list[str]) -> tuple[np.ndarray, np.ndarray]:
    """Mean and covariance of all classes' vectors, laid end to end."""
    size, floors = len(FLOORS) + 3, len(FLOORS)
    mean, cov = np.zeros(size * len(names)), np.zeros((size * len(names),) * 2)
    for one, name in enumerate(names):
        own = CLASSES.loc[name]
        at = one * size
        mean[at : at + floors] = FLOOR_EFFECT - np.log(own["life"])
        mean[at + floors : at + size] = np.log(own["shape"]), SPREAD[0], REAR[0]
        cov[at : at + floors, at : at + floors] += LIFE_SD**2 + OWN_SD**2 * np.eye(floors)
        blade = own["kind"] == "blade"
        sds = np.array([SHAPE_SD, SPREAD[1], REAR[1] if blade else 1e-6])
        cov[range(at + floors, at + size), range(at + floors, at + size)] = sds**2
        for other in range(len(names)):
            to = other * size
            cov[at : at + floors, to : to + floors] += COMMON_SD**2 * np.eye(floors)
    return mean, cov


def sample(seen: dict[str, Seen], draws: int, rng: np.random.Generator) -> dict[str, np.ndarray]:
    """Posterior draws of each class's vector, one chain each."""
    names, size = list(seen), len(FLOORS) + 3
    mean, cov = _prior(names)
    precision = np.linalg.inv(cov)
    blocks = [slice(one * size, (one + 1) * size) for one in range(len(names))]
    state, roots = np.empty((draws, len(mean))), []
    for name, block in zip(names, blocks, strict=True):
        mode, scatter = _about_mode(seen[name], mean[block], cov[block, block])
        root = np.linalg.cholesky(scatter)
        state[:, block] = mode + rng.standard_normal((draws, size)) @ root.T
        roots.append(root)
    known = [log_likelihood(seen[n], state[:, b]) for n, b in zip(names, blocks, strict=True)]
    for step in range(STEPS):
        for one, (name, block) in enumerate(zip(names, blocks, strict=True)):
            off = state - mean
            scale = 2.38 / np.sqrt(size) * (0.4 if step % 3 == 2 else 1.0)
            move = scale * rng.standard_normal((draws, size)) @ roots[one].T
            tried = state[:, block] + move
            new = log_likelihood(seen[name], tried)
            # Change of the quadratic form when only this block moves.
            pulled = off @ precision[:, block]
            gain = -(move * pulled).sum(axis=1) - 0.5 * np.einsum(
                "di,ij,dj->d", move, precision[block, block], move
            )
            taken = np.log(rng.random(draws)) < new - known[one] + gain
            state[taken, block] = tried[taken]
            known[one] = np.where(taken, new, known[one])
    return {name: state[:, block] for name, block in zip(names, blocks, strict=True)}


def _about_mode(seen: Seen, mean: np.ndarray, cov: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Mode of a class by itself, and the inverse of the bend there (by differences)."""
    weight, size, step = np.linalg.inv(cov), len(mean), 0.02
    root = np.linalg.cholesky(cov)

    def heights(points):
        off = points - mean
        return log_likelihood(seen, points) - 0.5 * np.einsum("di,ij,dj->d", off, weight, off)

    # In the prior's own units, so that what is held by the prior does not stop the climb.
    found = minimize(lambda y: -heights((mean + root @ y)[None])[0], np.zeros(size), method="BFGS")
    ways = step * np.eye(size)
    shifts = np.array(
        [a * ways[i] + b * ways[j] for i in range(size) for j in range(size) for a in (1, -1)
         for b in (1, -1)]
    )  # fmt: skip
    high = heights(mean + (found.x + shifts) @ root.T).reshape(size, size, 2, 2)
    bend = -(high[..., 0, 0] - high[..., 0, 1] - high[..., 1, 0] + high[..., 1, 1]) / (4 * step**2)
    values, vectors = np.linalg.eigh((bend + bend.T) / 2)
    scatter = (vectors / np.maximum(values, 0.5)) @ vectors.T
    scatter = root @ scatter @ root.T
    return mean + root @ found.x, (scatter + scatter.T) / 2 + 1e-14 * np.eye(size)


def _paces(group, seen, vectors, running, mine, rng):
    """Pace of each slot's machine: gamma, given the parameters."""
    machine = running["machine"].iloc[mine].astype(str)
    names = sorted(set(machine))
    v = np.exp(vectors[:, -2])
    at = {name: row for row, name in enumerate(group.machines)}
    load = _load(seen, vectors)[1] if len(seen.worn) else np.zeros((0, len(v)))
    pace = {}
    for name in names:
        d, exposed = (seen.ends[at[name]], load[at[name]]) if name in at else (0.0, 0.0)
        pace[name] = rng.gamma(1 / v + d) / (1 / v + exposed)
    return np.array([pace[name] for name in machine])


def _damage(group, seen, name, draws, rng):
    """Ends by damage an hour on an even floor: from a grid of its log."""
    typical = -np.log(CLASSES.loc[name, "damage"])
    grid = typical + DAMAGE_SD * np.linspace(-5, 5, 2001)
    torn = (group.cause == CODES["damaged"]).sum()
    exposed = (seen.hours @ HARSH).sum()
    height = -0.5 * ((grid - typical) / DAMAGE_SD) ** 2 + torn * grid - exposed * np.exp(grid)
    weight = np.exp(height - height.max())
    return np.exp(rng.choice(grid, draws, p=weight / weight.sum()))


def _habits(wear, running, law, usual, draws, rng):
    """Chance to replace early, beta by site and class."""
    out = np.zeros((len(running), draws))
    for (name, site), group in running.groupby(["wears_as", "site"], sort=True):
        habit = wear.habits.get((str(name), law))
        early = total = 0.0
        if habit and str(site) in habit.site:
            at = habit.site.index(str(site))
            early, total = habit.replaced[at].sum(), habit.ends[at].sum()
        out[group.index] = rng.beta(usual[0] + early, usual[1] + total - early, draws)
    return out
