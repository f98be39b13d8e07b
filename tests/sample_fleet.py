"""The invented operator behind ``sample_logs``, with everything that is true of it.

Six houses on the piers of a tidal town that does not exist, two stores, forty-odd scrubbers. The
truth is fixed here by hand (lives, shapes, habits, floors) and by one seed (chance), so that tests
can hold the forecast of the sample against it. `tests.sample_writing` writes the logbook.
"""

import numpy as np
import pandas as pd

from tests import fleets
from tests.fleets import FLOORS, Fleet

SEED = 20261031
WARM, HISTORY = 60, 104
NOW = WARM + HISTORY
SITES = pd.DataFrame(
    [
        # site, initials, depot, blade, machines, h/week, broom, quarry, smooth, terrazzo, vinyl
        ("Ferry Hall", "FH", "harbour", "PU", 9, 34, 0.0, 0.0, 0.3, 0.7, 0.0),
        ("Fish Market", "FM", "harbour", "GUM", 6, 26, 0.3, 0.7, 0.0, 0.0, 0.0),
        ("Boat Sheds", "BS", "harbour", "GUM", 7, 18, 0.6, 0.0, 0.4, 0.0, 0.0),
        ("Pier School", "PS", "hill", "GUM", 6, 14, 0.0, 0.0, 0.0, 0.2, 0.8),
        ("Seed Library", "SL", "hill", "GUM", 5, 16, 0.0, 0.0, 0.0, 0.4, 0.6),
        ("Tram Barn", "TB", "hill", "PU", 8, 30, 0.2, 0.1, 0.7, 0.0, 0.0),
    ],
    columns=["site", "initials", "depot", "blade", "count", "level", *FLOORS],
).set_index("site")
CLASSES = pd.DataFrame(
    [
        # life: mean hours of one edge on smooth concrete at pace 1; damage: mean hours to a tear
        ("gum blade", "blade", 4, 105, 2.5, 0.12, 0.88, 1400, 1),
        ("pu blade", "blade", 4, 180, 2.9, 0.10, 0.92, 1900, 1),
        ("nylon brush", "brush", 1, 420, 3.2, 0.10, 1.0, 9000, 2),
        ("grit brush", "brush", 1, 310, 2.8, 0.10, 1.0, 9000, 2),
        ("scrub pad", "pad", 2, 27, 2.1, 0.18, 1.0, 900, 2),
        ("polish pad", "pad", 2, 36, 2.2, 0.15, 1.0, 1200, 2),
        ("skirt", "other", 1, 700, 2.6, 0.08, 1.0, 2500, 2),
        ("filter", "other", 1, 520, 3.5, 0.05, 1.0, 6000, 1),
    ],
    columns=["wears_as", "kind", "edges", "life", "shape", "spread", "rear", "damage", "pieces"],
).set_index("wears_as")
EFFECTS = pd.DataFrame(
    {
        "blade": [0.60, 0.72, 0.0, -0.10, -0.38],
        "brush": [0.45, 0.50, 0.0, -0.15, -0.30],
        "pad": [0.70, 0.60, 0.0, 0.05, -0.25],
        "other": [0.15, 0.20, 0.0, 0.00, -0.05],
    },
    index=FLOORS,
)
EARLY = {
    "Ferry Hall": 0.08,
    "Fish Market": 0.35,
    "Boat Sheds": 0.22,
    "Pier School": 0.05,
    "Seed Library": 0.10,
    "Tram Barn": 0.12,
}
"""Chance that a worn edge is thrown away with the blade although edges are left, by site."""

NEW, RETIRED, ROLLS, REPLACED, SILENT = "TB-08", "BS-07", "FH-03", "FM-02", "SL-05"
"""One comes next month; one is gone; one meter passes 9,999.9; one is replaced; one fell silent."""
MOVED = {"TB-02": "2026-03-08", "FH-09": "2025-11-02"}
"""Machines whose floors changed, and the first day of it (a Sunday)."""
CLOSED = ("2026-12-20", "2027-01-02")
DOUBLED = {"TB-03": "2027-01-03", "TB-04": "2027-01-03"}


def build() -> Fleet:
    """The operator's fleet: two years behind as-of, one ahead."""
    rng = np.random.default_rng(SEED)
    machines = _machines(rng)
    mixes = _mixes(rng, machines)
    slots = _slots(rng, machines, mixes)
    season = _season(machines)
    sd, memory = 0.16, 0.5
    noise = fleets.draw_noise(rng, season.shape, sd, memory)
    weekly = _planned(machines, fleets.weekly_hours(machines, season, noise, sd, NOW))
    spells = fleets.live(slots, machines, weekly, rng)
    classes = _classes()
    return Fleet(
        machines,
        mixes,
        slots,
        season,
        noise,
        sd,
        memory,
        weekly,
        spells,
        classes,
        WARM,
        HISTORY,
        SEED,
    )


def week_of(date: str) -> int:
    """Number of the simulated week that starts on this Sunday."""
    return NOW + (pd.Timestamp(date) - fleets.AS_OF).days // 7


def _classes():
    """Lives turned into rates on each floor."""
    from scipy.special import gamma

    rate = (gamma(1 + 1 / CLASSES["shape"]) / CLASSES["life"]).to_numpy()[:, None]
    effects = EFFECTS[CLASSES["kind"]].T.to_numpy()
    return CLASSES.join(pd.DataFrame(rate * np.exp(effects), CLASSES.index, list(FLOORS)))


def _machines(rng):
    """Forty-one machines, named by site."""
    site = np.repeat(SITES.index, SITES["count"])
    number = pd.Series(site).groupby(site).cumcount() + 1
    initials = SITES.loc[site, "initials"].to_numpy()
    name = np.array([f"{i}-{n:02d}" for i, n in zip(initials, number, strict=True)])
    level = SITES.loc[site, "level"].to_numpy() * np.exp(rng.normal(0, 0.28, len(site)))
    width = rng.choice([45, 55, 65, 85], len(site))
    return pd.DataFrame(
        {
            "machine": name,
            "site": site,
            "depot": SITES.loc[site, "depot"].to_numpy(),
            "level": level.round(1),
            "width_cm": width,
            "starts": np.where(name == NEW, NOW + 2, 0),
            "bends": [week_of(MOVED[m]) if m in MOVED else NOW + fleets.AHEAD for m in name],
            "doubles": False,
        }
    )


def _mixes(rng, machines):
    """Each machine its own mix of its site's floors, in steps of 0.05."""
    taste = SITES.loc[machines["site"], list(FLOORS)].to_numpy()
    before = np.array([fleets.shares(rng, 2 * own) for own in taste])
    after = before.copy()
    names = machines["machine"]
    after[names == "TB-02"] = [0.6, 0.0, 0.4, 0.0, 0.0]
    after[names == "FH-09"] = [0.0, 0.0, 0.8, 0.2, 0.0]
    return np.stack([before, after])


def _slots(rng, machines, mixes):
    """Two blades, a deck of brushes or pads, skirts on the large ones, a filter on each."""
    n = len(machines)
    material = SITES.loc[machines["site"], "blade"].to_numpy()
    blade = np.where(material == "PU", "pu blade", "gum blade")
    smooth = mixes[0][:, 3] + mixes[0][:, 4] > 0.5
    deck = np.where(
        smooth,
        rng.choice(["polish pad", "scrub pad", "nylon brush"], n, p=[0.3, 0.4, 0.3]),
        rng.choice(["nylon brush", "grit brush"], n, p=[0.55, 0.45]),
    )
    columns = {
        "front blade": blade,
        "rear blade": blade,
        "deck": deck,
        "side skirts": np.full(n, "skirt"),
        "vacuum filter": np.full(n, "filter"),
    }
    slots = pd.concat(
        [
            pd.DataFrame({"machine": np.arange(n), "position": position, "wears_as": worn})
            for position, worn in columns.items()
        ]
    )
    small = machines["width_cm"].to_numpy()[slots["machine"]] < 60
    slots = slots[~(small & slots["position"].eq("side skirts"))]
    slots = slots.sort_values(["machine", "position"], ignore_index=True)
    slots["part"] = _part_names(slots)
    slots = fleets.fill_slots(rng, slots, machines, mixes, _classes())
    site = machines["site"].to_numpy()[slots["machine"]]
    slots["early_worn"] = [EARLY[s] for s in site]
    slots["early_damaged"] = [min(0.9, 2.5 * EARLY[s] + 0.1) for s in site]
    return slots


def _part_names(slots):
    """GUM-FRONT, PU-REAR, NYLON-BRUSH, SCRUB-PAD ...: named for what they are and do."""
    name = slots["wears_as"].str.upper().str.replace(" ", "-")
    place = slots["position"].str.split().str[0].str.upper()
    return name.where(
        slots["kind"].ne("blade") if "kind" in slots else ~name.str.endswith("BLADE"),
        name.str.replace("BLADE", "") + place,
    )


def _season(machines):
    """The ferry's summer, the school's holidays, a mild winter peak elsewhere; mean 1 a year."""
    weeks = np.arange(NOW + fleets.AHEAD)
    day = (fleets.AS_OF + pd.to_timedelta(7 * (weeks - NOW) + 4, "D")).day_of_year.to_numpy()
    summer = np.cos(2 * np.pi * (day - 200) / 365.25)
    log = np.tile(-0.06 * summer, (len(machines), 1))
    log[machines["site"] == "Ferry Hall"] = 0.28 * summer
    away = ((day > 182) & (day < 230)) | (day > 356) | (day < 4)
    log[machines["site"] == "Pier School"] = np.where(away, -1.6, 0.12)
    season = np.exp(log)
    return season / season[:, NOW - 52 : NOW].mean(axis=1, keepdims=True)


def _planned(machines, weekly):
    """Hours as they will be: plans kept to the letter, but for the week's chance; none retired."""
    names = machines["machine"]
    weekly = weekly.copy()
    weekly[names == RETIRED, week_of("2026-02-15") :] = 0.0
    school = machines["site"].eq("Pier School").to_numpy()
    closed = slice(week_of(CLOSED[0]), week_of(CLOSED[1]) + 1)
    weekly[school, closed] = 0.0
    for machine, start in DOUBLED.items():
        weekly[names == machine, week_of(start) :] *= 2.0
    return weekly
