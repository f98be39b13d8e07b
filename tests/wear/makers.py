"""Small hand-built spells for the tests of the fit."""

import numpy as np
from scipy.sparse import csr_array

from wearcast.wear.causes import CODES, chances_of
from wearcast.wear.records import ClassSpells


def class_spells(hours, cause="worn", machine=None, site="Hall", effects=None) -> ClassSpells:
    """Spells of one class.

    Parameters
    ----------
    hours : array (spells,) or (spells, floors), h
    cause : word, or one a spell
    machine : array (spells,) int, ascending; a machine each unless told
    site : name, or one a spell
    effects : dict of array (spells,), by name of the term
    """
    hours = np.asarray(hours, dtype=float)
    hours = hours[:, None] if hours.ndim == 1 else hours
    size = len(hours)
    machine = np.arange(size) if machine is None else np.asarray(machine)
    words = np.broadcast_to(np.asarray(cause, dtype=object), (size,))
    code = np.array([CODES[word] for word in words], dtype=np.int8)
    effects = effects or {}
    columns = csr_array(np.array([*effects.values(), *np.zeros((0, size))]).reshape(-1, size).T)
    return ClassSpells(
        machines=tuple(f"M{number}" for number in range(machine.max(initial=-1) + 1)),
        machine=machine,
        hours=hours,
        end_mix=hours / hours.sum(axis=1, keepdims=True),
        effect_names=tuple(effects),
        effects=columns,
        end_effects=columns,
        cause=code,
        chances=chances_of(code),
        site=np.array(np.broadcast_to(site, (size,)), dtype=str),
        spell=np.arange(size),
    )
