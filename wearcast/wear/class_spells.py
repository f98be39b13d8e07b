"""Spells of one wear class: some of them, both kinds together, as the likelihood takes them."""

from dataclasses import replace

import numpy as np
from scipy.sparse import csr_array, vstack

from wearcast.logbook.findings.coded import coded
from wearcast.wear.causes import LAWS
from wearcast.wear.records import ClassSpells
from wearcast.wear.spells import Spells, fit_columns


def no_spells(floors: int) -> ClassSpells:
    """A class that the log has no spell of."""
    none, flat = np.zeros(0, np.int64), np.zeros((0, floors))
    blank = csr_array((0, 0))
    return ClassSpells(
        machines=(),
        machine=none,
        hours=flat,
        end_mix=flat,
        effect_names=(),
        effects=blank,
        end_effects=blank,
        cause=none.astype(np.int8),
        chances=np.zeros((0, len(LAWS))),
        site=none.astype(object),
        spell=none,
    )


def without_ends(group: ClassSpells) -> ClassSpells:
    """The same without what only a fit asks: how a spell ended."""
    none = np.zeros((0, group.end_mix.shape[1]))  # a slice would keep the whole in memory
    return replace(group, end_mix=none, end_effects=group.end_effects[:0])


def some_spells(group: ClassSpells, keep: np.ndarray) -> ClassSpells:
    """The chosen spells of a class (places, or a bool a spell); machines without one are gone.

    `keep`: array (some,) of places, or array (spells,) of bool.
    """
    return _with_rows(group, keep, group.effects[keep], group.end_effects[keep])


def stretch(group: ClassSpells, rows: slice) -> ClassSpells:
    """Spells that stand together, sorted by machine; no copy of what may fill the memory."""

    def held(columns: csr_array) -> csr_array:
        begins = columns.indptr[rows.start : rows.stop + 1]
        some = slice(begins[0], begins[-1])
        whole = (columns.data[some], columns.indices[some], begins - begins[0])
        return csr_array(whole, shape=(rows.stop - rows.start, columns.shape[1]))

    return _with_rows(group, rows, held(group.effects), held(group.end_effects))


def _with_rows(
    group: ClassSpells, rows: np.ndarray | slice, effects: csr_array, end_effects: csr_array
) -> ClassSpells:
    """Some of the rows, with their effects; machines without a row are gone."""
    machines, machine = np.unique(group.machine[rows], return_inverse=True)
    return replace(
        group,
        machines=tuple(group.machines[place] for place in machines),
        machine=machine,
        effects=effects,
        end_effects=end_effects,
        **{name: getattr(group, name)[rows] for name in _ROWS},
    )


def rows_by(labels: np.ndarray) -> dict[str, np.ndarray]:
    """Where each label stands: ascending places (int array), by label, sorted.

    Arrays (rows,) and (rows with that label,).
    """
    found = coded(labels)
    order = np.argsort(found.codes, kind="stable")
    ends = np.cumsum(np.bincount(found.codes, minlength=len(found.names)))
    return dict(zip(found.names.tolist(), np.split(order, ends)[:-1], strict=True))


def spells_for(
    group: ClassSpells,
    law: str,
    machines: dict[str, int] | None = None,
    firsts: np.ndarray | None = None,
) -> Spells:
    """A class's spells as the likelihood takes them.

    Parameters
    ----------
    group : ClassSpells
    law : str
        The ends that are fitted, see `wearcast.wear.causes.LAWS`.
    machines : dict, optional
        Place of every machine among the tips; without it there are none.
    firsts : array of bool (spells,), optional
        Spells whose start nobody knows.
    """
    tip = [machines[name] for name in group.machines] if machines else []
    return Spells(
        group.hours,
        group.end_mix,
        group.chances[:, LAWS.index(law)],
        group.machine,
        fit_columns(group.effects),
        fit_columns(group.end_effects),
        np.array(tip, dtype=int),
        np.zeros(len(group.cause), dtype=bool) if firsts is None else firsts,
    )


def joined(whole: ClassSpells, firsts: ClassSpells) -> tuple[ClassSpells, np.ndarray]:
    """Spells of a class and its first ones, sorted by machine; and which are first ones.

    What is told of first ones: array (spells,) of bool.
    """
    if not len(firsts.cause):
        return whole, np.zeros(len(whole.cause), dtype=bool)
    machines = tuple(sorted({*whole.machines, *firsts.machines}))
    at = {name: place for place, name in enumerate(machines)}
    both = (whole, firsts)
    machine = np.concatenate(
        [np.array([at[name] for name in one.machines], dtype=int)[one.machine] for one in both]
    )
    order = np.argsort(machine, kind="stable")
    late = np.repeat([False, True], [len(one.machine) for one in both])[order]

    def stacked(name: str) -> np.ndarray:
        return np.concatenate([getattr(one, name) for one in both])[order]

    return ClassSpells(
        machines=machines,
        machine=machine[order],
        effect_names=whole.effect_names,
        effects=csr_array(vstack([whole.effects, firsts.effects]))[order],
        end_effects=csr_array(vstack([whole.end_effects, firsts.end_effects]))[order],
        **{name: stacked(name) for name in _ROWS},
    ), late


_ROWS = ("hours", "end_mix", "cause", "chances", "site", "spell")
"""Fields of `ClassSpells` that have a row a spell."""
