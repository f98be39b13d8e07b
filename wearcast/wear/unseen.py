"""Draws for classes and floors that the fit has not seen: from the prior, given what it has.

A blade that nobody has measured on quarry tile still learns from the other blades there: its cell
is drawn from the block's prior conditional on the drawn cells of its siblings.
"""

from typing import NamedTuple

import numpy as np

from wearcast.wear.blocks import rate_term
from wearcast.wear.fitting.model import log_mean_factor
from wearcast.wear.fitting.priors import (
    END_HOURS,
    ENDS,
    NEVER,
    REMOVALS,
    SHAPE,
    SPREAD,
    WEAR,
    CellPrior,
    typical_hours,
)
from wearcast.wear.records import Block


class Drawn(NamedTuple):
    """Draws of a block's terms."""

    terms: tuple[str, ...]
    values: np.ndarray
    """array (draws, terms)"""


def empty_block(name: str) -> Block:
    """The block of a kind that was not in the log at all."""
    what = name.split(":")[0]
    cells = {"wear": WEAR, "damaged": ENDS, "removed": REMOVALS}[what]
    worn = float(what == "wear")
    prior = {
        "kind_sd": cells.kind_sd,
        "class_sd": cells.class_sd,
        "floor_sd": cells.floor_sd,
        "sharing": cells.sharing,
        "shaped": worn,
        "paced": worn,
    }
    return Block(name, (), np.zeros(0), np.zeros((0, 0)), 0.0, prior)


def with_unseen(
    block: Block,
    values: np.ndarray,
    wanted: tuple[tuple[str, ...], tuple[str, ...]],
    usual_hours: dict[str, float],
    rng: np.random.Generator,
) -> Drawn:
    """Draws of a block with the cells added that are wanted and missing.

    Parameters
    ----------
    block : Block
    values : array (draws, terms)
        Draws of its own terms.
    wanted : classes, floors
        Every class is wanted on every floor.
    usual_hours : dict
        Mean life [h] by class, nan or absent where the catalogue gives none.
    rng : Generator
    """
    new_classes = tuple(name for name in wanted[0] if f"hours[{name}]" not in block.prior)
    terms, values = _with_shapes(block, values, new_classes, rng)
    grid = [(name, floor) for name in wanted[0] for floor in wanted[1]]
    new = [cell for cell in grid if rate_term(*cell) not in terms]
    if not new:
        return Drawn(terms, values)
    old = [cell for cell in _cells(block, terms) if cell not in new]
    sums = _life_scale(Drawn(terms, values), old)
    mean, cov = _cell_prior(block, old + new, usual_hours)
    size = len(old)
    pull = (
        np.linalg.solve(cov[:size, :size], cov[:size, size:]) if size else np.zeros((0, len(new)))
    )
    left = cov[size:, size:] - cov[size:, :size] @ pull
    root = np.linalg.cholesky(left + 1e-10 * np.eye(len(new)))
    life = mean[size:] + (sums - mean[:size]) @ pull
    life = life + rng.standard_normal(life.shape) @ root.T
    rates = life + np.column_stack([_shift(Drawn(terms, values), name) for name, _ in new])
    return Drawn((*terms, *(rate_term(*cell) for cell in new)), np.hstack([values, rates]))


def _with_shapes(
    block: Block, values: np.ndarray, new: tuple[str, ...], rng: np.random.Generator
) -> Drawn:
    """Shape and spread of new classes, from their priors."""
    terms = block.terms
    for name in new:
        for term, switch, (middle, sd) in (
            ("log shape", "shaped", SHAPE),
            ("log spread", "paced", SPREAD),
        ):
            if block.prior[switch]:
                column = middle + sd * rng.standard_normal((len(values), 1))
                terms, values = (*terms, f"{term}[{name}]"), np.hstack([values, column])
    return Drawn(terms, values)


def _cells(block: Block, terms: tuple[str, ...]) -> list[tuple[str, str]]:
    """Cells of the block that are drawn, as (class, floor); a rate of nothing teaches nothing."""
    silent = {term for term, mean in zip(block.terms, block.mean, strict=True) if mean <= NEVER}
    names = [key[6:-1] for key in block.prior if key.startswith("hours[")]
    return [
        (name, term[len(start) : -1])
        for name in names
        for start in [rate_term(name, "")[:-1]]
        for term in terms
        if term.startswith(start) and term not in silent
    ]


def _shift(drawn: Drawn, name: str) -> np.ndarray:
    """Log Gamma(1 + 1/k) of a class, by draw; 0 where the shape is held at 1."""
    term = f"log shape[{name}]"
    if term not in drawn.terms:
        return np.zeros(len(drawn.values))
    return log_mean_factor(drawn.values[:, drawn.terms.index(term)])


def _life_scale(drawn: Drawn, cells: list[tuple[str, str]]) -> np.ndarray:
    """Draws of -log(mean life): array (draws, cells)."""
    columns = [
        drawn.values[:, drawn.terms.index(rate_term(*cell))] - _shift(drawn, cell[0])
        for cell in cells
    ]
    return np.column_stack(columns) if columns else np.zeros((len(drawn.values), 0))


def _cell_prior(
    block: Block, cells: list[tuple[str, str]], usual_hours: dict[str, float]
) -> tuple[np.ndarray, np.ndarray]:
    """Mean and covariance of cells on the life scale."""
    what, kind = block.name.split(": ", 1)
    prior = CellPrior(*(block.prior[key] for key in ("kind_sd", "class_sd", "floor_sd", "sharing")))

    def centre(name: str) -> tuple[float, float]:
        if f"hours[{name}]" in block.prior:
            return block.prior[f"hours[{name}]"], block.prior[f"sd[{name}]"]
        if what == "wear":
            return typical_hours(kind, usual_hours.get(name, np.nan))
        return END_HOURS, prior.class_sd

    hours, sds = np.array([centre(name) for name, _ in cells]).T
    name, floor = np.array(cells, dtype=object).T
    cov = prior.cov(name[:, None] == name, floor[:, None] == floor, sds)
    return -np.log(hours), cov
