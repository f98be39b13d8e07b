"""Whether rates that come from a file can be what they say: signs, ranges, definite covariances.

Whoever writes such a file by hand may sign it too; a negative variance is still refused.
"""

from collections.abc import Iterable

import numpy as np

from wearcast.logbook.schema.tables import KINDS
from wearcast.wear.records import Block, EdgeHabit, Spread, Wear

_NEAR = 1e-6


def refuse_unsound(wear: Wear) -> None:
    """Stop at the first number that cannot be; arrays (terms,) and (terms, terms) of each block.

    Raises
    ------
    ValueError
        With what is wrong, a clause.
    """
    _need(len(wear.kinds) == len(wear.classes), "kinds and classes differ in number")
    _need(set(wear.kinds) <= set(KINDS), "a kind that is none")
    for block in (wear.worn, wear.torn):
        _check_block(block)
    _need(wear.off.alpha > 0, "off: alpha is not above 0")
    _need(min(wear.off.usual.values(), default=0.0) >= 0, "off: a negative hazard")
    for habit in wear.habits.values():
        _check_habit(habit)
    _need(_chances(wear.paired.values()), "paired: a share outside 0 to 1")


def _need(sound: bool, wrong: str) -> None:
    if not sound:
        raise ValueError(wrong)


def _check_block(block: Block) -> None:
    name, size = block.name, len(block.terms)
    _need(len(set(block.terms)) == size, f"{name}: a term stands twice")
    _need(block.mean.shape == (size,), f"{name}: as many means as terms are needed")
    _need(bool(np.isfinite(block.mean).all()), f"{name}: a mean that is no number")
    _need(_definite(block.cov), f"{name}: cov is no covariance")
    for cells in block.cells.values():
        sds = (cells.kind_sd, cells.class_sd, cells.floor_sd)
        _need(min(sds) >= 0 and 0 <= cells.sharing <= 1, f"{name}: cells out of range")
    for centre in block.centres.values():
        _need(centre.hours > 0 and centre.class_sd > 0, f"{name}: centres out of range")
    for spread in block.spreads.values():
        _check_spread(name, spread)


def _definite(cov: np.ndarray) -> bool:
    """Whether a matrix is a covariance: finite, symmetric, in no direction negative."""
    if not np.isfinite(cov).all() or not np.allclose(cov, cov.T, rtol=_NEAR, atol=1e-9):
        return False
    values = np.linalg.eigvalsh(cov) if len(cov) else np.zeros(1)
    return bool(values.min() >= -_NEAR * max(values.max(), _NEAR))


def _check_spread(name: str, spread: Spread) -> None:
    _need(len(spread.sds) == len(spread.chances) > 0, f"{name}: a spread without its chances")
    _need(min(spread.sds) > 0, f"{name}: a spread that is not above 0")
    whole = abs(sum(spread.chances) - 1) < _NEAR
    _need(whole and _chances(spread.chances), f"{name}: chances that do not sum to 1")


def _check_habit(habit: EdgeHabit) -> None:
    _need(habit.weight > 0, "habits: a weight that is not above 0")
    _need(_chances(habit.usual), "habits: a chance outside 0 to 1")


def _chances(values: Iterable[float]) -> bool:
    return all(0 <= value <= 1 for value in values)
