"""Ends of which nobody wrote why: every cause is possible, each by its hazard there.

An end of unknown cause has the sum of the hazards for its density (masked causes: Miyakawa, IEEE
Trans. Reliability 33 (1984) 293-296, remembered). The sum is reached by turns: the chance of each
cause under the fit, then the fit with ends counted by these chances (expectation-maximisation).
"""

from collections.abc import Callable, Mapping
from dataclasses import replace

import numpy as np

from wearcast.wear.causes import LAWS, follows
from wearcast.wear.class_spells import spells_for
from wearcast.wear.fitting.off import off_hazards
from wearcast.wear.life import log_hazard_of
from wearcast.wear.likelihood import Own, wear_path
from wearcast.wear.posterior import at_estimate
from wearcast.wear.records import Block, ClassSpells, OffLaw

TURNS = 4
Laws = tuple[Block, Block, OffLaw]
"""The fitted laws: worn, torn, taken off."""


def unmask(
    spells: Mapping[str, ClassSpells],
    floors: tuple[str, ...],
    fit: Callable[[Mapping[str, ClassSpells]], Laws],
) -> dict[str, ClassSpells]:
    """The spells, their ends of unknown cause counted by the chances of each law.

    Parameters
    ----------
    spells : mapping of ClassSpells
        By wear class.
    floors : tuple of str
    fit : callable
        The three laws, from the spells; called a few times, and not at all where no end is masked.
    """
    known = dict(spells)
    masked = {name: follows(group.cause, "any") for name, group in known.items()}
    if not any(some.any() for some in masked.values()):
        return known
    known = {name: _begun(group, masked[name]) for name, group in known.items()}
    for _ in range(TURNS):
        laws = fit(known)
        for name, some in masked.items():
            if some.any():
                known[name] = _counted(name, known[name], some, laws, floors)
    return known


def _begun(group: ClassSpells, masked: np.ndarray) -> ClassSpells:
    """A class with the masked ends shared as its known ends are: turns from there are few.

    Where not one is known to be worn, the word that nobody knows most likely means just that.
    """
    shares = group.chances[~masked].sum(axis=0)
    if not shares[LAWS.index("worn")]:
        return group
    chances = group.chances.copy()
    chances[masked] = shares / shares.sum()
    return replace(group, chances=chances)


def _counted(
    name: str, group: ClassSpells, masked: np.ndarray, laws: Laws, floors: tuple[str, ...]
) -> ClassSpells:
    """A class with the masked ends counted by their chances."""
    hazards = np.column_stack(end_hazards(name, group, laws, floors))[masked]
    chances = group.chances.copy()
    chances[masked] = hazards / np.maximum(hazards.sum(axis=1, keepdims=True), 1e-300)
    return replace(group, chances=chances)


def end_hazards(
    name: str, group: ClassSpells, laws: Laws, floors: tuple[str, ...]
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Hazard of each law at the end of each spell, at pace 1: arrays (spells,), 1/h."""
    worn, torn, off = laws
    params = at_estimate(worn, name, floors, group.effect_names)
    own = Own(params.log_rates[0], float(params.log_shape[0]), 0.0)
    spells = spells_for(group, LAWS[0])
    path = wear_path(own, params.effects[0], spells, np.zeros(0))
    wear = np.exp(log_hazard_of(path.log_wear, own.log_shape).value + path.log_rate)
    tear = at_estimate(torn, name, floors, group.effect_names)
    rates = np.exp(tear.log_rates[0])
    tear_hazard = (group.end_mix @ rates) * np.exp(group.effects @ tear.effects[0])
    return wear, np.asarray(tear_hazard), off_hazards(off, name, group)
