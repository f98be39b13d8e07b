"""Fleets whose truth is known: made-up machines that run, wear, are turned and changed.

Written apart from the package, from the words of the model alone, so that a forecast can be held
against what then really happened. Time runs in whole weeks from the start of a warm-up that no log
shows; within a week hours are even. Wear and hours are followed in run hours a machine: `bend` is
the run hour at which a machine's floors change. As-of is the end of week ``warm + history``.

    fleet = make_fleet(seed=3, story="moved")
    write_log(fleet, folder)          # what the sites wrote down until as-of
    used(fleet)                       # what was really used in the 91 and 364 days after it
"""

from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pandas as pd

AS_OF = pd.Timestamp("2026-10-31")
AHEAD = 52
"""Weeks simulated beyond as-of; a quarter is the first 13."""
QUARTER = 13
STORIES = ("steady", "short", "growth", "moved")
FLOORS = ("broom concrete", "quarry tile", "smooth concrete", "terrazzo", "vinyl")
FLOOR_EFFECT = np.array([0.55, 0.65, 0.0, -0.15, -0.35])
CLASSES = pd.DataFrame(
    [
        ("gum blade", "blade", 4, 100.0, 2.4, 1500.0, 1, 6.5),
        ("pu blade", "blade", 4, 170.0, 2.8, 1800.0, 1, 11.0),
        ("nylon brush", "brush", 1, 380.0, 3.0, 6000.0, 2, 74.0),
        ("scrub pad", "pad", 2, 36.0, 2.0, 900.0, 1, 5.2),
    ],
    columns=["wears_as", "kind", "edges", "life", "shape", "damage", "pieces", "price"],
).set_index("wears_as")
"""Typical: mean hours of one edge, shape, mean hours to damage; each fleet departs from it."""
SITE_SEASON, OWN_SEASON = 0.09, 0.04
"""Sd of the first wave's log amplitudes: of a site, and of a machine about it."""
CAUSES = np.array(["worn", "damaged", "planned"])


@dataclass(frozen=True, slots=True)
class Fleet:
    """One fleet and everything that is true of it."""

    machines: pd.DataFrame
    """machine, site, depot, level [h/week], starts (week), bends (week), doubles (bool)"""
    mixes: np.ndarray
    """array (2, machines, floors) shares before and after the bend"""
    slots: pd.DataFrame
    """One row a position: machine (number), position, part, wears_as, edges, pieces, pace, shape,
    rate_0, rate_1 (wear an hour before and after the bend), damage_0, damage_1, planned,
    early_worn, early_damaged"""
    season: np.ndarray
    """array (machines, weeks) season factors, mean 1"""
    noise: np.ndarray
    """array (machines, weeks) log of the week's noise"""
    noise_sd: float
    noise_memory: float
    weekly: np.ndarray
    """array (machines, weeks) run hours"""
    spells: pd.DataFrame
    """slot, edge, start, end (run hours), cause, replaced; the last one of a slot is cut"""
    classes: pd.DataFrame
    """wears_as: life, shape, spread, and one column a floor with the rate [1/h]"""
    warm: int
    history: int
    seed: int

    @property
    def now(self) -> int:
        """Weeks until as-of."""
        return self.warm + self.history

    @property
    def sites(self) -> list[str]:
        return sorted(self.machines["site"].unique())


def walk_edges(slots, start, end, bend, rng, edge=None, wear=None):
    """Edge after edge for every slot, from run hour `start` to `end`, all slots a step together.

    Parameters
    ----------
    slots : mapping of arrays (slots,), as `Fleet.slots`
    start, end, bend : arrays (slots,), h
    edge, wear : arrays (slots,), optional
        The edge at work and its wear so far; new parts unless given.

    Returns
    -------
    dict of arrays, one entry a spell: slot, edge, start, end, cause (index, 3: cut), replaced
    """
    s = {name: np.asarray(slots[name]) for name in WALKED}
    at = np.array(start, float)
    edge = np.ones(at.size, int) if edge is None else np.array(edge)
    worn = np.zeros(at.size) if wear is None else np.array(wear, float)
    live = np.flatnonzero(at < end)
    steps = []
    while live.size:
        now, k, b = at[live], s["shape"][live], bend[live]
        life = (worn[live] ** k + rng.exponential(size=live.size) / s["pace"][live]) ** (1 / k)
        ends = np.stack(
            [
                _run(now, life - worn[live], s["rate_0"][live], s["rate_1"][live], b),
                _run(
                    now,
                    rng.exponential(size=live.size),
                    s["damage_0"][live],
                    s["damage_1"][live],
                    b,
                ),
                now + rng.exponential(size=live.size) / s["planned"][live],
                end[live],
            ]
        )
        cause = ends.argmin(axis=0)
        early = np.choose(cause, [s["early_worn"][live], s["early_damaged"][live], 1.0, 0.0])
        last = (edge[live] >= s["edges"][live]) & (cause < 3)
        replaced = last | (rng.random(live.size) < early)
        till = ends.min(axis=0)
        steps.append((live, edge[live], now, till, cause, replaced))
        at[live], worn[live] = till, 0.0
        edge[live] = np.where(replaced, 1, edge[live] + 1)
        live = live[cause < 3]
    names = ["slot", "edge", "start", "end", "cause", "replaced"]
    return dict(
        zip(names, (np.concatenate(part) for part in zip(*steps, strict=True)), strict=True)
    )


WALKED = (
    "shape",
    "pace",
    "rate_0",
    "rate_1",
    "damage_0",
    "damage_1",
    "planned",
    "edges",
    "early_worn",
    "early_damaged",
)


def _run(now, amount, before, after, bend):
    """The run hour at which `amount` has gathered from `now` on, at two rates about the bend."""
    room = np.maximum(bend - now, 0.0) * before
    return np.where(
        amount <= room, now + amount / before, np.maximum(bend, now) + (amount - room) / after
    )


def make_fleet(
    seed: int,
    story: str = "steady",
    machines: int = 60,
    sites: int = 6,
    history: int | None = None,
    ahead: int = AHEAD,
    site_sd: float = 0.0,
) -> Fleet:
    """A fleet of the story, its past and what comes; `history` and `ahead` in weeks.

    `site_sd` is that of the log by which everything at a site wears faster or slower.
    """
    rng = np.random.default_rng([seed, STORIES.index(story)])
    warm, history = 60, history or (26 if story == "short" else 104)
    classes = _draw_classes(rng)
    fleet = _draw_machines(rng, story, machines, sites, warm + history)
    mixes = _draw_mixes(rng, fleet, story)
    slots = _draw_slots(rng, fleet, mixes, classes, sites)
    slots = moved_by_site(slots, fleet["site"], site_sd, np.random.default_rng([seed, 77]))
    season = _draw_season(rng, fleet, warm + history + ahead)
    sd, memory = 0.18, 0.5
    noise = draw_noise(rng, season.shape, sd, memory)
    weekly = weekly_hours(fleet, season, noise, sd, warm + history)
    spells = live(slots, fleet, weekly, rng)
    return Fleet(
        fleet, mixes, slots, season, noise, sd, memory, weekly, spells, classes, warm, history, seed
    )


def weekly_hours(machines, season, noise, sd, now):
    """Run hours a week: level (doubled by plan after as-of) x season x noise; none before start."""
    weeks = np.arange(season.shape[-1])
    doubled = machines["doubles"].to_numpy()[:, None] & (weeks >= now)
    level = machines["level"].to_numpy()[:, None] * np.where(doubled, 2.0, 1.0)
    runs = weeks >= machines["starts"].to_numpy()[:, None]
    return level * season * np.exp(noise - sd**2 / 2) * runs


def _draw_classes(rng):
    """This fleet's own lives, shapes, spreads and floor rates."""
    from scipy.special import gamma

    n = len(CLASSES)
    classes = CLASSES.copy()
    classes["life"] *= np.exp(rng.normal(0, 0.3, n))
    classes["shape"] *= np.exp(rng.normal(0, 0.2, n))
    classes["damage"] *= np.exp(rng.normal(0, 0.4, n))
    classes["spread"] = np.exp(rng.normal(np.log(0.12), 0.5, n))
    classes["rear"] = np.where(classes["kind"].eq("blade"), np.exp(rng.normal(-0.1, 0.15, n)), 1.0)
    common = FLOOR_EFFECT + rng.normal(0, 0.15, len(FLOORS))
    effects = common + rng.normal(0, 0.12, (n, len(FLOORS)))
    rates = (
        np.exp(effects) * (gamma(1 + 1 / classes["shape"]) / classes["life"]).to_numpy()[:, None]
    )
    return classes.join(pd.DataFrame(rates, classes.index, FLOORS))


def _draw_machines(rng, story, n, sites, now):
    """Where each machine works, how much, since when."""
    new = 5 if story == "growth" else 0
    site = np.concatenate([np.arange(n) % sites, rng.integers(0, sites, new)])
    site_level = np.exp(rng.normal(np.log(24), 0.3, sites))
    frame = pd.DataFrame(
        {
            "machine": [f"M{i + 1:03d}" for i in range(n + new)],
            "site": [f"site {chr(65 + s)}" for s in site],
            "depot": np.where(site < sites / 2, "east", "west"),
            "level": np.minimum(site_level[site] * np.exp(rng.normal(0, 0.35, n + new)), 48).round(
                1
            ),
            "starts": np.r_[np.zeros(n, int), now + rng.integers(1, 9, new)],
        }
    )
    order = rng.permutation(n)
    frame["doubles"] = frame.index.isin(order[: n // 3]) & (story == "growth")
    moves = frame.index.isin(order[: n // 4]) & (story == "moved")
    return frame.assign(bends=np.where(moves, now, now + AHEAD))


def _draw_mixes(rng, machines, story):
    """Floor shares before and after: a site has its main floors, a machine its own mix of them."""
    sites = sorted(machines["site"].unique())
    taste = {site: rng.dirichlet(np.full(len(FLOORS), 0.7)) for site in sites}
    before = np.array([shares(rng, taste[site]) for site in machines["site"]])
    other = np.array([shares(rng, taste[rng.choice(sites)]) for _ in machines["site"]])
    moves = (machines["bends"] < machines["bends"].max()) if story == "moved" else False
    return np.stack([before, np.where(np.asarray(moves).reshape(-1, 1), other, before)])


def shares(rng, taste):
    """One machine's shares of at most three floors, in steps of 0.05."""
    shares = rng.dirichlet(3 * taste + 0.02)
    shares[shares < np.sort(shares)[-3]] = 0
    steps = np.round(shares / shares.sum() * 20)
    steps[shares.argmax()] += 20 - steps.sum()
    return steps / 20


def _draw_slots(rng, machines, mixes, classes, sites):
    """What each machine carries: two blades of its site's stuff, and brushes or pads."""
    n = len(machines)
    pu = rng.random(sites) < 0.4
    pu[:2] = [False, True]
    site = machines["site"].str[-1].map(ord).to_numpy() - 65
    blade = np.where(pu[site], "pu blade", "gum blade")
    deck = np.where(rng.random(n) < 0.75, "nylon brush", "scrub pad")
    slots = pd.DataFrame(
        {
            "machine": np.tile(np.arange(n), 3),
            "position": np.repeat(["front blade", "rear blade", "deck"], n),
            "wears_as": np.concatenate([blade, blade, deck]),
        }
    ).sort_values(["machine", "position"], ignore_index=True)
    slots["part"] = slots["wears_as"].str.upper()
    return fill_slots(rng, slots, machines, mixes, classes)


def fill_slots(rng, slots, machines, mixes, classes):
    """The slots with everything the walk needs: rates of their floors, pace, habits of the site."""
    own = classes.loc[slots["wears_as"]].reset_index(drop=True)
    slots = slots.assign(**{c: own[c] for c in ("kind", "edges", "pieces", "shape")})
    factor = np.where(slots["position"].str.startswith("rear"), own["rear"], 1.0)
    floors = [name for name in classes.columns if name in FLOORS]
    harsh = np.exp(0.5 * np.maximum(FLOOR_EFFECT, 0))
    for when in (0, 1):
        mix = mixes[when][slots["machine"]]
        slots[f"rate_{when}"] = (own[floors].to_numpy() * mix).sum(1) * factor
        slots[f"damage_{when}"] = (mix @ harsh) / own["damage"]
    slots["planned"] = 1 / 5000.0
    slots["pace"] = _by_pair(
        slots["machine"],
        slots["wears_as"],
        lambda c: rng.gamma(1 / classes.loc[c, "spread"]) * classes.loc[c, "spread"],
    )
    site = machines["site"].to_numpy()[slots["machine"]]
    slots["early_worn"] = _by_pair(site, slots["wears_as"], lambda _: rng.beta(1.5, 8))
    slots["early_damaged"] = _by_pair(site, slots["wears_as"], lambda _: rng.beta(2, 3))
    return slots


def moved_by_site(slots, site, sd, rng):
    """The slots with all rates of a site moved by its own factor, log-normal with this sd."""
    names = sorted(site.unique())
    lift = dict(zip(names, np.exp(sd * rng.standard_normal(len(names))), strict=True))
    factor = site.map(lift).to_numpy()[slots["machine"]]
    return slots.assign(**{name: slots[name] * factor for name in ("rate_0", "rate_1")})


def _by_pair(first, second, draw):
    """One value a distinct pair, drawn in sorted order."""
    pairs = list(zip(first, second, strict=True))
    value = {pair: draw(pair[1]) for pair in sorted(set(pairs))}
    return np.array([value[pair] for pair in pairs])


def _draw_season(rng, machines, weeks):
    """Yearly profile of the site, from which each machine departs a little; mean 1 over a year."""
    sites = sorted(machines["site"].unique())
    where = machines["site"].map({site: i for i, site in enumerate(sites)}).to_numpy()
    profile = _waves(rng, len(sites), weeks, SITE_SEASON)[where]
    profile = profile + _waves(rng, len(machines), weeks, OWN_SEASON)
    season = np.exp(profile)
    return season / season[:, -AHEAD:].mean(axis=1, keepdims=True)


def _waves(rng, n, weeks, size):
    """Log of a yearly profile: one slow and one faster wave."""
    turn = 2 * np.pi * 7 * np.arange(weeks) / 364
    wave = np.zeros((n, weeks))
    for order in (1, 2):
        amount = rng.normal(0, size / order, (n, 2))
        wave += amount[:, :1] * np.cos(order * turn) + amount[:, 1:] * np.sin(order * turn)
    return wave


def draw_noise(rng, shape, sd, memory):
    """Weekly noise that remembers: stationary, first order."""
    fresh = rng.normal(0, sd, shape)
    noise = fresh.copy()
    for week in range(1, shape[1]):
        noise[:, week] = memory * noise[:, week - 1] + np.sqrt(1 - memory**2) * fresh[:, week]
    return noise


def run_hours(weekly):
    """Run hours at the end of each week, a zero before the first."""
    return np.pad(np.cumsum(weekly, axis=-1), [(0, 0)] * (weekly.ndim - 1) + [(1, 0)])


def live(slots, machines, weekly, rng):
    """Every spell from the start of the warm-up to a year past as-of."""
    total = run_hours(weekly)
    of = slots["machine"].to_numpy()
    bend = total[np.arange(len(machines)), machines["bends"]][of]
    fresh = machines["starts"].to_numpy()[of] > 0
    edge = np.where(fresh, 1, rng.integers(1, slots["edges"].to_numpy() + 1))
    spells = walk_edges(slots, np.zeros(len(slots)), total[of, -1], bend, rng, edge)
    return pd.DataFrame(spells).sort_values(["slot", "start"], ignore_index=True)


def timed(fleet: Fleet) -> pd.DataFrame:
    """The ends (not the cut ones), with the day each falls on, counted from as-of (0: as-of)."""
    ends = fleet.spells[fleet.spells["cause"] < 3].reset_index(drop=True)
    total = run_hours(fleet.weekly)
    weeks = np.arange(total.shape[1])
    of = fleet.slots["machine"].to_numpy()[ends["slot"]]
    when = np.empty(len(ends))
    for machine in range(len(fleet.machines)):
        mine = of == machine
        running = np.r_[True, np.diff(total[machine]) > 0]
        when[mine] = np.interp(ends["end"][mine], total[machine][running], weeks[running])
    return ends.assign(machine=of, day=np.ceil(7 * (when - fleet.now)).astype(int))


def used(fleet: Fleet) -> pd.DataFrame:
    """Pieces really used after as-of: site, part, quarter, year; one row a site and part there."""
    ends = timed(fleet)
    slots = fleet.slots
    place = pd.DataFrame(
        {"site": fleet.machines["site"].to_numpy()[slots["machine"]], "part": slots["part"]}
    )
    pieces = slots["pieces"].to_numpy()[ends["slot"]] * ends["replaced"]
    counts = place[[]].assign(
        quarter=_sum_of(pieces, ends, len(slots), 7 * QUARTER),
        year=_sum_of(pieces, ends, len(slots), 7 * AHEAD),
    )
    return counts.groupby([place["site"], place["part"]]).sum().reset_index()


def _sum_of(pieces, ends, n, last):
    inside = ends["day"].between(1, last)
    return np.bincount(ends["slot"], pieces * inside, n)


def log_tables(fleet: Fleet) -> dict[str, pd.DataFrame]:
    """What the sites wrote until as-of: hours to 0.1, dates by day, some hours and causes blank."""
    rng = np.random.default_rng([fleet.seed, 99])
    readings = readings_table(fleet, rng)
    return {
        "machines": machines_table(fleet),
        "readings": pd.concat([readings, new_readings(fleet)], ignore_index=True),
        "changes": changes_table(fleet, rng),
        "floors": floors_table(fleet),
        "parts": parts_table(),
        "positions": positions_table(fleet),
        "plans": plans_table(fleet),
        "settings": pd.DataFrame({"setting": ["as_of"], "value": [f"{AS_OF:%Y-%m-%d}"]}),
    }


def write_log(fleet: Fleet, folder: Path) -> Path:
    """The logbook as a folder of CSV files."""
    folder.mkdir(parents=True, exist_ok=True)
    for name, frame in log_tables(fleet).items():
        if len(frame):
            frame.to_csv(folder / f"{name}.csv", index=False, lineterminator="\n")
    return folder


def meter(fleet: Fleet, machine: np.ndarray, day: np.ndarray) -> np.ndarray:
    """Run hours of a machine at the end of a day (days counted from as-of), all at once."""
    total = run_hours(fleet.weekly)
    week, rest = np.divmod(7 * fleet.now + day, 7)
    start = total[machine, week]
    return start + rest / 7 * (total[machine, np.minimum(week + 1, total.shape[1] - 1)] - start)


def dates(days) -> np.ndarray:
    """ISO dates of days counted from as-of."""
    return (AS_OF + pd.to_timedelta(np.asarray(days), "D")).strftime("%Y-%m-%d").to_numpy()


def machines_table(fleet):
    starts = fleet.machines["starts"].to_numpy()
    day = np.where(starts > 0, 7 * (starts - fleet.now) + 1, -7 * fleet.now - 400)
    return fleet.machines[["machine", "site", "depot"]].assign(in_service=dates(day))


def readings_table(fleet, rng):
    old = np.flatnonzero(fleet.machines["starts"] == 0)
    first = 7 * fleet.history - rng.integers(0, 7, old.size)
    day = -first[:, None] + 7 * np.arange(fleet.history) + rng.integers(-1, 2, (old.size, 1))
    day = day + rng.integers(0, 2, day.shape)
    keep = (day <= 0) & (day >= -7 * fleet.history) & (rng.random(day.shape) < 0.9)
    machine, day = np.repeat(old, keep.sum(1)), day[keep]
    frame = pd.DataFrame(
        {
            "machine": fleet.machines["machine"].to_numpy()[machine],
            "date": dates(day),
            "hours": meter(fleet, machine, day).round(1),
        }
    )
    return frame.drop_duplicates(["machine", "date"])


def new_readings(fleet):
    """Weekly readings of machines that came after the log began, from their first week on."""
    starts = fleet.machines["starts"].to_numpy()
    came = np.flatnonzero((starts > 0) & (starts < fleet.now))
    weeks = [np.arange(starts[machine] + 1, fleet.now + 1) for machine in came]
    machine = np.repeat(came, [len(each) for each in weeks])
    day = 7 * (np.concatenate([np.empty(0, int), *weeks]) - fleet.now)
    return pd.DataFrame(
        {
            "machine": fleet.machines["machine"].to_numpy()[machine],
            "date": dates(day),
            "hours": meter(fleet, machine, day).round(1),
        }
    )


def changes_table(fleet, rng):
    ends = timed(fleet)
    ends = ends[ends["day"].between(1 - 7 * fleet.history, 0)]
    n = len(ends)
    slots = fleet.slots.iloc[ends["slot"]].reset_index(drop=True)
    cause = CAUSES[ends["cause"]]
    blank = (cause == "worn") & (rng.random(n) < 0.1)
    # Two changes of one part on a day cannot be told from one line written twice without hours.
    twice = ends.duplicated(["slot", "day"], keep=False).to_numpy()
    hours = ends["end"].round(1).astype(str).where(twice | (rng.random(n) < 0.8), "")
    frame = pd.DataFrame(
        {
            "machine": fleet.machines["machine"].to_numpy()[slots["machine"]],
            "date": dates(ends["day"]),
            "position": slots["position"],
            "action": np.where(ends["replaced"], "fit", "turn"),
            "part": slots["part"],
            "cause": np.where(blank, "", cause),
            "hours": hours.to_numpy(),
        }
    )
    order = ends["end"].reset_index(drop=True)
    return frame.assign(order=order).sort_values(["machine", "date", "order"]).drop(columns="order")


def floors_table(fleet):
    """Floor shares; a machine whose floors change has a second set from the first day after."""
    bent = (fleet.mixes[0] != fleet.mixes[1]).any(axis=1)
    names = fleet.machines["machine"].to_numpy()
    since = dates(7 * (fleet.machines["bends"] - fleet.now) + 1)
    rows = []
    for when in (0, 1):
        machine, floor = np.nonzero(fleet.mixes[when] * (bent | (when == 0))[:, None])
        rows.append(
            pd.DataFrame(
                {
                    "machine": names[machine],
                    "floor": np.array(FLOORS)[floor],
                    "share": fleet.mixes[when][machine, floor],
                    "since": np.where(when, since[machine], ""),
                }
            )
        )
    return pd.concat(rows, ignore_index=True)


def parts_table():
    frame = CLASSES.reset_index()
    return pd.DataFrame(
        {
            "part": frame["wears_as"].str.upper(),
            "kind": frame["kind"],
            "wears_as": frame["wears_as"],
            "edges": frame["edges"],
            "price": frame["price"],
            "usual_hours": frame["life"],
        }
    )


def positions_table(fleet):
    slots = fleet.slots
    names = fleet.machines["machine"].to_numpy()[slots["machine"]]
    return slots[["position", "part", "pieces"]].assign(machine=names)


def plans_table(fleet):
    machines = fleet.machines
    new = machines["starts"] > 0
    planned = machines[new | machines["doubles"]]
    start = np.where(new[planned.index], 7 * (planned["starts"] - fleet.now) + 1, 1)
    level = planned["level"] * np.where(planned["doubles"], 2, 1)
    return pd.DataFrame(
        {"machine": planned["machine"], "start": dates(start), "hours_per_week": level.round(1)}
    )
