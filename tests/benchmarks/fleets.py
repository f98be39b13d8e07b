"""Logbooks of any size for benchmarks: ``python -m tests.benchmarks.fleets 10000 FOLDER``.

Two years of weekly readings and four positions a machine (two blades of four edges, two brush or
pad positions), about 80 changes a machine; sites of 20 machines. Written in chunks of machines, so
that memory stays flat; the same number and seed write the same bytes.
"""

import sys
from pathlib import Path

import numpy as np
import pandas as pd

FIRST, WEEKS = pd.Timestamp("2024-11-03"), 104
SITE, CHUNK = 20, 2000
FLOORS = np.array(["broom concrete", "quarry tile", "smooth concrete", "terrazzo", "vinyl"])
FLOOR_EFFECT = np.exp([0.5, 0.6, 0.0, -0.15, -0.35])
POSITIONS = pd.DataFrame(
    [
        ("deck", "SCRUB-PAD", 2, 70.0, 2.0, 900.0),
        ("front blade", "GUM-FRONT", 4, 150.0, 2.4, 1500.0),
        ("rear blade", "GUM-REAR", 4, 170.0, 2.4, 1500.0),
        ("side brush", "SIDE-BRUSH", 1, 380.0, 3.0, 6000.0),
    ],
    columns=["position", "part", "edges", "life", "shape", "damage"],
)
PARTS = """part,name,kind,wears_as,edges,price,pack,lead_days,supplier
SCRUB-PAD,"pad, scrub",pad,scrub pad,2,5.20,5,7,Larkin Pads
GUM-FRONT,"front blade, gum",blade,gum blade,4,7.40,4,10,Brack & Weir
GUM-REAR,"rear blade, gum",blade,gum blade,4,9.80,4,10,Brack & Weir
SIDE-BRUSH,side brush,brush,side brush,1,31.00,1,14,Brack & Weir
"""


def write_fleet(machines: int, folder: Path, seed: int = 1) -> None:
    """Write a logbook of CSV files.

    Parameters
    ----------
    machines : int
        How many.
    folder : Path
        Made where it is missing; files of those names are written over.
    seed : int
        Of the whole fleet; a chunk of machines has its own stream.
    """
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "parts.csv").write_text(PARTS, encoding="utf-8")
    (folder / "settings.csv").write_text("setting,value\ncurrency,crowns\n", encoding="utf-8")
    for first in range(0, machines, CHUNK):
        numbers = np.arange(first, min(first + CHUNK, machines))
        for name, table in _tables(numbers, np.random.default_rng([seed, first])).items():
            table.to_csv(
                folder / f"{name}.csv", index=False, mode="a" if first else "w", header=not first
            )


def _tables(numbers: np.ndarray, rng: np.random.Generator) -> dict[str, pd.DataFrame]:
    names = np.array([f"M{number:06d}" for number in numbers], dtype=object)
    n = len(names)
    weekly = rng.uniform(8, 32, (n, 1)) * rng.lognormal(-0.02, 0.2, (n, WEEKS))
    hours = np.cumsum(weekly, axis=1)
    start = rng.uniform(0, 4000, (n, 1)).round(1)
    dates = (FIRST + pd.to_timedelta(7 * np.arange(WEEKS), "D")).strftime("%Y-%m-%d").to_numpy()
    share = rng.choice([0.3, 0.5, 0.7, 1.0], n)
    floors = rng.permuted(np.tile(np.arange(len(FLOORS)), (n, 1)), axis=1)[:, :2]
    effect = share * FLOOR_EFFECT[floors[:, 0]] + (1 - share) * FLOOR_EFFECT[floors[:, 1]]
    mixed = pd.DataFrame(
        {
            "machine": np.repeat(names, 2),
            "floor": FLOORS[floors.ravel()],
            "share": np.column_stack([share, (1 - share).round(1)]).ravel(),
        }
    )
    return {
        "machines": pd.DataFrame(
            {"machine": names, "site": [f"Site {number // SITE:04d}" for number in numbers]}
        ),
        "floors": mixed[mixed["share"] > 0],
        "positions": pd.DataFrame(
            {
                "machine": np.repeat(names, len(POSITIONS)),
                "position": np.tile(POSITIONS["position"], n),
                "part": np.tile(POSITIONS["part"], n),
            }
        ),
        "readings": pd.DataFrame(
            {
                "machine": np.repeat(names, WEEKS),
                "date": np.tile(dates, n),
                "hours": (start + hours).round(1).ravel(),
            }
        ),
        "changes": _changes(names, hours, effect * rng.gamma(25, 1 / 25, n), rng),
    }


def _changes(
    names: np.ndarray, hours: np.ndarray, wear: np.ndarray, rng: np.random.Generator
) -> pd.DataFrame:
    """Every end of an edge until the last reading: array operations over machines, by position."""
    parts = []
    for place in POSITIONS.itertuples():
        most = int(hours[:, -1].max() * wear.max() / place.life * 1.6) + 8
        shape = (len(names), most)
        worn = place.life / wear[:, None] * rng.weibull(place.shape, shape)
        torn = place.damage * rng.exponential(size=shape)
        ends = np.cumsum(np.minimum(worn, torn), axis=1)
        edge = _edge_after(torn < worn, place.edges)
        who, which = np.nonzero(ends < hours[:, -1:])
        week = (hours[who] < ends[who, which][:, None]).sum(axis=1)
        fits = edge[who, which] == 0
        parts.append(
            pd.DataFrame(
                {
                    "machine": names[who],
                    "date": FIRST + pd.to_timedelta(7 * week - rng.integers(0, 7, len(week)), "D"),
                    "position": place.position,
                    "action": np.where(fits, "fit", "turn"),
                    "part": np.where(fits, place.part, ""),
                    "cause": np.where((torn < worn)[who, which], "damaged", "worn"),
                }
            )
        )
    found = pd.concat(parts).sort_values(["machine", "date"], kind="stable", ignore_index=True)
    return found.assign(date=found["date"].dt.strftime("%Y-%m-%d"))


def _edge_after(torn: np.ndarray, edges: int) -> np.ndarray:
    """Number of the edge after each end, 0 a new part: a tear ends the part; (machines, ends)."""
    edge = np.empty(torn.shape, dtype=int)
    now = np.zeros(len(torn), dtype=int)
    for k in range(torn.shape[1]):
        now = np.where(torn[:, k], 0, (now + 1) % edges)
        edge[:, k] = now
    return edge


if __name__ == "__main__":
    write_fleet(int(sys.argv[1]), Path(sys.argv[2]))
