"""Reading a block: one set of parameters, or many draws of it, by class.

A term that is not in a block is held: no shape means constant hazard (k = 1), no spread means
that all machines are alike (v = 0), no effect means none.
"""

from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

import numpy as np

from wearcast.wear.records import Block


class ClassParams(NamedTuple):
    """Parameters of one class; one row a draw."""

    log_rates: np.ndarray
    """array (draws, floors)"""
    effects: np.ndarray
    """array (draws, effects)"""
    log_shape: np.ndarray
    """array (draws,)"""
    spread: np.ndarray
    """array (draws,) 0: no pace"""


@dataclass(frozen=True)
class Drawn:
    """Draws of a block's terms."""

    terms: tuple[str, ...]
    values: np.ndarray
    """array (draws, terms)"""

    @cached_property
    def places(self) -> dict[str, int]:
        """Where each term stands; asked for every class and site, of thousands of terms."""
        return {term: place for place, term in enumerate(self.terms)}


def rate_term(name: str, floor: str) -> str:
    """Name of the log rate of a class on a floor."""
    return f"log rate[{name}, {floor}]"


def class_params(
    drawn: Drawn, name: str, floors: tuple[str, ...], effects: tuple[str, ...] = ()
) -> ClassParams:
    """Parameters of a class out of a block's terms.

    Parameters
    ----------
    drawn : Drawn
    name : str
        The wear class.
    floors : tuple of str
    effects : tuple of str
        Names of terms; one that is not there is 0.
    """
    at, values = drawn.places, drawn.values
    rates = values[:, [at[rate_term(name, floor)] for floor in floors]]
    spread = f"log spread[{name}]"
    return ClassParams(
        rates,
        columns(drawn, effects),
        columns(drawn, (f"log shape[{name}]",))[:, 0],
        np.exp(values[:, at[spread]]) if spread in at else np.zeros(len(values)),
    )


def columns(drawn: Drawn, wanted: tuple[str, ...]) -> np.ndarray:
    """Draws of some terms, 0 for those that are not there: array (draws, wanted)."""
    place = np.array([drawn.places.get(term, -1) for term in wanted], dtype=int)
    found = np.zeros((len(drawn.values), len(wanted)))
    found[:, place >= 0] = drawn.values[:, place[place >= 0]]
    return found


def at_estimate(
    block: Block, name: str, floors: tuple[str, ...], effects: tuple[str, ...] = ()
) -> ClassParams:
    """Parameters of a class at the block's estimate: one draw."""
    return class_params(Drawn(block.terms, block.mean[None]), name, floors, effects)


def draw_block(block: Block, rng: np.random.Generator, draws: int) -> np.ndarray:
    """Array (draws, terms): draws of a block's joint Gaussian posterior."""
    return spread_out(block, rng.standard_normal((draws, len(block.mean))))


def spread_out(block: Block, noise: np.ndarray) -> np.ndarray:
    """Independent standard normal numbers (draws, terms) as draws of a block's posterior.

    Array (draws, terms): logs, as the block's mean.
    """
    size = len(block.cov)
    off = noise[:, :size] @ _root(block.cov)
    parts = [off]
    for given in block.given:
        own = noise[:, size : size + len(given.cov)]
        parts.append(off[:, given.on] @ given.follow.T + own @ _root(given.cov))
        size += len(given.cov)
    return np.asarray(block.mean + np.hstack(parts))


def _root(cov: np.ndarray) -> np.ndarray:
    """The symmetric root: eigenvectors alone could flip their signs, and the draws with them."""
    values, vectors = np.linalg.eigh(cov)
    return np.asarray((vectors * np.sqrt(np.clip(values, 0, None))) @ vectors.T)
