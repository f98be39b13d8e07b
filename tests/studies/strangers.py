"""A quote for a site that nobody has measured, by how far sites differ: its P80 and P90.

``python -m tests.studies.strangers --pairs 30``, ``--sd .15`` for one of them; ``--operators 18``
for pooled rates.

A pair is a log of six sites and a seventh one of five machines, whose wear, paces and habits are
drawn from the same world: it is lived 400 times over, each time as another stranger, and the share
of years that cost no more than the quoted P80 and P90 is what they cover. The mean over pairs has a
standard error that counts what the pair's log got wrong once and for all.
"""

import argparse
import tempfile
from pathlib import Path
from typing import NamedTuple

import numpy as np
import pandas as pd

import wearcast
from tests import fleets
from tests.fleets import AS_OF, CLASSES, FLOORS, Fleet

SDS = (0.0, 0.15, 0.30)
LIVES = 400
DAYS = 365


class Pair(NamedTuple):
    """What a quote covered of the strangers' true costs of a year."""

    p80: float
    p90: float
    mean: float
    """The quote's mean over the true one."""


def study(
    seed: int, site_sd: float, lives: int = LIVES, draws: int = 400, machines: int = 30
) -> Pair:
    """One log, its quote for a stranger, and many strangers' true years."""
    fleet = fleets.make_fleet(seed, machines=machines, site_sd=site_sd)
    with tempfile.TemporaryDirectory() as folder:
        book = wearcast.read_logbook(fleets.write_log(fleet, Path(folder) / "log"))
    chosen = np.random.default_rng([seed, 5]).choice(len(fleet.machines), 5, replace=False)
    quoted = wearcast.quote(proposal_of(fleet, chosen), wearcast.fit(book), years=1, draws=draws)
    costs = true_costs(fleet, chosen, site_sd, lives)
    row = quoted.total.iloc[0]
    return Pair(
        float((costs <= row["p80"]).mean()),
        float((costs <= row["p90"]).mean()),
        float(row["mean"] / costs.mean()),
    )


def proposal_of(fleet: Fleet, chosen: np.ndarray) -> wearcast.Logbook:
    """Machines like some of the log's, at a site of their own, with new parts."""
    machines = fleet.machines.iloc[chosen]
    names = machines["machine"].tolist()
    row, floor = np.nonzero(fleet.mixes[0][chosen])
    slots = fleet.slots[fleet.slots["machine"].isin(chosen)]
    return wearcast.Logbook.from_frames(
        proposal=True,
        machines=pd.DataFrame({"machine": names, "site": "new"}),
        floors=pd.DataFrame(
            {
                "machine": np.array(names)[row],
                "floor": np.array(FLOORS)[floor],
                "share": fleet.mixes[0][chosen][row, floor],
            }
        ),
        positions=slots[["position", "part", "pieces"]].assign(
            machine=fleet.machines["machine"].to_numpy()[slots["machine"]]
        ),
        parts=fleets.parts_table(),
        plans=pd.DataFrame(
            {
                "machine": names,
                "start": f"{AS_OF + pd.Timedelta(days=1):%Y-%m-%d}",
                "hours_per_week": machines["level"].tolist(),
            }
        ),
    )


def true_costs(fleet: Fleet, chosen: np.ndarray, site_sd: float, lives: int) -> np.ndarray:
    """A year's parts of so many strangers, each with an effect, paces and habits of its own."""
    rng = np.random.default_rng([fleet.seed, 6])
    one = fleet.machines.iloc[chosen].reset_index(drop=True)
    machines = pd.concat([one.assign(site=f"life {life:03d}") for life in range(lives)])
    machines = machines.reset_index(drop=True)
    place = pd.Series(np.arange(len(chosen)), index=chosen)
    own = fleet.slots[fleet.slots["machine"].isin(chosen)]
    own = own.assign(machine=own["machine"].map(place))[["machine", "position", "wears_as", "part"]]
    slots = pd.concat([own.assign(machine=own["machine"] + 5 * life) for life in range(lives)])
    mixes = np.tile(fleet.mixes[:, chosen], (1, lives, 1))
    slots = slots.reset_index(drop=True)
    slots = fleets.fill_slots(rng, slots, machines, mixes, fleet.classes)
    slots = fleets.moved_by_site(slots, machines["site"], site_sd, rng)
    hours = machines["level"].to_numpy()[slots["machine"]] * DAYS / 7
    spells = pd.DataFrame(fleets.walk_edges(slots, np.zeros(len(slots)), hours, hours, rng))
    spent = spells[spells["replaced"]]
    price = slots["wears_as"].map(CLASSES["price"]).to_numpy() * slots["pieces"].to_numpy()
    life = slots["machine"].to_numpy()[spent["slot"]] // len(chosen)
    return np.bincount(life, price[spent["slot"]], lives)


def rates_of(seed: int) -> tuple[Fleet, dict[str, object]]:
    """An operator's fleet, of a world of its own, and the rates of its log."""
    fleet = fleets.make_fleet(seed, machines=20, sites=4, site_sd=0.1)
    with tempfile.TemporaryDirectory() as folder:
        book = wearcast.read_logbook(fleets.write_log(fleet, Path(folder) / "log"))
    return fleet, wearcast.rates(wearcast.fit(book), with_prices=True)


def operators(count: int, logs: int, seed: int = 300) -> pd.DataFrame:
    """Each operator's strangers quoted by so many others' pooled rates, and by a pool it is in.

    Every operator has lives, shapes and floors of its own, as far apart as fleets of
    `tests.fleets` are: the classes' lives alone by a factor of 1.35 (one sd).
    """
    known = [rates_of(seed + number) for number in range(count)]
    rng = np.random.default_rng(seed)
    rows = []
    for at, (fleet, own) in enumerate(known):
        others = [known[(at + step) % count][1] for step in range(1, logs + 1)]
        chosen = rng.choice(len(fleet.machines), 5, replace=False)
        costs = true_costs(fleet, chosen, 0.1, LIVES)
        row = {}
        for name, pool in (("others", others), ("it and others", [own, *others[: logs - 1]])):
            told = wearcast.quote(proposal_of(fleet, chosen), pool, years=1, draws=400).total.iloc[
                0
            ]
            row[f"{name}: P80"] = (costs <= told["p80"]).mean()
            row[f"{name}: P90"] = (costs <= told["p90"]).mean()
            row[f"{name}: P10 to P90"] = ((costs >= told["p10"]) & (costs <= told["p90"])).mean()
        rows.append(row)
    return pd.DataFrame(rows)


def _say(title: str, frame: pd.DataFrame) -> None:
    mean, error = frame.mean(), frame.std() / np.sqrt(len(frame))
    said = ", ".join(f"{name} {mean[name]:.3f} +- {error[name]:.3f}" for name in frame)
    print(f"{title}: {said}", flush=True)  # noqa: T201


def main() -> None:
    """A row a site sd, or a row a number of operators' logs."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--pairs", type=int, default=30)
    parser.add_argument("--seed", type=int, default=1000)
    parser.add_argument("--sd", type=float, nargs="+", default=SDS)
    parser.add_argument("--operators", type=int, default=0)
    asked = parser.parse_args()
    if asked.operators:
        for logs in (1, 2, 3):
            _say(f"{logs} logs", operators(asked.operators, logs))
        return
    for sd in asked.sd:
        pairs = [study(asked.seed + number, sd) for number in range(asked.pairs)]
        _say(f"site sd {sd:.2f}", pd.DataFrame(pairs))


if __name__ == "__main__":
    main()
