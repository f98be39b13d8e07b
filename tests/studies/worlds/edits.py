"""How a log is written otherwise than it happened: each changes the tables in place.

What is true stays. Days are counted back from as-of; shares are of rows, machines or sites as said.
"""

from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

if TYPE_CHECKING:
    from tests.studies.worlds.written import Lived

Tables = dict[str, pd.DataFrame]
Edit = Callable[[Tables, "Lived", np.random.Generator], None]


def _days(told: Tables, lived: "Lived", table: str = "changes") -> np.ndarray:
    """Days from as-of of each row."""
    return (pd.to_datetime(told[table]["date"]) - lived.fleet.as_of).dt.days.to_numpy()


def _cut(first: int, last: int, table: str, told, lived, rng):
    """Rows of these days are lost."""
    day = _days(told, lived, table)
    told[table] = told[table][(day < first) | (day > last)]


def _cause(old: str, new: str, since: int, told, lived, rng):
    rows = told["changes"]["cause"].eq(old) & (_days(told, lived) >= since)
    told["changes"].loc[rows, "cause"] = new


def _action(old: str, new: str, since: int, share: float, told, lived, rng):
    """Turns written as fits, or the other way round, by a share of the machines."""
    rows = told["changes"]["action"].eq(old) & (_days(told, lived) >= since)
    rows &= _some(told, share)
    told["changes"].loc[rows, ["action", "part"]] = new, ""


def _some(told: Tables, share: float) -> pd.Series:
    """Rows of the first machines, as many as the share of all."""
    names = told["machines"]["machine"]
    return told["changes"]["machine"].isin(names.iloc[: round(share * len(names))])


def _no_turns(since: int, told, lived, rng):
    rows = told["changes"]["action"].eq("turn") & (_days(told, lived) >= since)
    told["changes"] = told["changes"][~rows]


def _all_new(share: float, told, lived, rng):
    """Where one part of a machine was handled, all its positions are written as new."""
    rows = told["changes"]
    every = told["positions"][["machine", "position", "part"]]
    days = rows[_some(told, share)].drop_duplicates(["machine", "date"])
    full = days.drop(columns=["position", "part"]).merge(every, on="machine")
    full = full.assign(action="fit", cause="worn")[rows.columns]
    told["changes"] = pd.concat([rows[~_some(told, share)], full], ignore_index=True)


def _one_class(told, lived, rng):
    told["parts"]["wears_as"] = "wear part"


def _drop(column: str, table: str, told, lived, rng):
    told[table] = told[table].drop(columns=column)


def _wrong_machine(share: float, told, lived, rng):
    """Changes booked on another machine of the site that has such a position."""
    rows = told["changes"].merge(told["machines"][["machine", "site"]], on="machine")
    others = told["positions"].merge(told["machines"], on="machine")
    for at in np.flatnonzero(rng.random(len(rows)) < share):
        row = rows.iloc[at]
        same = others[others["site"].eq(row["site"]) & others["position"].eq(row["position"])]
        rows.loc[rows.index[at], ["machine", "hours"]] = rng.choice(same["machine"]), ""
    told["changes"] = rows.drop(columns="site")


def _wrong_blade(share: float, told, lived, rng):
    swap = {"front blade": "rear blade", "rear blade": "front blade"}
    rows = told["changes"]
    some = rows["position"].isin(list(swap)) & (rng.random(len(rows)) < share)
    rows.loc[some, "position"] = rows.loc[some, "position"].map(swap)
    rows.loc[some, "part"] = ""


def _pair_once(told, lived, rng):
    """Both blades' changes of one day are one row, at the front."""
    rows = told["changes"]
    blade = rows["position"].isin(["front blade", "rear blade"])
    first = rows[blade].sort_values(["machine", "date", "position"])
    first = first.drop_duplicates(["machine", "date"])
    told["changes"] = pd.concat([rows[~blade], first])


def _key_on(since: int, times: float, told, lived, rng):
    """From a day on half of the meters count key-on hours."""
    half = told["machines"]["machine"].iloc[::2]
    for table in ("readings", "changes"):
        rows = told[table]
        day = _days(told, lived, table)
        hours = pd.to_numeric(rows["hours"], errors="coerce")
        at = max(since - lived.fleet.first_day, 0)
        number = rows["machine"].map(
            {name: n for n, name in enumerate(told["machines"]["machine"])}
        )
        then = lived.meters[at, number]
        more = hours + (times - 1) * np.maximum(hours - then, 0)
        keep = rows["machine"].isin(half) & (day >= since) & hours.notna()
        told[table]["hours"] = rows["hours"].where(~keep, more.round(1))


def _rarely(days: int, told, lived, rng):
    """Readings on every so manieth week; between them the last one is copied forward."""
    rows = told["readings"].sort_values(["machine", "date"], kind="stable")
    kept = rows["hours"].where(_week(rows, lived) % days == 0)
    told["readings"] = rows.assign(hours=kept.groupby(rows["machine"]).ffill()).dropna()


def _week(rows: pd.DataFrame, lived: "Lived") -> pd.Series:
    return (pd.to_datetime(rows["date"]) - lived.fleet.as_of).dt.days // 7


def _old_floors(told, lived, rng):
    """Machines that moved: only the new floors are known."""
    floors = told["floors"]
    newest = floors.groupby("machine")["since"].transform("max")
    told["floors"] = floors[floors["since"].eq(newest)].assign(since="")


def _swapped_floors(told, lived, rng):
    """Half of the machines have their neighbour's floors."""
    names = told["machines"]["machine"].to_list()[: len(told["machines"]) // 2]
    neighbour = dict(zip(names, names[1:] + names[:1], strict=True))
    told["floors"]["machine"] = told["floors"]["machine"].map(lambda one: neighbour.get(one, one))


def _rows(most: int, table: str, newest: bool, told, lived, rng):
    """An export holds so many rows at most, counted from the newest, or from the oldest."""
    rows = told[table].sort_values("date", kind="stable")
    told[table] = rows.tail(most) if newest else rows.head(most)


def _us_dates(share: float, told, lived, rng):
    """Day and month exchanged where both could be."""
    date = pd.to_datetime(told["changes"]["date"])
    rows = (date.dt.day <= 12) & (rng.random(len(date)) < share)
    swapped = date[rows].map(lambda d: f"{d.year}-{d.day:02d}-{d.month:02d}")
    told["changes"].loc[rows, "date"] = swapped


def _edges(count: int, told, lived, rng):
    parts = told["parts"]
    parts.loc[parts["kind"].eq("blade"), "edges"] = count


def _as_of(days: int, told, lived, rng):
    told["settings"]["value"] = f"{lived.fleet.as_of + pd.Timedelta(days=days):%Y-%m-%d}"


def _only_changed(first: int, told, lived, rng):
    """Only positions that had a change in the last days are kept in the log: the busy ones."""
    day = _days(told, lived)
    busy = set(told["changes"].loc[day >= first, "machine"])
    for name in ("machines", "readings", "changes", "floors", "positions"):
        told[name] = told[name][told[name]["machine"].isin(busy)]


def _said_days(table: str, by: int, told, lived, rng):
    """Dates moved on by some days, up to as-of."""
    date = pd.to_datetime(told[table]["date"]) + pd.Timedelta(days=by)
    told[table]["date"] = date.clip(upper=lived.fleet.as_of).dt.strftime("%Y-%m-%d")


def _monthly_visits(told, lived, rng):
    """Written at the next of the site's visits, every 28 days, with that day's meter."""
    rows = told["changes"]
    day = _days(told, lived)
    later = np.minimum(-(-day // 28) * 28, 0)
    number = rows["machine"].map({name: n for n, name in enumerate(told["machines"]["machine"])})
    meter = lived.meters[later - lived.fleet.first_day, number]
    date = [f"{lived.fleet.as_of + pd.Timedelta(days=int(one)):%Y-%m-%d}" for one in later]
    told["changes"] = rows.assign(date=date, hours=np.round(meter, 1))


def _one_site(edit: Edit, told, lived, rng):
    """Only the changes of the first site are written so."""
    names = told["machines"].loc[told["machines"]["site"].eq(lived.fleet.sites[0]), "machine"]
    rows = told["changes"]
    there = rows["machine"].isin(names)
    told["changes"] = rows[there].copy()
    edit(told, lived, rng)
    told["changes"] = pd.concat([rows[~there], told["changes"]], ignore_index=True)


def _merged(told, lived, rng):
    """Two sites are one name."""
    sites = lived.fleet.sites
    told["machines"]["site"] = told["machines"]["site"].replace(sites[1], sites[0])


def _turns_before(told, lived, rng):
    rows = told["changes"]["action"].eq("turn") & (_days(told, lived) < -240)
    told["changes"].loc[rows, ["action", "part"]] = "fit", ""


def _without(table: str, told, lived, rng):
    told.pop(table)


def _no_turns_before(told, lived, rng):
    rows = told["changes"]["action"].eq("turn") & (_days(told, lived) < -240)
    told["changes"] = told["changes"][~rows]


def _hours_since(told, lived, rng):
    """Hours of the part that came off stand where the meter's should."""
    rows = told["changes"]
    hours = pd.to_numeric(rows["hours"], errors="coerce")
    last = hours.groupby([rows["machine"], rows["position"]]).shift()
    told["changes"]["hours"] = (hours - last).round(1)


def _swapped_numbers(told, lived, rng):
    """From a day on the first two machines of each site are written under each other's number."""
    sites = told["machines"].groupby("site")["machine"]
    pairs = [names.to_list()[:2] for _, names in sites if len(names) > 1]
    swap = dict([*pairs, *(pair[::-1] for pair in pairs)])
    late = _days(told, lived) >= -200
    rows = told["changes"]
    rows.loc[late, "machine"] = rows.loc[late, "machine"].map(lambda one: swap.get(one, one))
    rows.loc[late, "hours"] = ""


def _both_blades(told, lived, rng):
    """One word for both blades."""
    for table in ("changes", "positions"):
        told[table]["position"] = told[table]["position"].str.replace(
            "front |rear ", "", regex=True
        )
    told["positions"] = told["positions"].drop_duplicates(["machine", "position"])
    told["changes"].loc[told["changes"]["position"].eq("blade"), "part"] = ""


def _floor_names(told, lived, rng):
    """Since a day the floors have other names."""
    floors = told["floors"]
    since = f"{lived.fleet.as_of - pd.Timedelta(days=120):%Y-%m-%d}"
    told["floors"] = pd.concat(
        [floors, floors.assign(floor="hall " + floors["floor"], since=since)], ignore_index=True
    )


def _new_parts(told, lived, rng):
    """Since a day blades have another number and wear class."""
    rows, late = told["changes"], _days(told, lived) >= -60
    blades = rows["part"].str.startswith("LIP") & late
    rows.loc[blades, "part"] += "-2"
    lips = told["parts"][told["parts"]["part"].str.startswith("LIP")]
    newer = lips.assign(part=lips["part"] + "-2", wears_as="lip 2")
    told["parts"] = pd.concat([told["parts"], newer], ignore_index=True)


def _first_of_month(hours: bool, told, lived, rng):
    """The month is all that the date says."""
    told["changes"]["date"] = told["changes"]["date"].str[:8] + "01"
    if not hours:
        told["changes"]["hours"] = ""


def _turn_and_fit(told, lived, rng):
    """Where a new part came on a turn is written too."""
    rows = told["changes"]
    fits = rows[rows["action"].eq("fit") & ~rows["position"].eq("roller deck")]
    told["changes"] = pd.concat([rows, fits.assign(action="turn", part="")], ignore_index=True)


def _remove_and_fit(told, lived, rng):
    """A new part is written as the old one taken off, and the new one put on the day after."""
    rows = told["changes"]
    fits = rows["action"].eq("fit")
    off = rows[fits].assign(action="remove", part="")
    date = pd.to_datetime(rows["date"]) + pd.to_timedelta(fits.astype(int), "D")
    on = rows.assign(date=date.clip(upper=lived.fleet.as_of).dt.strftime("%Y-%m-%d"))
    on.loc[fits, ["cause", "hours"]] = ""
    told["changes"] = pd.concat([on, off], ignore_index=True)


def _two_counters(told, lived, rng):
    """Readings in turn by hand and by a box that counts from its own day on."""
    rows = told["readings"].sort_values(["machine", "date"], kind="stable", ignore_index=True)
    box = rows.groupby("machine").cumcount() % 2 == 1
    start = rows.groupby("machine")["hours"].transform("first")
    told["readings"] = rows.assign(hours=rows["hours"] - np.where(box, 0.8 * start, 0))


def _not_written(cause: str, told, lived, rng):
    told["changes"] = told["changes"][told["changes"]["cause"].ne(cause)]


def _some_not(share: float, since: int, position: str, told, lived, rng):
    """Of the first machines nothing is written since a day, or of these positions."""
    rows = _some(told, share) & (_days(told, lived) >= since)
    rows &= told["changes"]["position"].str.contains(position)
    told["changes"] = told["changes"][~rows]


EDITS: dict[str, Edit] = {
    "floors renamed": _floor_names,
    "blades renumbered": _new_parts,
    "first of the month": partial(_first_of_month, False),
    "first of the month with hours": partial(_first_of_month, True),
    "turn and fit": _turn_and_fit,
    "remove and fit": _remove_and_fit,
    "two counters": _two_counters,
    "damage not written": partial(_not_written, "damaged"),
    "a third of the machines not written": partial(_some_not, 0.33, -9999, ""),
    "a third stopped": partial(_some_not, 0.33, -150, ""),
    "pads not written": partial(_some_not, 1.0, -9999, "disc"),
    "pads not written by half": partial(_some_not, 0.5, -9999, "disc"),
    "rear blades not written by half": partial(_some_not, 0.5, -9999, "rear"),
    "rear blades not written": partial(_some_not, 1.0, -9999, "rear"),
    "pads stopped": partial(_some_not, 1.0, -150, "disc"),
    "no turns before": _no_turns_before,
    "hours since": _hours_since,
    "swapped numbers": _swapped_numbers,
    "both blades": _both_blades,
    "90 days lost at one site": partial(_one_site, partial(_cut, -300, -210, "changes")),
    "60 days lost": partial(_cut, -200, -140, "changes"),
    "newest 100 days lost": partial(_cut, -100, 0, "changes"),
    "newest 200 days lost": partial(_cut, -200, 0, "changes"),
    "newest readings lost": partial(_cut, -40, 0, "readings"),
    "readings stop": partial(_cut, -150, 0, "readings"),
    "changes begin late": partial(_cut, -9999, -100, "changes"),
    "readings begin late": partial(_cut, -9999, -150, "readings"),
    "90 days lost": partial(_cut, -300, -210, "changes"),
    "damage as worn": partial(_cause, "damaged", "worn", -9999),
    "planned as worn": partial(_cause, "planned", "worn", -9999),
    "other as worn": partial(_cause, "other", "worn", -9999),
    "worn as damaged": partial(_cause, "worn", "damaged", -9999),
    "worn as planned": partial(_cause, "worn", "planned", -9999),
    "worn as other": partial(_cause, "worn", "other", -9999),
    "worn as damaged lately": partial(_cause, "worn", "damaged", -120),
    "worn as planned lately": partial(_cause, "worn", "planned", -120),
    "worn as planned at one site": partial(_one_site, partial(_cause, "worn", "planned", -9999)),
    "turns as fits": partial(_action, "turn", "fit", -9999, 1.0),
    "turns as fits lately": partial(_action, "turn", "fit", -120, 1.0),
    "turns as fits by half": partial(_action, "turn", "fit", -9999, 0.5),
    "turns as fits before": _turns_before,
    "fits as turns lately": partial(_action, "fit", "turn", -120, 1.0),
    "no turns lately": partial(_no_turns, -120),
    "all new": partial(_all_new, 1.0),
    "all new by half": partial(_all_new, 0.5),
    "one class": _one_class,
    "no floors": partial(_without, "floors"),
    "no positions": partial(_without, "positions"),
    "no causes": partial(_drop, "cause", "changes"),
    "wrong machine": partial(_wrong_machine, 0.15),
    "wrong blade": partial(_wrong_blade, 0.25),
    "pair once": _pair_once,
    "key-on hours lately": partial(_key_on, -180, 1.6),
    "key-on hours": partial(_key_on, -9999, 1.6),
    "copied readings": partial(_rarely, 5),
    "only new floors": _old_floors,
    "swapped floors": _swapped_floors,
    "oldest changes cut": partial(_rows, 300, "changes", True),
    "newest changes cut": partial(_rows, 300, "changes", False),
    "oldest readings cut": partial(_rows, 500, "readings", True),
    "US dates": partial(_us_dates, 0.5),
    "one edge": partial(_edges, 1),
    "two edges": partial(_edges, 2),
    "as-of 60 days later": partial(_as_of, 60),
    "busy ones": partial(_only_changed, -120),
    "dates 20 days late": partial(_said_days, "changes", 20),
    "monthly visits": _monthly_visits,
    "merged": _merged,
}
