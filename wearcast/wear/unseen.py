"""Draws for classes, floors, sites and machines that the fit has not seen: from the prior.

A blade that nobody has measured on quarry tile still learns from the other blades there: its cell
is drawn from the block's prior conditional on the drawn cells of its siblings.
"""

from collections.abc import Callable, Iterable, Mapping

import numpy as np

from wearcast.wear.covariates import EFFECTS, OPERATOR, OPERATOR_OWN, OPERATOR_SD
from wearcast.wear.life import log_mean_factor
from wearcast.wear.posterior import Drawn, rate_term
from wearcast.wear.priors import (
    ENDS,
    NEVER,
    SHAPE,
    SPREAD,
    WEAR,
    CellPrior,
    Centre,
    centre_of,
)
from wearcast.wear.records import Block, Spread


def with_unseen(
    block: Block,
    values: np.ndarray,
    wanted: tuple[Mapping[str, str], tuple[str, ...]],
    usual_hours: Mapping[str, float],
    rng: np.random.Generator,
) -> Drawn:
    """Draws of a block with the cells added that are wanted and missing.

    Parameters
    ----------
    block : Block
    values : array (draws, terms)
        Draws of its own terms.
    wanted : kinds by class; floors
        Every class is wanted on every floor.
    usual_hours : mapping
        Mean life [h] by class, nan or absent where the catalogue gives none.
    rng : Generator
    """
    kinds, floors = wanted
    centres = {
        name: block.centres.get(name)
        or centre_of(block.name, kind, usual_hours.get(name, float("nan")))
        for name, kind in kinds.items()
    }
    drawn = _with_shapes(block, Drawn(block.terms, values), tuple(kinds), rng)
    for kind in sorted(set(kinds.values())):
        names = tuple(name for name in kinds if kinds[name] == kind)
        drawn = _with_cells(block, drawn, (names, floors), {**block.centres, **centres}, rng)
    return drawn


def _with_shapes(
    block: Block, drawn: Drawn, names: tuple[str, ...], rng: np.random.Generator
) -> Drawn:
    """Shape and spread of new classes, from their priors."""
    terms, values = drawn.terms, drawn.values
    for name in names:
        for term, wanted, (middle, sd) in (
            (f"log shape[{name}]", block.shaped, SHAPE),
            (f"log spread[{name}]", block.paced, SPREAD),
        ):
            if wanted and term not in terms and f"log shape[{name}]" not in block.terms:
                column = middle + sd * rng.standard_normal((len(values), 1))
                terms, values = (*terms, term), np.hstack([values, column])
    return Drawn(terms, values)


def _with_cells(
    block: Block,
    drawn: Drawn,
    wanted: tuple[tuple[str, ...], tuple[str, ...]],
    centres: Mapping[str, Centre],
    rng: np.random.Generator,
) -> Drawn:
    """The cells of one kind that are missing, given its others."""
    kind = centres[wanted[0][0]].kind
    new = [
        (name, floor)
        for name in wanted[0]
        for floor in wanted[1]
        if rate_term(name, floor) not in drawn.places
    ]
    if not new:
        return drawn
    own = {name for name, centre in centres.items() if centre.kind == kind}
    old = [cell for cell in _cells(block, own) if cell not in new]
    usual = {"worn": WEAR, "torn": ENDS}[block.name]
    mean, cov = _cell_prior(block.cells.get(kind, usual), old + new, centres)
    size = len(old)
    known = _life_scale(drawn, old)
    pull = (
        np.linalg.solve(cov[:size, :size], cov[:size, size:]) if size else np.zeros((0, len(new)))
    )
    left = cov[size:, size:] - cov[size:, :size] @ pull
    root = np.linalg.cholesky(left + 1e-10 * np.eye(len(new)))
    life = mean[size:] + (known - mean[:size]) @ pull
    life = life + rng.standard_normal(life.shape) @ root.T
    rates = life + np.column_stack([_shift(drawn, name) for name, _ in new])
    return Drawn(
        (*drawn.terms, *(rate_term(*cell) for cell in new)), np.hstack([drawn.values, rates])
    )


def _cells(block: Block, names: set[str]) -> list[tuple[str, str]]:
    """Cells of the block, as (class, floor); a rate of nothing teaches nothing."""
    silent = {term for term, mean in zip(block.terms, block.mean, strict=True) if mean <= NEVER}
    return [
        (name, term[len(start) : -1])
        for name in sorted(names)
        for start in [rate_term(name, "")[:-1]]
        for term in block.terms
        if term.startswith(start) and term not in silent
    ]


def _shift(drawn: Drawn, name: str) -> np.ndarray:
    """Log Gamma(1 + 1/k) of a class, by draw; 0 where the shape is held at 1."""
    term = f"log shape[{name}]"
    if term not in drawn.places:
        return np.zeros(len(drawn.values))
    return log_mean_factor(drawn.values[:, drawn.places[term]])


def _life_scale(drawn: Drawn, cells: list[tuple[str, str]]) -> np.ndarray:
    """Draws of -log(mean life): array (draws, cells)."""
    found = [
        drawn.values[:, drawn.places[rate_term(*cell)]] - _shift(drawn, cell[0]) for cell in cells
    ]
    return np.column_stack(found) if found else np.zeros((len(drawn.values), 0))


def _cell_prior(
    prior: CellPrior,
    cells: list[tuple[str, str]],
    centres: Mapping[str, Centre],
) -> tuple[np.ndarray, np.ndarray]:
    """Mean and covariance of cells on the life scale."""
    hours = np.array([centres[name].hours for name, _ in cells])
    sds = np.array([centres[name].class_sd for name, _ in cells])
    name, floor = np.array(cells, dtype=object).T
    return -np.log(hours), prior.cov(name[:, None] == name, floor[:, None] == floor, sds)


def draw_operator(
    block: Block,
    names: Iterable[str],
    stream: Callable[[str], np.random.Generator],
    draws: int,
) -> dict[str, np.ndarray]:
    """What a stranger's way of working does to each class, as a log: by class an array (draws,).

    One log cannot tell how operators differ, and a usual difference stands for it; pooled rates
    know more. `stream` gives the random numbers of a purpose.
    """
    spreads = block.spreads
    known = OPERATOR in spreads
    sd = draw_sds(spreads, OPERATOR, stream("spread of operator"), draws) if known else OPERATOR_SD
    common = sd * stream("operator").standard_normal(draws)
    if OPERATOR_OWN not in spreads:
        return dict.fromkeys(names, common)
    own = draw_sds(spreads, OPERATOR_OWN, stream("spread of operator own"), draws)
    return {
        name: common + own * stream(f"operator own {name}").standard_normal(draws) for name in names
    }


def draw_sds(
    spreads: Mapping[str, Spread], effect: str, rng: np.random.Generator, draws: int
) -> np.ndarray:
    """Draws of the sd of an effect: what the log leaves open, or the prior; array (draws,)."""
    if effect in spreads:
        spread = spreads[effect]
        return np.asarray(rng.choice(np.array(spread.sds), draws, p=np.array(spread.chances)))
    typical, unsure = next((one.typical, one.unsure) for one in EFFECTS if one.name == effect)
    return np.asarray(typical * np.exp(unsure * rng.standard_normal(draws)))
