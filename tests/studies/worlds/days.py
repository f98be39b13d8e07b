"""Day by day: machines run, edges wear, and what must be handled is handled.

One and the same day serves the log (one replication) and the year ahead (many at once, from the
true state at as-of). Arrays wear their axes: ``[replication, place]`` or
``[replication, machine]``.
"""

from dataclasses import dataclass

import numpy as np
import pandas as pd
from scipy.special import gamma

from tests.studies.worlds.catalogue import FLOORS
from tests.studies.worlds.fleet import Fleet

OTHER_REASONS = 1 / 8000
"""Parts taken off for no reason of their own [1/h]."""
CAUSES = ("worn", "damaged", "other", "planned")
_SHAPE_OF_WEEK = np.array([1.1, 1.1, 1.05, 1.05, 1.0, 0.7, 0.0]) / 6
_AGAIN = 60
_UNWRITTEN = -1
_EYE = 0.1


@dataclass
class State:
    """What is on the machines."""

    edge: np.ndarray
    """number of the edge at work"""
    wear: np.ndarray
    """wear taken by it"""
    endurance: np.ndarray
    """wear that it can take; 1 on average"""
    seen: np.ndarray
    """wear at which somebody takes it off before that; infinite where nobody looks"""
    looked: np.ndarray
    """wear when somebody was last there to take it off"""
    hours: np.ndarray
    """hours that it has run"""
    meter: np.ndarray
    """[replication, machine]"""

    def copied(self, replications: int) -> "State":
        """The same on each of so many fleets."""
        return State(*(np.repeat(getattr(self, name), replications, axis=0) for name in vars(self)))


@dataclass(frozen=True)
class Ends:
    """Everything that was handled; one entry an end."""

    replication: np.ndarray
    place: np.ndarray
    day: np.ndarray
    meter: np.ndarray
    cause: np.ndarray
    """index of `CAUSES`"""
    fitted: np.ndarray
    """a new part, else the next edge"""


def endurances(fleet: Fleet, places: np.ndarray, rng: np.random.Generator) -> np.ndarray:
    """What new edges at these places can take: mean 1, by the law of their class."""
    law = np.array([fleet.lives[name] for name in fleet.column("wears_as")])[places]
    spread = fleet.column("unevenness")[places]
    drawn = np.empty(len(places))
    for name in np.unique(law):
        mine = law == name
        drawn[mine] = _draw(str(name), spread[mine], rng)
    return drawn


def _draw(law: str, spread: np.ndarray, rng: np.random.Generator) -> np.ndarray:
    """Positive numbers of mean 1 and that standard deviation."""
    if law == "weibull":
        shape = spread**-1.086
        return np.asarray(rng.weibull(shape) / gamma(1 + 1 / shape))
    if law == "gamma":
        return rng.gamma(spread**-2) * spread**2
    if law == "log-normal":
        width = np.sqrt(np.log1p(spread**2))
        return np.exp(rng.normal(-(width**2) / 2, width))
    return rng.wald(1.0, spread**-2)  # the first time that wear with even steps passes a limit


def seen_at(
    fleet: Fleet, places: np.ndarray, endurance: np.ndarray, rng: np.random.Generator
) -> np.ndarray:
    """Wear at which each edge looks worn enough to be taken off."""
    share = _by_site(fleet, "at_own_life", np.inf)[fleet.column("site")[places]]
    return (share + rng.normal(0, _EYE, len(places))) * endurance


def new_state(fleet: Fleet, rng: np.random.Generator) -> State:
    """New parts on all machines."""
    everywhere = np.arange(len(fleet.places))
    endurance = endurances(fleet, everywhere, rng)
    return State(
        edge=np.ones((1, len(everywhere)), int),
        wear=np.zeros((1, len(everywhere))),
        endurance=endurance[None],
        seen=seen_at(fleet, everywhere, endurance, rng)[None],
        looked=np.zeros((1, len(everywhere))),
        hours=np.zeros((1, len(everywhere))),
        meter=np.round(rng.uniform(0, 3000, (1, len(fleet.machines))), 1),
    )


def from_what_is_seen(
    fleet: Fleet, state: State, replications: int, rng: np.random.Generator
) -> State:
    """Many fleets in the state at as-of, each with another hidden rest of its edges' lives.

    An edge at work outlasts the wear that it has taken: one is drawn until it does. One that no
    draw outlasts keeps its own.
    """
    many = state.copied(replications)
    open_ = np.argwhere(np.ones_like(many.wear, bool))
    for _ in range(_AGAIN):
        where = tuple(open_.T)
        endurance = endurances(fleet, where[1], rng)
        seen = seen_at(fleet, where[1], endurance, rng)
        lasts = np.minimum(endurance, seen) > many.looked[where]
        done = tuple(open_[lasts].T)
        many.endurance[done], many.seen[done] = endurance[lasts], seen[lasts]
        open_ = open_[~lasts]
    return many


def run(
    fleet: Fleet,
    state: State,
    first: int,
    last: int,
    rng: np.random.Generator,
    shocks: dict[str, np.ndarray] | None = None,
) -> tuple[Ends, np.ndarray]:
    """Everything that happens from day `first` to day `last`; the state moves along.

    Parameters
    ----------
    shocks : wear of a calendar quarter over its usual, by replication; drawn where not given

    Returns
    -------
    Ends, and the meters at the end of each day (days, replications, machines)
    """
    shocks = {} if shocks is None else shocks
    limit = planned_hours(fleet)
    ends, meters = [], []
    for day in range(first, last + 1):
        date = fleet.as_of + pd.Timedelta(days=day)
        hours = hours_of_day(fleet, day, date, len(state.meter), rng)
        speed = _speed(fleet, day, len(state.meter), rng)
        speed = speed * _shock(fleet, date, len(state.meter), shocks, rng)[:, None]
        ends.append(_handle(fleet, state, (day, date), hours, speed, limit, rng))
        state.meter = state.meter + hours
        meters.append(state.meter)
    return Ends(*(np.concatenate(column) for column in zip(*ends, strict=True))), np.array(meters)


def hours_of_day(
    fleet: Fleet, day: int, date: pd.Timestamp, replications: int, rng: np.random.Generator
) -> np.ndarray:
    """Run hours of each machine on a day; now and then one stands still."""
    machines = fleet.machines
    since = "hours" if day >= fleet.first_day else "hours_before"
    usual = machines[since].to_numpy() * _SHAPE_OF_WEEK[date.weekday()]
    site = machines["site"].map(fleet.sites.index).to_numpy()
    season = 1 + fleet.swing[site] * np.sin(2 * np.pi * date.day_of_year / 365.25)
    here = machines["starts"].to_numpy() <= day
    since, more = fleet.world.hours_since
    usual = usual * np.where((day >= since) & (np.arange(len(usual)) % 2 == 0), more, 1.0)
    first, last = fleet.world.stands
    here &= ~((np.arange(len(usual)) % 3 == 0) & (first <= day < last))
    here &= ~(np.isin(date.month, fleet.world.closed) & (site % 2 == 0))
    size = (replications, len(machines))
    runs = (rng.random(size) < 0.95) / 0.95
    season = np.where(machines["planned"], 1.0, season)
    return usual * season * here * runs * rng.gamma(16.0, 1 / 16, size)


def _speed(fleet: Fleet, day: int, replications: int, rng: np.random.Generator) -> np.ndarray:
    """Wear an hour of each place, on the floor that its machine is on that day."""
    after = (fleet.machines["moves"].to_numpy() <= day).astype(int)
    date = fleet.as_of + pd.Timedelta(days=day)
    away = np.arange(len(after)) < fleet.world.lent * len(after)
    after = np.where(away & (date.quarter % 2 == 0), 1, after)
    upto = fleet.shares[after, np.arange(len(after))].cumsum(axis=1)
    drawn = rng.random((replications, len(after), 1))
    floor = np.minimum((drawn >= upto).sum(axis=2), len(FLOORS) - 1)
    places = np.arange(len(fleet.places))
    since, kind, faster = fleet.world.since
    mine = fleet.column("kind") == kind if kind else np.ones(len(places), dtype=bool)
    later = np.where(mine & (since <= day < fleet.world.until), faster, 1.0)
    season = 1 + fleet.world.winter * np.cos(2 * np.pi * (date.day_of_year - 15) / 365.25)
    season *= fleet.world.yearly ** (day / 365)
    return np.asarray(fleet.wear[places, floor[:, fleet.places["machine"]]] * later * season)


def _shock(fleet, date, replications, shocks, rng):
    """Wear of this quarter over its usual, one number a replication."""
    name = f"{date.year}Q{date.quarter}"
    if name not in shocks:
        shocks[name] = np.exp(rng.normal(0, fleet.world.shock, replications))
    return np.broadcast_to(shocks[name], replications)


def planned_hours(fleet: Fleet) -> np.ndarray:
    """Hours after which a site ends an edge by its schedule, by place; infinite without one."""
    site, kind = fleet.column("site"), fleet.column("kind")
    by_hours = np.where(kind == "blade", _by_site(fleet, "blades_at_hours", np.inf)[site], np.inf)
    by_life = _by_site(fleet, "new_at_life", np.inf)[site] * usual_life(fleet)
    return np.minimum(by_hours, by_life)


def usual_life(fleet: Fleet) -> np.ndarray:
    """What a site takes for the life of an edge of that class: the mean on its own floors."""
    site, part = fleet.column("site"), fleet.column("part")
    shares = fleet.shares[0][fleet.places["machine"]]
    life = 1 / (shares * fleet.wear).sum(axis=1)
    return np.asarray(pd.Series(life).groupby([site, part]).transform("mean"))


def _by_site(fleet: Fleet, rule: str, off: float) -> np.ndarray:
    values = [getattr(policy, rule) for policy in fleet.policies]
    return np.array([off if value is None else value for value in values])


def _handle(fleet, state, now, hours, speed, limit, rng):
    """The edges that end on this day, and what goes on in their stead; changes the state."""
    day, _ = now
    machine = fleet.column("machine")
    ran = hours[:, machine]
    until = np.stack(
        [
            (state.endurance - state.wear) / speed,
            rng.exponential(size=ran.shape) / (fleet.damage * _torn_more(fleet, day)),
            rng.exponential(size=ran.shape) / OTHER_REASONS,
            np.minimum(
                _limit_now(fleet, limit, day) - state.hours, (state.seen - state.wear) / speed
            ),
        ]
    )
    cause = until.argmin(axis=0)
    first = np.maximum(until.min(axis=0), 0.0)
    there = _there(fleet, day)
    ended = (first < ran) & there
    ended, first, cause = _with_partner(fleet, ended, first, cause)
    renewed = _renewed(fleet, ended, now)
    first = np.where(renewed & ~ended, 0.0, first)
    cause = np.where(renewed & ~ended, _cause_of_renewal(fleet, day), cause)
    ended = ended | renewed
    fitted = ended & (renewed | ~_turned(fleet, state, cause, day, rng))
    replication, place = np.nonzero(ended)
    happened = (
        replication,
        place,
        np.full(len(place), day),
        (state.meter[:, machine] + first)[ended],
        cause[ended],
        fitted[ended],
    )
    since = np.where(ended, ran - first, ran)
    state.edge = np.where(fitted, 1, state.edge + ended)
    state.wear = np.where(ended, 0.0, state.wear) + since * speed
    state.looked = np.where(there | ended, state.wear, state.looked)
    state.hours = np.where(ended, 0.0, state.hours) + since
    state.endurance[ended] = endurances(fleet, place, rng)
    since, share = fleet.world.used_parts
    used = ended & (day >= since) & fitted
    if used.any():
        state.wear = state.wear + 0.5 * (used & (rng.random(used.shape) < share))
    state.seen[ended] = seen_at(fleet, place, state.endurance[ended], rng)
    if fleet.world.new_meter and day in fleet.world.renewed[0]:
        state.meter[:, machine[renewed.any(axis=0)]] = 0.0
    return happened


def _torn_more(fleet, day):
    since, times = fleet.world.damage_since
    return times if day >= since else 1.0


def _limit_now(fleet, limit, day):
    """The schedule's hours by place, where it has begun."""
    since = np.array([policy.at_hours_since for policy in fleet.policies])
    return np.where(day >= since[fleet.column("site")], limit, np.inf)


def _there(fleet, day):
    """Places [place] that can be handled on that day."""
    site = fleet.column("site")
    visits = np.array([policy.visits for policy in fleet.policies])[site]
    first, last = fleet.world.stock_out
    out = (fleet.column("kind") == "blade") & (first <= day <= last)
    return ((day - 1 - site % 6) % visits == 0) & ~out  # no Sunday, when nothing runs


def _renewed(fleet, ended, now):
    """Edges that go with a whole machine."""
    day, date = now
    machine, site = fleet.column("machine"), fleet.column("site")
    months = np.array([policy.campaign for policy in fleet.policies])
    monday = date.weekday() == 0 and date.day <= 7
    campaign = monday & (months > 0) & ((date.month - 1) % np.maximum(months, 1) == 0)
    days, share = fleet.world.renewed
    those = (day in days) & (np.arange(len(fleet.machines)) < share * len(fleet.machines))
    whole = np.array([policy.whole_machine for policy in fleet.policies])[site]
    broken = np.zeros((len(ended), len(fleet.machines)), bool)
    np.maximum.at(broken.T, machine, ended.T)
    return campaign[site] | those[machine] | (whole & broken[:, machine])


def _cause_of_renewal(fleet, day):
    word = fleet.world.renewed_as if day in fleet.world.renewed[0] else "planned"
    return CAUSES.index(word) if word else _UNWRITTEN


def _with_partner(fleet, ended, first, cause):
    """Where a site handles both blades together, the other one goes too, as planned."""
    partner = fleet.column("partner")
    together = np.array([policy.blades_together for policy in fleet.policies])[fleet.column("site")]
    other = np.where(partner >= 0, partner, 0)
    drawn_along = (partner >= 0) & together & ended[:, other] & (~ended | (first > first[:, other]))
    first = np.where(drawn_along, first[:, other], first)
    cause = np.where(drawn_along, CAUSES.index("planned"), cause)
    return ended | drawn_along, first, cause


def _turned(fleet, state, cause, day, rng):
    """Whether the next edge is used, by the site's rule, else by its habit after such an end."""
    site = fleet.column("site")
    left = state.edge < fleet.column("edges")
    habit = np.column_stack([fleet.turns, np.zeros(len(fleet.sites)), np.ones(len(fleet.sites))])
    of = [policy.turns_since for policy in fleet.policies]
    less = np.array([times if day >= since else 1.0 for since, times in of])
    turned = rng.random(cause.shape) < (habit * less[:, None])[site, cause]
    exact = _by_site(fleet, "edges_used", np.inf)[site]
    many = (fleet.column("kind") == "blade") & np.isfinite(exact)
    turned = np.where(many, state.edge < exact, turned)
    afresh = np.isfinite(_by_site(fleet, "new_at_life", np.inf))[site]
    turned = turned & ~(afresh & (cause == CAUSES.index("planned")))
    together = np.array([policy.blades_together for policy in fleet.policies])[site]
    return left & np.where(together & (fleet.column("kind") == "blade"), True, turned)
