"""The log that the sites keep, as a folder of CSV tables.

Weekly readings, a row for each turn and change, and the tables of what stands where. What the
simulator knows beyond that (the speeds, the hidden lives, the habits) is written nowhere.
"""

from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pandas as pd

from tests.studies.worlds.catalogue import FLOORS
from tests.studies.worlds.days import CAUSES, Ends, State, new_state, run
from tests.studies.worlds.edits import EDITS
from tests.studies.worlds.fleet import WARM_UP, Fleet

_READING_DAY = 4  # Fridays


@dataclass(frozen=True)
class Lived:
    """What a fleet has been through up to as-of."""

    fleet: Fleet
    ends: Ends
    """of the log alone"""
    meters: np.ndarray
    """[day, machine], at the end of each day of the log"""
    begin: State
    """on the day before the log"""
    state: State
    """at as-of"""
    shocks: dict[str, np.ndarray]


def live(fleet: Fleet) -> Lived:
    """The fleet's life up to as-of, from new parts long before the log."""
    rng = np.random.default_rng([fleet.seed, 20261])
    state, shocks = new_state(fleet, rng), {}
    if not fleet.world.all_new:
        run(fleet, state, fleet.first_day - WARM_UP, fleet.first_day - 1, rng, shocks)
    begin = state.copied(1)
    ends, meters = run(fleet, state, fleet.first_day, 0, rng, shocks)
    return Lived(fleet, ends, meters[:, 0], begin, state, shocks)


def write_log(lived: Lived, folder: Path, worn: str | None = None) -> Path:
    """Write the logbook's tables; `worn` is the word for worn, for planned ends too where given."""
    for name, table in tables(lived, worn).items():
        table.to_csv(folder / f"{name}.csv", index=False)
    return folder


def tables(lived: Lived, worn: str | None = None) -> dict[str, pd.DataFrame]:
    """The logbook's tables by name."""
    fleet = lived.fleet
    words = fleet.world.worn_words
    word = words[fleet.seed % len(words)] if words else "worn"
    causes = {cause: cause for cause in CAUSES} | {"worn": word}
    if worn is not None:
        causes |= {"worn": worn, "planned": worn}
    told = {
        "machines": _machines(fleet),
        "readings": _readings(lived),
        "changes": _changes(lived, causes),
        "floors": floors_of(fleet),
        "parts": catalogue_of(fleet),
        "positions": positions_of(fleet),
        "plans": _plans(fleet),
        "settings": pd.DataFrame({"setting": ["as_of"], "value": [f"{fleet.as_of:%Y-%m-%d}"]}),
    }
    rng = np.random.default_rng([fleet.seed, 20267])
    for name in fleet.world.edit:
        EDITS[name](told, lived, rng)
    return {name: table for name, table in told.items() if len(table)}


def _date(fleet: Fleet, days: pd.Series | np.ndarray) -> list[str]:
    return [f"{fleet.as_of + pd.Timedelta(days=int(day)):%Y-%m-%d}" for day in days]


def _machines(fleet: Fleet) -> pd.DataFrame:
    known = fleet.machines
    return pd.DataFrame(
        {
            "machine": known["machine"],
            "site": known["site"],
            "in_service": _date(fleet, np.minimum(known["starts"], 0)),
        }
    )


def _readings(lived: Lived) -> pd.DataFrame:
    """Each Friday's meter, and the newest day's; nothing before a machine's first day."""
    fleet = lived.fleet
    days = np.arange(fleet.first_day, 1)
    weekday = (fleet.as_of + pd.to_timedelta(days, unit="D")).day_of_week
    read = (weekday == _READING_DAY) | (days == 0) | (days == days[0])
    rows = [
        pd.DataFrame(
            {
                "machine": name,
                "date": _date(fleet, days[here]),
                "hours": np.round(lived.meters[here, number], 1),
            }
        )
        for number, (name, starts) in enumerate(
            zip(fleet.machines["machine"], fleet.machines["starts"], strict=True)
        )
        for here in [(read | (days == starts)) & (days >= starts)]
        if here.any()
    ]
    return pd.concat(rows, ignore_index=True)


def _changes(lived: Lived, causes: dict[str, str]) -> pd.DataFrame:
    fleet, ends = lived.fleet, lived.ends
    ends = Ends(*(column[lived.ends.cause >= 0] for column in vars(ends).values()))
    places = fleet.places.iloc[ends.place]
    rng = np.random.default_rng([fleet.seed, 20262])
    hours = np.round(ends.meter, 1)
    said = np.where(rng.random(len(hours)) < fleet.world.says_hours, hours.astype(str), "")
    rows = pd.DataFrame(
        {
            "machine": fleet.machines["machine"].to_numpy()[places["machine"]],
            "date": _date(fleet, ends.day),
            "position": places["position"].to_numpy(),
            "action": np.where(ends.fitted, "fit", "turn"),
            "part": np.where(ends.fitted, places["part"], ""),
            "cause": [causes[CAUSES[cause]] for cause in ends.cause],
            "hours": said,
        }
    )
    if fleet.world.month_end:
        ends_of = pd.to_datetime(rows["date"]) + pd.offsets.MonthEnd(0)
        rows = rows.assign(date=ends_of.clip(upper=fleet.as_of).dt.strftime("%Y-%m-%d"), hours="")
    return pd.concat([_outfit(lived), rows], ignore_index=True) if fleet.world.all_new else rows


def _outfit(lived: Lived) -> pd.DataFrame:
    """The first fit of every position, where the log starts with new machines."""
    fleet = lived.fleet
    meter = lived.begin.meter[0, fleet.places["machine"]]
    said = np.round(meter, 1).astype(str) if fleet.world.says_hours == 1 else ""
    return pd.DataFrame(
        {
            "machine": fleet.machines["machine"].to_numpy()[fleet.places["machine"]],
            "date": _date(fleet, np.full(len(fleet.places), fleet.first_day - 1)),
            "position": fleet.places["position"],
            "action": "fit",
            "part": fleet.places["part"],
            "cause": "",
            "hours": said,
        }
    )


def floors_of(fleet: Fleet) -> pd.DataFrame:
    """Shares of each machine's hours; a second set where it moved."""
    rows = []
    for number, (name, moves) in enumerate(
        zip(fleet.machines["machine"], fleet.machines["moves"], strict=True)
    ):
        for after, since in ((0, ""), (1, moves)):
            if after and moves > 0:
                continue
            date = _date(fleet, [since])[0] if after else ""
            rows += [
                (name, floor, round(float(share), 4), date)
                for floor, share in zip(FLOORS, fleet.shares[after, number], strict=True)
                if share > 0
            ]
    return pd.DataFrame(rows, columns=["machine", "floor", "share", "since"])


def catalogue_of(fleet: Fleet) -> pd.DataFrame:
    """What a catalogue says of the parts: no typical life."""
    keep = ["part", "kind", "wears_as", "edges", "price"]
    rows = [vars(part) | {"part": part.name} for part in fleet.parts.values()]
    return pd.DataFrame(rows)[keep]


def positions_of(fleet: Fleet) -> pd.DataFrame:
    """What each machine carries where."""
    places = fleet.places
    names = fleet.machines["machine"].to_numpy()[places["machine"]]
    return places[["position", "part", "pieces"]].assign(machine=names)


def _plans(fleet: Fleet) -> pd.DataFrame:
    """Planned hours of machines that have not run yet."""
    new = fleet.machines[fleet.machines["starts"] > 0]
    return pd.DataFrame(
        {
            "machine": new["machine"],
            "start": _date(fleet, new["starts"]),
            "hours_per_week": new["hours"],
        }
    )
