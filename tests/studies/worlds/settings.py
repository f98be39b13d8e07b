"""The worlds: each a small record of what differs from the plain one.

A `Policy` is what one site does with its edges, a `World` what is so in the whole fleet.
"""

from dataclasses import dataclass, field, replace
from math import inf
from typing import Any

from tests.studies.worlds.edits import EDITS


@dataclass(frozen=True)
class Policy:
    """What a site does with an edge; every rule is off unless given."""

    blades_at_hours: float | None = None
    """A blade's edge is ended after so many hours, whatever it looks like; logged as planned."""
    at_own_life: float | None = None
    """Somebody sees the wear and ends an edge at about this share of its own life, as planned; the
    eye errs by a tenth of a life, so some wear out before."""
    new_at_life: float | None = None
    """The whole part is replaced when its edge has run this share of a usual life, as planned."""
    blades_together: bool = False
    """Both blades are handled when one must be; the other one's end is logged as planned."""
    edges_used: int | None = None
    """A part is replaced after exactly so many edges."""
    at_hours_since: float = -inf
    """The day from which blades are ended by hours."""
    visits: int = 1
    """Somebody comes every so many days; only then is anything handled, also what is long worn."""
    campaign: int = 0
    """Every part is replaced, as planned, on the first Monday of every so manieth month."""
    whole_machine: bool = False
    """Where one part goes all of the machine's go, logged as planned."""
    turns_since: tuple[float, float] = (inf, 1.0)
    """A day from which edges left over are turned with so many times the chance."""


@dataclass(frozen=True)
class World:
    """What is so in a fleet."""

    about: str
    policy: Policy = Policy()
    odd_site: Policy | None = None
    """What the first site does instead."""
    weeks: tuple[int, ...] = (78, 91, 104)
    machines: tuple[int, int] = (20, 40)
    sites: tuple[int, int] = (4, 6)
    hours: tuple[float, float] = (14.0, 42.0)
    """A machine's usual week, lowest and highest."""
    site_wear: float = 0.0
    """Log standard deviation of a site's wear, all parts alike."""
    site_damage: float = 0.0
    shock: float = 0.0
    """Log standard deviation of the whole fleet's wear in a calendar quarter."""
    winter: float = 0.0
    """By how much more all wears in mid-winter than usual; by as much less in summer."""
    machine_wear: float = 0.05
    """Log standard deviation of a machine's wear, shared by all its parts."""
    machine_part_wear: float = 0.11
    """The same, each of a machine's wear classes by itself."""
    idle: float = 0.0
    """Share of the machines that run two to five hours a week since the log began."""
    life_factor: dict[str, float] = field(default_factory=dict)
    """By kind: how many times longer than usual its edges last."""
    newcomers: int = 0
    """Machines that start the day after as-of."""
    late: float = 0.0
    """Share of the machines that came during the second half of the log, new."""
    moved: float = 0.0
    """Share of the machines that were put on other floors during the log."""
    all_new: bool = False
    """The log starts with new machines."""
    worn_words: tuple[str, ...] = ()
    """What the site writes for worn: one of these a fleet, in turn; else worn."""
    stranger: bool = False
    """Quote a site that nobody has measured."""
    one_floor: bool = False
    quiet_days: int = 0
    """Only fleets whose last change lies at least so many days before as-of."""
    unevenness: float | None = None
    """Standard deviation of every part's life over its mean, in place of the catalogue's."""
    month_end: bool = False
    """Changes are written at the end of the month, without hours."""
    since: tuple[float, str, float] = (inf, "", 1.0)
    """A day from which parts of a kind (all, if blank) wear so many times as fast, for good."""
    until: float = inf
    """or up to this day."""
    damage_since: tuple[float, float] = (inf, 1.0)
    """A day from which edges are damaged so many times as often, for good."""
    used_parts: tuple[float, float] = (inf, 0.0)
    """A day from which a share of the parts is put on with half of its life gone."""
    hours_since: tuple[float, float] = (inf, 1.0)
    """A day from which every second machine runs so many times its hours, for good."""
    stands: tuple[float, float] = (inf, inf)
    """Days between which every third machine stands still; its meter is read."""
    yearly: float = 1.0
    """All wears so many times as fast each year."""
    closed: tuple[int, ...] = ()
    """Months in which every second site stands still."""
    stock_out: tuple[float, float] = (inf, inf)
    """Days between which no blade is changed."""
    renewed: tuple[tuple[float, ...], float] = ((), 0.0)
    """Days on which a share of the machines gets new parts throughout."""
    renewed_as: str = "other"
    """The cause written then; blank: nothing is written."""
    new_meter: bool = False
    """Such a machine is another one under its number: its meter begins anew."""
    lent: float = 0.0
    """Share of the machines that are on other floors every second quarter; not written."""
    edit: tuple[str, ...] = ()
    """What is done to the tables before they are read: names in `tests.studies.worlds.edits`."""
    says_hours: float = 0.7
    """Share of the changes that are written with the meter's hours."""
    damage: float = 1.0
    """How many times as often as usual edges are damaged."""


_PLAIN = World("sites alike, edges used until worn, most turned")

WORLDS = {
    "plain": _PLAIN,
    "growth": replace(_PLAIN, about="half of the machines came during the log", late=0.5),
    "moved": replace(_PLAIN, about="a third of the machines moved to other floors", moved=0.35),
    "short": replace(_PLAIN, about="half a year of log", weeks=(26,)),
    "every-60-hours": World(
        "every blade edge is turned at 60 h as planned, all four edges used",
        policy=Policy(blades_at_hours=60.0, edges_used=4),
        life_factor={"blade": 1.8},
    ),
    "blades-together": World(
        "both blades are handled together, the partner logged as planned",
        policy=Policy(blades_together=True),
    ),
    "site-at-60-percent": World(
        "one site of four replaces parts at 60 % of a usual edge's life, as planned",
        odd_site=Policy(new_at_life=0.6),
        sites=(4, 4),
    ),
    "at-85-percent": World(
        "edges are always ended at about 85 % of their own life, as planned",
        policy=Policy(at_own_life=0.85),
    ),
    "three-edges": World(
        "a blade goes after exactly three of its four edges", policy=Policy(edges_used=3)
    ),
    "site-wear-30": World("sites' wear differs, log sd .30", site_wear=0.30, stranger=True),
    "site-wear-15": World("sites' wear differs, log sd .15", site_wear=0.15, stranger=True),
    "site-wear-00": World("sites' wear is alike; a stranger's quote", stranger=True),
    "site-damage-80": World("damage differs by site, log sd .8", site_damage=0.8),
    "shock-10": World("the fleet's wear differs by quarter, log sd .10", shock=0.10),
    "shock-20": World("the fleet's wear differs by quarter, log sd .20", shock=0.20),
    "winter-30": World("all wears 1.3 times as fast in winter, .7 times in summer", winter=0.3),
    "fast-machines": World(
        "what makes a machine wear parts fast acts on all its parts",
        machine_wear=0.30,
        machine_part_wear=0.05,
    ),
    "low-hours": World(
        "most machines run two to five hours a week; many positions have no line in a year",
        weeks=(52,),
        machines=(40, 40),
        idle=0.6,
    ),
    "long-lived": World("rollers last long, so few ends", life_factor={"brush": 4.0}),
    "thin-log": World(
        "few ends, at any age, and readings going on long after the last change",
        weeks=(52,),
        machines=(6, 6),
        sites=(1, 1),
        hours=(8.0, 16.0),
        life_factor={"blade": 7.0, "pad": 20.0, "brush": 8.0},
        quiet_days=90,
        unevenness=0.85,
        damage=0.02,
        all_new=True,
        one_floor=True,
        machine_wear=0.0,
        machine_part_wear=0.0,
        says_hours=1.0,
    ),
    "other-make": World(
        "blades of another make for half a year, not written down", since=(-180, "blade", 1.67)
    ),
    "other-cleaner": World("all wears a quarter slower for four months", since=(-120, "", 0.75)),
    "five-newcomers": World("five machines start at as-of, no reading yet", newcomers=5),
    "month-end": World("changes are written at the end of their month", month_end=True),
    "other-words": World(
        "worn is written in other words",
        worn_words=("verschlissen", "leaving water", "normal wear", "ausgehärtet"),
    ),
}

_LONG = {"blade": 3.0, "pad": 3.0, "brush": 3.0}
_LIVED: dict[str, dict[str, Any]] = {
    "campaign-3": {"policy": Policy(campaign=3)},
    "campaign-12": {"policy": Policy(campaign=12)},
    "whole-machine": {"policy": Policy(whole_machine=True)},
    "visits-7": {"policy": Policy(visits=7)},
    "visits-28": {"policy": Policy(visits=28)},
    "visits-28-near-end": {"policy": Policy(visits=28, at_own_life=0.8)},
    "visits-28-long": {"policy": Policy(visits=28), "life_factor": _LONG},
    "visits-91": {"policy": Policy(visits=91)},
    "turns-less-120": {"policy": Policy(turns_since=(-120, 0.3))},
    "turns-less-60": {"policy": Policy(turns_since=(-60, 0.3))},
    "no-turns-at-one-site-120": {"odd_site": Policy(turns_since=(-120, 0.0))},
    "schedule-90": {"policy": Policy(blades_at_hours=50.0, at_hours_since=-90)},
    "schedule-40": {"policy": Policy(blades_at_hours=50.0, at_hours_since=-40)},
    "damage-60": {"damage_since": (-60, 4.0)},
    "damage-150": {"damage_since": (-150, 4.0)},
    "bad-batch-over": {"since": (-200, "blade", 1.7), "until": -110},
    "bad-batch-now": {"since": (-90, "blade", 1.7), "until": 1},
    "used-parts": {"used_parts": (-9999, 0.4)},
    "used-parts-80": {"used_parts": (-80, 0.5)},
    "two-shifts-60": {"hours_since": (-60, 1.9)},
    "two-shifts-20": {"hours_since": (-20, 1.9)},
    "fewer-hours-45": {"hours_since": (-45, 0.3)},
    "stands-120": {"stands": (-120, 60)},
    "stood-180": {"stands": (-250, -70)},
    "yearly-15": {"yearly": 1.15},
    "schools": {"closed": (7, 8)},
    "schools-40-weeks": {"closed": (7, 8), "weeks": (40,)},
    "closed-in-winter": {"closed": (12, 1, 2)},
    "stock-out-over": {"stock_out": (-200, -140)},
    "stock-out-late": {"stock_out": (-70, -10)},
    "stock-out-now": {"stock_out": (-40, 20)},
    "renewed-planned": {"renewed": ((-250,), 1.0), "renewed_as": "planned"},
    "renewed-other": {"renewed": ((-250,), 1.0), "renewed_as": "other"},
    "renewed-10-other": {"renewed": ((-10,), 1.0), "renewed_as": "other"},
    "renewed-unwritten": {"renewed": ((-250,), 1.0), "renewed_as": ""},
    "renewed-10-unwritten": {"renewed": ((-10,), 1.0), "renewed_as": ""},
    "same-number": {"renewed": ((-150,), 0.5), "renewed_as": "", "new_meter": True},
    "same-number-20": {"renewed": ((-20,), 0.5), "renewed_as": "", "new_meter": True},
    "lent": {"lent": 0.4},
    "only-new-floors": {"moved": 0.5, "edit": ("only new floors",)},
    "pair-once": {"policy": Policy(blades_together=True), "edit": ("pair once",)},
    "whole-machine-as-worn": {
        "policy": Policy(whole_machine=True), "edit": ("planned as worn",)
    },
}  # fmt: skip
WORLDS |= {
    name.replace(" ", "-"): replace(_PLAIN, about=f"written with {name}", edit=(name,))
    for name in EDITS
}
WORLDS |= {name: replace(_PLAIN, about=name, **set_) for name, set_ in _LIVED.items()}
"""Fleets like the plain one but for one thing lived, or one way to write."""
