"""What the fit makes one doubt: edges that lasted too long, ends that look like a schedule."""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import replace
from typing import NamedTuple

import numpy as np
import pandas as pd

from wearcast.history.holes import Hole
from wearcast.history.quarters import QUARTER_DAYS
from wearcast.history.spells import HANDLED
from wearcast.history.story import History
from wearcast.history.words import day_words, names_words
from wearcast.told import GRAVE, Problem
from wearcast.wear.causes import CODES, LAWS
from wearcast.wear.class_spells import rows_by
from wearcast.wear.fitting.masked import Laws
from wearcast.wear.fitting.off import off_chances
from wearcast.wear.gather import LEAST_HOURS
from wearcast.wear.life import load
from wearcast.wear.pace import common_rates, machine_exposure
from wearcast.wear.posterior import at_estimate
from wearcast.wear.records import ClassSpells
from wearcast.wear.spells import sum_by

LEAST_CHANCE = 0.01
"""A running edge is left out of the fit where, of as many, fewer than this chance has one that
lasts so long."""
NO_HOURS = 1e-9
"""Stands for none where a logarithm is taken [h]."""
LEAST_SILENCE = 0.001
"""A smaller chance that a site's positions all went on without a change is not believed."""
SCHEDULE_CV = 0.5
"""Planned ends whose hours vary less than this (sd over mean) look like a schedule, if surely."""
RANDOM_CV = 1 / np.sqrt(3)
"""The least that hours of ends at random times can vary: see `_sure_of_schedule`."""
SURE = 3.09
"""Standard deviations (one in a thousand) that the hours must vary less than at random."""
STILL_DAYS, STILL_LEAST, STILL_OFTEN = 7, 5, 0.01
"""Days on the floor without an hour run; so many such edges, and such a share, are told. Chosen
here."""


def note(
    wrong: str, remedy: str = "", value: str = "", column: str = "", weight: float = 0.0
) -> Problem:
    """A finding about the wear that no single row is to blame for."""
    return Problem("", "changes", (), column, value, "note", wrong, remedy, weight)


class Fitted(NamedTuple):
    """The three laws at their estimates, and what machines do to all their classes."""

    laws: Laws
    floors: tuple[str, ...]
    common: Mapping[str, float]
    """By machine: log rate in common to its classes."""


def fitted_at(laws: Laws, spells: Mapping[str, ClassSpells], floors: tuple[str, ...]) -> Fitted:
    """The laws with each machine's likeliest rate."""
    block = laws[0]
    machines = tuple(sorted({name for group in spells.values() for name in group.machines}))
    if "machine" not in block.spreads or not machines:
        return Fitted(laws, floors, {})
    exposures = [
        machine_exposure(group, at_estimate(block, name, floors, group.effect_names), machines)
        for name, group in spells.items()
        if len(group.cause)
    ]
    common = common_rates(exposures, np.array([block.spreads["machine"].mean]), len(machines))
    return Fitted(laws, floors, dict(zip(machines, common.mean[:, 0].tolist(), strict=True)))


def wear_residuals(name: str, group: ClassSpells, fitted: Fitted) -> np.ndarray:
    """Hazard of wear-out that each spell ran through: -log of the chance to last so long.

    The machine's pace in the class is integrated out, given the machine's other spells.
    Array (spells,), dimensionless.
    """
    params = at_estimate(fitted.laws[0], name, fitted.floors, group.effect_names)
    common = np.array([fitted.common.get(machine, 0.0) for machine in group.machines])
    log_wear = np.log(group.hours @ np.exp(params.log_rates[0]))
    log_wear += group.effects @ params.effects[0] + common[group.machine]
    power = load(log_wear, params.log_shape[0])
    spread = params.spread[0]
    if spread == 0:
        return np.asarray(power)
    worn = group.chances[:, LAWS.index("worn")]
    others = sum_by(group.machine, power)[group.machine] - power
    count = sum_by(group.machine, worn)[group.machine] - worn
    return np.asarray((1 / spread + count) * np.log1p(power / (1 / spread + others)))


def end_residuals(name: str, group: ClassSpells, fitted: Fitted) -> np.ndarray:
    """Hazard of all ends that each spell ran through.

    Array (spells,) of hazards: a log of a chance, dimensionless.
    """
    off = off_chances(fitted.laws[2], name, group)
    wear = wear_residuals(name, group, fitted)
    return np.asarray(wear + tear_residuals(name, group, fitted) + off)


def tear_residuals(name: str, group: ClassSpells, fitted: Fitted) -> np.ndarray:
    """Hazard of damage that each spell ran through (dimensionless); array (spells,)."""
    torn = at_estimate(fitted.laws[1], name, fitted.floors, group.effect_names)
    hours = group.hours @ np.exp(torn.log_rates[0])
    return np.asarray(hours * np.exp(group.effects @ torn.effects[0]))


def lasting_too_long(spells: Mapping[str, ClassSpells], fitted: Fitted) -> pd.Index:
    """Labels of running spells that most likely hide a change that was not written down.

    All running edges are judged together: by chance alone one in 100 logs has such an edge.
    """
    running = {name: group.cause == CODES["running"] for name, group in spells.items()}
    count = max(sum(int(some.sum()) for some in running.values()), 1)
    least = LEAST_CHANCE / count
    found = [
        group.spell[running[name] & (np.exp(-end_residuals(name, group, fitted)) < least)]
        for name, group in spells.items()
        if running[name].any()
    ]
    return pd.Index(np.concatenate([*found, np.empty(0)])).sort_values()


def improbable_silences(
    spells: Mapping[str, ClassSpells], until_silence: pd.DataFrame, fitted: Fitted
) -> list[str]:
    """Sites whose last written change lies so far back that it is improbable.

    Parameters
    ----------
    spells : mapping of ClassSpells
        Running ones until as-of.
    until_silence : DataFrame
        By spell, a column a floor: hours until the site's last written change.
    fitted : Fitted

    Returns
    -------
    list of str
        Sites where all positions together had less than one chance in 1,000 to go on without a
        change from then on.
    """
    through = []
    for name, group in spells.items():
        if not len(group.cause):
            continue
        running = group.cause == CODES["running"]
        hours = np.maximum(until_silence.loc[group.spell].to_numpy(float), NO_HOURS)
        until = end_residuals(name, replace(group, hours=hours), fitted)
        more = np.where(running, end_residuals(name, group, fitted) - until, 0.0)
        through.append((group.site, more))
    return _improbable(through)


def _improbable(
    through: Iterable[tuple[np.ndarray, np.ndarray]], least: float = LEAST_SILENCE
) -> list[str]:
    """The sites, sorted, that went through more hazard than so few do without an end.

    `through`: by class, each spell's site (or machine) and hazard; `least`: a chance.
    """
    total: dict[str, float] = {}
    for sites, hazard in through:
        for site, here in rows_by(sites).items():
            total[site] = total.get(site, 0.0) + float(hazard[here].sum())
    return sorted(site for site, hazard in total.items() if hazard > -np.log(least))


def not_written(
    firsts: Mapping[str, ClassSpells], places: Collection[str], fitted: Fitted, of: str = "site"
) -> list[str]:
    """Those of some places without any change at which that is improbable, by the others.

    Parameters
    ----------
    firsts : mapping of ClassSpells
        Positions without a change among them: they lasted at least so long.
    places : collection of str
        Sites or machines, as `of` says; not in the fit.
    fitted : Fitted
    """
    through = (
        (
            group.site if of == "site" else np.array(group.machines, object)[group.machine],
            end_residuals(name, group, fitted),
        )
        for name, group in firsts.items()
        if len(group.cause)
    )
    least = LEAST_SILENCE / max(len(places), 1) if of == "machine" else LEAST_SILENCE
    return [place for place in _improbable(through, least) if place in places]


def tell_not_written(sites: list[str], machines: list[str]) -> list[Problem]:
    """One finding each for the sites and the machines whose changes nobody wrote."""
    return [
        note(
            f"no change is written at {names_words(names)}, though its meters went on: that is "
            f"most unlikely (under 1 in 1,000), so what is used there is forecast as at a usual "
            f"{what}",
            "Add its changes; if another name was used for its machines there, write this one",
            ", ".join(names),
            "machine",
            GRAVE,
        )
        for names, what in ((sites, "site"), (machines, "machine"))
        if names
    ]


def tell_holes(holes: list[Hole]) -> list[Problem]:
    """One finding a stretch of the log that is missing."""
    return [
        note(
            f"no change is written between {day_words(hole.begin)} and {day_words(hole.end)} at "
            f"{names_words(list(hole.sites))}, though its meters went on: that is most unlikely, "
            "so no life is counted through that time",
            "Add the file or the sheet that is missing",
            ", ".join(hole.sites),
            "date",
            GRAVE,
        )
        for hole in holes
    ]


def tell_silences(sites: list[str], history: History) -> list[Problem]:
    """One finding a site whose changes seem to have ended before as-of.

    After more than a quarter nobody knows how fast things wear there by now.
    """
    since = history.spells.groupby("site")["silent_since"].max()
    return [
        note(
            f"{site} has written no change since {day_words(since[site])}, while its meters went "
            f"on: that is most unlikely (under 1 in 1,000), so its running edges count as watched "
            f"until then only, and as of any age now",
            "Add the changes since then, or say that there were none with a row in changes later",
            site,
            "date",
            GRAVE if (history.as_of - since[site]).days > QUARTER_DAYS else 3.0,
        )
        for site in sites
    ]


def tell_short(history: History) -> list[Problem]:
    """Ended spells that ran no time at all: two lines on one day."""
    hours = history.exposure.sum(axis=1)
    short = history.spells["in_fit"].astype(bool) & history.spells["ended"].ne("running")
    count = int((short & hours.lt(LEAST_HOURS)).sum())
    if not count:
        return []
    return [
        note(
            f"{count} {'edge ends' if count == 1 else 'edges end'} within minutes of being put to "
            f"the floor; left out of the fit",
            "Look for lines written twice or with the wrong hours",
        )
    ]


def tell_still_meters(history: History) -> list[Problem]:
    """Changes on meters that stood still meanwhile, where they are many."""
    spells, read = history.spells, history.meters
    if spells.empty or read.empty:
        return []
    read = read[read["read"]].groupby("machine")["date"].agg(["min", "max"])
    first, last = (spells["machine"].map(read[side]) for side in ("min", "max"))
    watched = spells["start"].ge(first) & spells["end"].le(last)
    ended = watched & spells["ended"].isin(HANDLED)
    days = (spells["end"] - spells["start"]).dt.days
    still = ended & spells["hours"].lt(LEAST_HOURS) & days.ge(STILL_DAYS)
    if still.sum() < max(STILL_LEAST, STILL_OFTEN * ended.sum()):
        return []
    machines = sorted(set(spells.loc[still, "machine"].astype(str)))
    return [
        note(
            f"{still.sum()} of {ended.sum()} edges were changed though the meter had not moved "
            f"since they went on ({names_words(machines)}): where a meter stands still and the "
            f"machine works, nothing is forecast for it",
            "Look at these hour meters; write new_meter where they are replaced, or give the "
            "machine a plan",
            names_words(machines),
            "machine",
            GRAVE,
        )
    ]


def tell_lasting(spells: pd.DataFrame) -> list[Problem]:
    """One finding an edge that was left out for lasting too long."""
    places = spells["machine"].astype(str) + ", " + spells["position"].astype(str)
    return [
        note(
            f"this edge would be at work for {hours:,.0f} h by now, which hardly any would last; "
            f"it is left out of the fit",
            "Write down the change that was missed, if there was one",
            place,
            "position",
        )
        for place, hours in zip(places, spells["hours"], strict=True)
    ]


def tell_schedules(spells: pd.DataFrame) -> list[Problem]:
    """Classes and sites whose planned ends cluster in hours."""
    planned = spells[spells["cause"].eq("planned") & spells["in_fit"].astype(bool)]
    hours = planned.groupby(["site", "wears_as"], sort=True)["hours"].agg(["mean", "std", "size"])
    found = hours[_sure_of_schedule(hours["std"] / hours["mean"], hours["size"])]
    return [
        note(
            f"{int(size)} planned ends of {name} at {site} lie close around {mean:,.0f} h: they "
            f"look like a schedule, and the forecast goes on with it",
            value="planned",
            column="cause",
        )
        for (site, name), mean, size in zip(found.index, found["mean"], found["size"], strict=True)
    ]


def _sure_of_schedule(variation: pd.Series, ends: pd.Series) -> pd.Series:
    """Whether hours vary (sd over mean) less than those of so many ends at random times would.

    An end at a random time finds an edge at an age whose density falls, as the chance to be still
    good does. A falling density is a mixture of even ones that begin at 0, so its variation is at
    least that of one even density, 1/sqrt(3); over n ends that is seen with a standard deviation
    of sqrt(8 / 45 n) (delta method; n + 1 makes it hold for few ends too, found by simulation).
    """
    least = np.minimum(SCHEDULE_CV, RANDOM_CV - SURE * np.sqrt(8 / 45 / (ends + 1)))
    return variation.lt(least)
