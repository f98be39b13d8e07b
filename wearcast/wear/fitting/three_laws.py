"""The three laws of ends (wear, damage, being taken off), each on the spells that tell it."""

from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from wearcast.wear.class_spells import some_spells, spells_for
from wearcast.wear.fitting.by_site import Groups, fit_by_sites
from wearcast.wear.fitting.laws import LawFit, Way
from wearcast.wear.fitting.model import WearModel
from wearcast.wear.fitting.off import fit_off
from wearcast.wear.fitting.plain import fit_plain
from wearcast.wear.gather import Gathered
from wearcast.wear.priors import ENDS, WEAR, Centre, centre_of, typical_hours
from wearcast.wear.records import ClassSpells, OffLaw

Fits = tuple[LawFit, LawFit, OffLaw]
"""The laws of wear, damage and being taken off."""
TEAR_SDS = {"site": 0.3}
"""How much sites usually differ in damage, as sd of a log; common practice, no source."""


def fit_laws(
    gathered: Gathered,
    spells: Mapping[str, ClassSpells],
    paced: bool,
    way: Way,
    begin: Fits | None = None,
) -> Fits:
    """The three laws of ends; `begin`: those of nearly the same spells.

    A rough fit is of the classes that the log has something of: a long catalogue costs nothing.
    """
    if way == "rough":
        spells = _with_evidence(gathered, spells)
    usual, kinds = gathered.catalogue["usual_hours"], gathered.kinds
    hours = {name: typical_hours(kind, float(usual[name]))[0] for name, kind in kinds.items()}
    return (
        fit_worn(gathered, spells, paced, way, begin and begin[0].settled),
        _fit_torn(gathered, spells, way, begin and begin[1].settled),
        fit_off(spells, hours, data_only=way == "data only"),
    )


def _with_evidence(
    gathered: Gathered, spells: Mapping[str, ClassSpells]
) -> Mapping[str, ClassSpells]:
    """The classes of which an edge was seen; all, where none was."""
    seen = {
        name: group
        for name, group in spells.items()
        if len(group.cause) or len(gathered.firsts[name].cause)
    }
    return seen or spells


def _centres(law: str, gathered: Gathered) -> dict[str, Centre]:
    """What is known of each class before any data."""
    usual = gathered.catalogue["usual_hours"]
    return {name: centre_of(law, kind, float(usual[name])) for name, kind in gathered.kinds.items()}


def fit_worn(
    gathered: Gathered,
    spells: Mapping[str, ClassSpells],
    paced: bool,
    way: Way,
    begin: Mapping[str, float] | None = None,
) -> LawFit:
    """The law of wear; a rough one knows nothing that a machine's classes have in common."""
    centres = _centres("worn", gathered)
    if way == "data only":
        plain = {name: spells_for(group, "worn") for name, group in spells.items()}
        return fit_plain("worn", plain, gathered.floors, (WEAR, centres), paced=paced)
    every = {
        name: (group, gathered.firsts[name] if _ends_tell_wear(group) else _none(group))
        for name, group in spells.items()
    }

    def build(groups: Groups) -> WearModel:
        names = sorted({name for group, _ in groups.values() for name in group.machines})
        common = paced and way != "rough"
        machines = {name: at for at, name in enumerate(names)} if common else {}
        return WearModel(
            {
                name: spells_for(group, "worn", machines, late)
                for name, (group, late) in groups.items()
            },
            gathered.floors,
            {name: group.effect_names for name, (group, _) in groups.items()},
            len(machines),
            paced=paced,
        )

    return fit_by_sites("worn", every, build, WEAR, centres, begin=begin, rough=way == "rough")


LEAST_WORN = 0.7
"""Share of worn ones among the ends of a class from which its first spells tell wear: how old an
edge is when watching begins then follows from the law of wear."""


def _ends_tell_wear(group: ClassSpells) -> bool:
    """Whether nearly all ends of a class are of wear."""
    ended = group.chances.sum()
    return bool(ended > 0 and group.chances[:, 0].sum() >= LEAST_WORN * ended)


def _none(group: ClassSpells) -> ClassSpells:
    """No spell of a class."""
    return some_spells(group, np.zeros(len(group.cause), dtype=bool))


def _fit_torn(
    gathered: Gathered,
    spells: Mapping[str, ClassSpells],
    way: Way,
    begin: Mapping[str, float] | None = None,
) -> LawFit:
    """The law of damage: a constant hazard by floor; sites differ, machines do not."""
    centres = _centres("torn", gathered)
    if way == "data only":
        data = {name: spells_for(_tearing(group), "torn") for name, group in spells.items()}
        return fit_plain("torn", data, gathered.floors, (ENDS, centres), paced=False, shaped=False)
    every = {name: (group, gathered.firsts[name]) for name, group in spells.items()}

    def build(groups: Groups) -> WearModel:
        torn = {name: _tearing(group) for name, (group, _) in groups.items()}
        return WearModel(
            {name: spells_for(group, "torn") for name, group in torn.items()},
            gathered.floors,
            {name: group.effect_names for name, group in torn.items()},
            paced=False,
            shaped=False,
        )

    rough = way == "rough"
    return fit_by_sites("torn", every, build, ENDS, centres, TEAR_SDS, begin, rough=rough)


def _tearing(group: ClassSpells) -> ClassSpells:
    """A class with the effects that act on damage: the sites."""
    keep = [at for at, term in enumerate(group.effect_names) if term.startswith("site[")]
    return replace(
        group,
        effect_names=tuple(group.effect_names[at] for at in keep),
        effects=group.effects[:, keep],
        end_effects=group.end_effects[:, keep],
    )
