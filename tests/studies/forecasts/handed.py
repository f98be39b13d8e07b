"""What the log does not hold: better knowledge handed to the forecast, a piece at a time.

``python -m tests.studies.forecasts.handed --story steady --fleets 10`` prints the pinball loss over
the oracle's with the fitted wear and hours, and again with some of them replaced: by the truth, or
by the best that anybody could make of the log, the posterior under the simulator's own prior
(`best_wear`, `best_hours`). Rates and paces are handed over together: each alone would be read
against the other's estimate. What ``truth: hours`` leaves is lost to wear; what ``truth: wear``
leaves is lost to hours; ``truth: all`` must leave nothing. What ``log: all`` leaves is information
that the log does not hold.
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
from tests.fleets import AHEAD, FLOOR_EFFECT, FLOORS, STORIES, Fleet
from tests.studies.forecasts import oracle
from tests.studies.forecasts.best_hours import best_hours
from tests.studies.forecasts.best_wear import best_wear, habits_of
from tests.studies.forecasts.judging import best_of, judge
from tests.studies.forecasts.sharpness import summary
from wearcast.history.story import History
from wearcast.outlook.hours import hours_ahead
from wearcast.outlook.use import use_by_period
from wearcast.outlook.walk import walk_slots
from wearcast.wear.draws import draw_wear

HABITS = ("habit", "habit_of")
ENDS = ("damage", "off_rate", "off_shape")
RATES = ("rate", "pace", "stress")
"""Simulated quarters wear alike but for their hours."""
WEAR = (*RATES, "shape", *HABITS, *ENDS)
HANDED = {
    "nothing": ("truth", ()),
    "truth: hours": ("truth", ("hours",)),
    "truth: shape": ("truth", ("shape",)),
    "truth: rates and paces": ("truth", RATES),
    "truth: habits": ("truth", HABITS),
    "truth: damage and other ends": ("truth", ENDS),
    "truth: wear": ("truth", WEAR),
    "truth: hours, rates and paces": ("truth", ("hours", *RATES)),
    "truth: all": ("truth", ("hours", *WEAR)),
    "log: hours": ("log", ("hours",)),
    "log: rates, paces and shape": ("log", (*RATES, "shape")),
    "log: habits": ("log", HABITS),
    "log: wear": ("log", WEAR),
    "log: all": ("log", ("hours", *WEAR)),
}
"""What is replaced, and by what: the truth, or the best that can be made of the log."""


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
    one = {"shape": "shape", "pace": "pace", "off_rate": "planned"}
    alike = {ours: slots[theirs].to_numpy(float)[:, None] for ours, theirs in one.items()}
    alike["off_shape"] = np.ones((len(slots), 1))
    early = {
        law: np.repeat(slots[f"early_{word}"].to_numpy(float)[:, None], draws, axis=1)
        for law, word in (("worn", "worn"), ("torn", "damaged"))
    }
    return {name: np.repeat(value, draws, axis=1) for name, value in alike.items()} | {
        "rate": np.repeat(rate[:, None], draws, axis=1),
        "damage": np.repeat(damage[:, None], draws, axis=1),
        "stress": np.ones((running["site"].nunique(), draws, 1)),
        **habits_of(early),
    }


def study(seed: int, story: str, draws: int, names: tuple[str, ...]) -> Iterator[pd.DataFrame]:
    """The judged rows of one fleet, for each of the `HANDED` that are named."""
    fleet = fleets.make_fleet(seed, story)
    with tempfile.TemporaryDirectory() as folder:
        book = wearcast.read_logbook(fleets.write_log(fleet, Path(folder)))
    fitted = wearcast.fit(book, draws=draws)
    history, choices, days = fitted.history, fitted.choices, 7 * AHEAD
    hours = hours_ahead(history, book.plans, choices, days)
    wear = draw_wear(fitted.wear, history.running, history.running_exposure, choices.seed, draws)
    known = oracle.hours_ahead(fleet, draws, np.random.default_rng(seed)).swapaxes(0, 1)
    sources = {"truth": true_wear(fleet, history, draws) | {"hours": known}}
    if any(HANDED[name][0] == "log" for name in names):
        log = best_wear(fleet, history, fitted.wear, draws)
        sources["log"] = log | {"hours": best_hours(fleet, draws)}
    place = pd.Index(fleet.machines["machine"]).get_indexer(hours.machines)
    best = best_of(fleet)
    for name in names:
        source, pieces = HANDED[name]
        given = {piece: sources[source][piece] for piece in pieces}
        ahead = hours
        if "hours" in given:
            ahead = replace(hours, hours=given.pop("hours")[place].astype(np.float32))
        walked = walk_slots(replace(wear, **given), ahead, history, choices.seed, days, book.parts)
        _, quantiles = use_by_period(walked, book, choices)
        said = SimpleNamespace(quantiles=quantiles, draws=walked)
        yield judge(fleet, said, best=best).assign(story=story, handed=name)


def main() -> None:
    """The table: sites, each part by itself."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--story", choices=STORIES, default="steady")
    parser.add_argument("--fleets", type=int, default=10)
    parser.add_argument("--first", type=int, default=0, help="seed of the first fleet")
    parser.add_argument("--draws", type=int, default=400)
    parser.add_argument("--only", default="", help="only what begins so: truth, log")
    parser.add_argument("--rows", type=Path, help="file for the rows, as CSV")
    asked = parser.parse_args()
    seeds = range(asked.first, asked.first + asked.fleets)
    names = tuple(name for name in HANDED if name.startswith(("nothing", asked.only)))
    rows = pd.concat([r for seed in seeds for r in study(seed, asked.story, asked.draws, names)])
    if asked.rows:
        rows.to_csv(asked.rows, index=False)
    tables = {name: summary(rows[rows["handed"] == name]) for name in names}
    table = pd.concat(tables, names=["handed"]).xs("site", level="level").xs("each", level="parts")
    shown = ["over_oracle", "over_last_year", "cover_90", "bias", "spread"]
    print(table[shown].sort_index(level="period", kind="stable").round(3).to_string())  # noqa: T201


if __name__ == "__main__":
    main()
