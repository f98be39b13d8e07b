"""Simulated fleets of known wear, as histories: a plain loop, slow and obvious."""

from dataclasses import dataclass, field

import numpy as np
import pandas as pd

from wearcast.history.story import History
from wearcast.logbook.choices import Choices

AS_OF = pd.Timestamp("2026-10-31")


KINDS = {"gum blade": "blade", "hard blade": "blade", "nylon brush": "brush"}
EDGES = {"gum blade": 4, "hard blade": 4, "nylon brush": 1}
FLOORS = ("vinyl", "concrete", "tile")
LIVES = {"gum blade": (150, 90, 60), "hard blade": (260, 170, 110), "nylon brush": (500, 320, 260)}
SHAPES = {"gum blade": 2.2, "hard blade": 2.6, "nylon brush": 3.0}
SPREADS = {"gum blade": 0.15, "hard blade": 0.15, "nylon brush": 0.08}
PLACES = {
    "front blade": "gum blade",
    "rear blade": "hard blade",
    "left brush": "nylon brush",
    "right brush": "nylon brush",
}


def _lives() -> dict[tuple[str, str], float]:
    return {
        (name, floor): float(life)
        for name, lives in LIVES.items()
        for floor, life in zip(FLOORS, lives, strict=True)
    }


@dataclass(frozen=True)
class Truth:
    """What the simulated fleet wears like."""

    kinds: dict[str, str] = field(default_factory=KINDS.copy)
    edges: dict[str, int] = field(default_factory=EDGES.copy)
    life: dict[tuple[str, str], float] = field(default_factory=_lives)
    shape: dict[str, float] = field(default_factory=SHAPES.copy)
    spread: dict[str, float] = field(default_factory=SPREADS.copy)
    torn_hours: float = 1500.0
    removed_hours: float = 5000.0
    early: float = 0.2
    positions: dict[str, str] = field(default_factory=PLACES.copy)
    mixed: float = 0.4
    """Share of the machines that run on two floors."""
    front_factor: float = 1.0
    """Rate at a front position over that elsewhere."""
    turning_factor: float = 1.0
    """Life of a brush with regular end-for-end turns over that without."""
    turners: str = "nobody"
    """Who turns brushes: ``half`` (every second machine, each `turn_hours`), or ``chance`` (every
    machine at its own rate, at any hour)."""
    turn_hours: float = 60.0

    @property
    def floors(self) -> tuple[str, ...]:
        return tuple(sorted({floor for _, floor in self.life}))

    def rate(self, name: str) -> np.ndarray:
        from scipy.special import gamma

        k = self.shape[name]
        return np.array([gamma(1 + 1 / k) / self.life[name, floor] for floor in self.floors])


def simulate(
    truth: Truth, seed: int, machines: int = 60, hours: float = 2500.0
) -> tuple[History, pd.DataFrame, dict[tuple[str, str], float]]:
    """A fleet's history, its catalogue, and the true pace by (machine, class)."""
    rng = np.random.default_rng(seed)
    rows, exposure, paces = [], [], {}
    floors = truth.floors
    for number in range(machines):
        machine = f"M{number:03d}"
        mix = np.zeros(len(floors))
        chosen = rng.choice(len(floors), 2, replace=False)
        share = rng.uniform(0.3, 0.7) if rng.random() < truth.mixed else 1.0
        mix[chosen[0]], mix[chosen[1]] = share, 1 - share
        total = hours * rng.uniform(0.5, 1.5)
        for name in truth.kinds:
            v = truth.spread[name]
            paces[machine, name] = rng.gamma(1 / v, v) if v > 0 else 1.0
        for position, name in truth.positions.items():
            z, k = paces[machine, name], truth.shape[name]
            rate = truth.rate(name) @ mix
            turned = truth.turners != "nobody" and truth.edges[name] == 1
            if turned and number % 2 == 0:
                rate /= truth.turning_factor
            if position.startswith("front"):
                rate *= truth.front_factor
            at, edge = 0.0, 1
            while True:
                ways = [
                    (rng.exponential() / z) ** (1 / k) / rate,
                    rng.exponential(truth.torn_hours),
                    rng.exponential(truth.removed_hours),
                ]
                which = int(np.argmin(ways))
                life, cause = ways[which], ("worn", "damaged", "planned")[which]
                ran, running = min(life, total - at), at + life >= total
                replaced = edge == truth.edges[name] or which == 2 or rng.random() < truth.early
                start = AS_OF - pd.Timedelta(days=(total - at) / 3.5)
                rows.append(
                    {
                        "machine": machine,
                        "site": f"S{number % 5}",
                        "position": position,
                        "part": name,
                        "wears_as": name,
                        "kind": truth.kinds[name],
                        "edge": float(edge),
                        "edges": float(truth.edges[name]),
                        "start": start,
                        "end": start + pd.Timedelta(days=ran / 3.5),
                        "hours": ran,
                        "cause": "running" if running else cause,
                        "ended": "running" if running else ("fit" if replaced else "turn"),
                        "replaced": bool(replaced and not running),
                        "pieces": 1.0,
                        "end_turns": _count_turns(truth, rng, number, ran) if turned else 0,
                        "in_fit": True,
                    }
                )
                exposure.append(mix * ran)
                if running:
                    break
                at += life
                edge = 1 if replaced else edge + 1
    spells = pd.DataFrame(rows)
    exposed = pd.DataFrame(np.array(exposure), columns=list(floors))
    return history_of(spells, exposed), catalogue(truth), paces


def _count_turns(truth: Truth, rng: np.random.Generator, number: int, ran: float) -> int:
    """End-for-end turns in so many hours."""
    if truth.turners == "half":
        return int(number % 2 == 0) * int(ran // truth.turn_hours)
    own = 2.0 * ((0.618 * number) % 1.0)
    return int(rng.poisson(own * ran / truth.turn_hours))


def catalogue(truth: Truth) -> pd.DataFrame:
    """The parts of a truth, without usual hours."""
    return pd.DataFrame(
        {
            "part": list(truth.kinds),
            "kind": list(truth.kinds.values()),
            "wears_as": list(truth.kinds),
            "edges": [float(truth.edges[name]) for name in truth.kinds],
            "usual_hours": np.nan,
        }
    )


def history_of(
    spells: pd.DataFrame, exposure: pd.DataFrame, mixes: pd.DataFrame | None = None
) -> History:
    """A history around spells; the running positions follow from them.

    All sites write to the last, and time makes no difference: no spell has a quarter.
    """
    spells = spells.assign(silent_since=AS_OF, partner=False, forward=False)
    now = spells["ended"].eq("running")
    running = spells.loc[
        now, ["machine", "site", "position", "part", "wears_as", "kind", "edge", "edges", "pieces"]
    ].reset_index(drop=True)
    running = running.assign(depot="main", age="known", silent_since=AS_OF)
    return History(
        as_of=AS_OF,
        meters=pd.DataFrame(),
        machines=pd.DataFrame(),
        spells=spells,
        exposure=exposure,
        end_mix=exposure.div(exposure.sum(axis=1), axis=0),
        running=running,
        running_exposure=exposure[now].reset_index(drop=True),
        mixes=pd.DataFrame(),
        uses=pd.DataFrame(),
        floors=tuple(exposure.columns),
        until_silence=exposure,
        running_until_silence=exposure[now].reset_index(drop=True),
        spell_quarters=pd.DataFrame({"spell": [], "quarter": [], "hours": []}),
    )


def choices(**asked: object) -> Choices:
    """Choices as they are unless asked otherwise."""
    return Choices(AS_OF, AS_OF, AS_OF, **asked)
