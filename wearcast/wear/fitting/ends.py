"""Ends that are not wear: damage by floor, and removal for planned or other reasons.

Both are constant hazards a run hour, fitted by the wear model with the shape held at 1 and no
pace; all other ends are censored there. They lean on their kind: a class that was never torn on a
floor where its siblings were often torn is not thought safe.
"""

from collections.abc import Mapping

import numpy as np

from wearcast.wear.fitting.kinds import Centre, KindFit, Way, fit_kind
from wearcast.wear.fitting.likelihood import Spells
from wearcast.wear.fitting.model import WearModel
from wearcast.wear.fitting.plain import fit_plain
from wearcast.wear.fitting.priors import END_HOURS, ENDS, REMOVALS, CellPrior
from wearcast.wear.gather import spells_for
from wearcast.wear.records import ClassSpells

ANYWHERE = ("anywhere",)
"""The one floor of removals: they do not depend on the floor."""


def damage_spells(group: ClassSpells) -> Spells:
    """Spells of a class with damage as the end; effects play no part."""
    return spells_for(group, "damaged")._replace(effects=np.zeros((len(group.cause), 0)))


def removal_spells(group: ClassSpells) -> Spells:
    """Spells of a class with planned and other ends, hours of all floors together."""
    spells = spells_for(group, "planned", "other")
    return spells._replace(
        hours=spells.hours.sum(axis=1, keepdims=True),
        end_mix=np.ones((len(group.cause), 1)),
        effects=np.zeros((len(group.cause), 0)),
    )


def fit_ends(
    kind: str, members: Mapping[str, ClassSpells], floors: tuple[str, ...], way: Way
) -> tuple[KindFit, KindFit]:
    """Blocks ``damaged: kind`` and ``removed: kind``."""
    damaged = {name: damage_spells(group) for name, group in members.items()}
    removed = {name: removal_spells(group) for name, group in members.items()}
    return (
        _fit_hazard(f"damaged: {kind}", damaged, floors, ENDS, way),
        _fit_hazard(f"removed: {kind}", removed, ANYWHERE, REMOVALS, way),
    )


def _fit_hazard(
    name: str, spells: dict[str, Spells], floors: tuple[str, ...], cells: CellPrior, way: Way
) -> KindFit:
    """One block of constant hazards."""
    centres = {owner: Centre(END_HOURS, cells.class_sd) for owner in spells}
    if way == "data only":
        return fit_plain(name, spells, floors, (cells, centres), paced=False, shaped=False)
    model = WearModel(spells, floors, paced=False, shaped=False)
    return fit_kind(name, model, cells, centres, rough=way == "rough")
