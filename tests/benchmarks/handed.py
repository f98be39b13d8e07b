"""What the log does not hold: the truth handed to the forecast, a piece at a time.

``python -m tests.benchmarks.handed --story steady --fleets 10`` prints the pinball loss over the
oracle's with the fitted wear and hours, and again with some of them replaced by the truth. Rates
and paces are handed over together: each alone would be read against the other's estimate. What
``hours`` leaves is lost to wear; what ``wear`` leaves is lost to hours; ``all`` must leave nothing.
"""

import argparse
import tempfile
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pandas as pd

import wearcast
from tests import fleets
from tests.benchmarks import oracle
from tests.benchmarks.judging import judge
from tests.benchmarks.sharpness import summary
from tests.fleets import AHEAD, FLOOR_EFFECT, FLOORS, STORIES, Fleet
from wearcast.history.story import History
from wearcast.outlook.hours import hours_ahead
from wearcast.outlook.use import use_by_period
from wearcast.outlook.walk import walk_slots
from wearcast.wear.draws import draw_wear

HABITS = ("replaced_worn", "replaced_damaged")
ENDS = ("damage", "removal")
HANDED = {
    "nothing": (),
    "hours": ("hours",),
    "shape": ("shape",),
    "rates and paces": ("rate", "pace"),
    "habits": HABITS,
    "damage and other ends": ENDS,
    "wear": ("rate", "pace", "shape", *HABITS, *ENDS),
    "hours, rates and paces": ("hours", "rate", "pace"),
    "all": ("hours", "rate", "pace", "shape", *HABITS, *ENDS),
}


def true_wear(fleet: Fleet, history: History, draws: int) -> dict[str, np.ndarray]:
    """The true wear of the positions carried, in the shape of `wearcast.wear.records.WearDraws`."""
    names = fleet.machines["machine"].to_numpy()[fleet.slots["machine"]]
    known = fleet.slots.set_index([names, fleet.slots["position"]])
    running = history.running
    slots = known.loc[list(zip(running["machine"], running["position"], strict=True))]
    own = fleet.classes.loc[slots["wears_as"]].reset_index(drop=True)
    rear = slots["position"].str.startswith("rear").to_numpy()
    rate = own[list(history.floors)].to_numpy() * np.where(rear, own["rear"], 1.0)[:, None]
    harsh = pd.Series(np.exp(0.5 * np.maximum(FLOOR_EFFECT, 0)), FLOORS)[list(history.floors)]
    damage = harsh.to_numpy() / own["damage"].to_numpy()[:, None]
    one = {"shape": "shape", "pace": "pace", "removal": "planned"}
    one |= {"replaced_worn": "early_worn", "replaced_damaged": "early_damaged"}
    alike = {ours: slots[theirs].to_numpy(float)[:, None] for ours, theirs in one.items()}
    return {name: np.repeat(value, draws, axis=1) for name, value in alike.items()} | {
        "rate": np.repeat(rate[:, None], draws, axis=1),
        "damage": np.repeat(damage[:, None], draws, axis=1),
    }


def study(seed: int, story: str, draws: int) -> Iterator[pd.DataFrame]:
    """The judged rows of one fleet, for each piece of truth handed over."""
    fleet = fleets.make_fleet(seed, story)
    with tempfile.TemporaryDirectory() as folder:
        book = wearcast.read_logbook(fleets.write_log(fleet, Path(folder)))
    fitted = wearcast.fit(book, draws=draws)
    history, choices, days = fitted.history, fitted.choices, 7 * AHEAD
    hours = hours_ahead(history, book.plans, choices, days)
    wear = draw_wear(fitted.wear, history.running, history.running_exposure, choices.seed, draws)
    truth = true_wear(fleet, history, draws)
    best = oracle.hours_ahead(fleet, draws, np.random.default_rng(seed)).swapaxes(0, 1)
    place = pd.Index(fleet.machines["machine"]).get_indexer(hours.machines)
    true_hours = replace(hours, hours=best[place].astype(np.float32))
    for name, pieces in HANDED.items():
        given = replace(wear, **{piece: truth[piece] for piece in pieces if piece != "hours"})
        ahead = true_hours if "hours" in pieces else hours
        walked = walk_slots(given, ahead, history, choices.seed, days, book.parts)
        _, quantiles = use_by_period(walked, book, choices)
        said = SimpleNamespace(quantiles=quantiles, draws=walked)
        yield judge(fleet, said).assign(story=story, handed=name)


def main() -> None:
    """The table: sites, each part by itself."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--story", choices=STORIES, default="steady")
    parser.add_argument("--fleets", type=int, default=10)
    parser.add_argument("--first", type=int, default=0, help="seed of the first fleet")
    parser.add_argument("--draws", type=int, default=400)
    asked = parser.parse_args()
    seeds = range(asked.first, asked.first + asked.fleets)
    rows = pd.concat([r for seed in seeds for r in study(seed, asked.story, asked.draws)])
    tables = {name: summary(rows[rows["handed"] == name]) for name in HANDED}
    table = pd.concat(tables, names=["handed"]).xs("site", level="level").xs("each", level="parts")
    shown = ["over_oracle", "over_last_year", "cover_90", "bias", "spread"]
    print(table[shown].sort_index(level="period", kind="stable").round(3).to_string())  # noqa: T201


if __name__ == "__main__":
    main()
