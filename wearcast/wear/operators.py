"""Each operator left out in turn: its lives against what the others would have said."""

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from wearcast.wear.covariates import OPERATOR, OPERATOR_OWN, OPERATOR_SD
from wearcast.wear.life import log_mean_factor
from wearcast.wear.pooled import pool_wear, told_terms
from wearcast.wear.priors import Z90
from wearcast.wear.records import Block, Spread, Wear


class LeftOut(NamedTuple):
    """One operator against the others."""

    cells: int
    """Wear classes on floors that both know."""
    inside: int
    """Of these, lives within the others' 90 % range."""
    life_ratio: float
    """Its lives over those that the others expected, geometric mean; nan without a cell."""


def left_out_operators(wears: Sequence[Wear]) -> list[LeftOut]:
    """Each log's lives held against the pool of the others.

    A range takes what the others leave open, how far operators differ, and the log's own error;
    lives are compared as arrays (cells,) of logs.
    """
    return [
        _against(one, pool_wear([other for other in wears if other is not one])) for one in wears
    ]


def _against(one: Wear, others: Wear) -> LeftOut:
    known = set(told_terms(others.worn, others))
    shared = [t for t in told_terms(one.worn, one) if t.startswith("log rate[") and t in known]
    if not shared:
        return LeftOut(0, 0, float("nan"))
    own, theirs = (_lives(block, shared) for block in (one.worn, others.worn))
    spreads = others.worn.spreads
    between = _square(spreads.get(OPERATOR)) if OPERATOR in spreads else OPERATOR_SD**2
    between += _square(spreads.get(OPERATOR_OWN))
    off = own[0] - theirs[0]
    inside = np.abs(off) < Z90 * np.sqrt(own[1] + theirs[1] + between)
    return LeftOut(len(shared), int(inside.sum()), float(np.exp(off.mean())))


def _lives(block: Block, terms: list[str]) -> tuple[np.ndarray, np.ndarray]:
    """Log mean lives of some cells, and their variances (those of the rates); arrays (terms,)."""
    at = [block.terms.index(term) for term in terms]
    shapes = [f"log shape[{term[9:-1].rsplit(', ', 1)[0]}]" for term in terms]
    place = {term: number for number, term in enumerate(block.terms)}
    shape = np.array([block.mean[place[s]] if s in place else 0.0 for s in shapes])
    return log_mean_factor(shape) - block.mean[at], np.diag(block.cov)[at]


def _square(spread: Spread | None) -> float:
    return float(np.dot(spread.chances, np.square(spread.sds))) if spread else 0.0
