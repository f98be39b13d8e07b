"""Reading a block: one set of parameters, or many draws of it, by class.

A term that is not in a block is held: no shape means constant hazard (k = 1), no spread means
that all machines are alike (v = 0), no effect means none.
"""

from dataclasses import replace
from typing import NamedTuple

import numpy as np
from scipy.special import gammaln

from wearcast.wear.records import Block, Wear


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


def block_named(wear: Wear, name: str) -> Block:
    """The block of that name."""
    return next(block for block in wear.blocks if block.name == name)


def rate_term(name: str, floor: str) -> str:
    """Name of the log rate of a class on a floor."""
    return f"log rate[{name}, {floor}]"


def class_params(
    terms: tuple[str, ...],
    values: np.ndarray,
    name: str,
    floors: tuple[str, ...],
    effects: tuple[str, ...] = (),
) -> ClassParams:
    """Parameters of a class out of a block's terms.

    Parameters
    ----------
    terms : tuple of str
    values : array (draws, terms)
    name : str
        The wear class.
    floors, effects : tuple of str
    """
    at = {term: place for place, term in enumerate(terms)}
    rates = values[:, [at[rate_term(name, floor)] for floor in floors]]
    zero = np.zeros(len(values))

    def column(term: str) -> np.ndarray:
        return values[:, at[term]] if term in at else zero

    moved = [column(f"{effect}[{name}]") for effect in effects]
    spread = f"log spread[{name}]"
    return ClassParams(
        rates,
        np.column_stack(moved) if moved else np.zeros((len(values), 0)),
        column(f"log shape[{name}]"),
        np.exp(values[:, at[spread]]) if spread in at else zero,
    )


def class_block(
    block: Block, name: str, floors: tuple[str, ...], effects: tuple[str, ...] = ()
) -> Block:
    """The block of one class alone: of a joint Gaussian, the part that its terms make up."""
    words = (*effects, "log shape", "log spread")
    own = {*(rate_term(name, floor) for floor in floors), *(f"{word}[{name}]" for word in words)}
    at = np.array([place for place, term in enumerate(block.terms) if term in own], dtype=int)
    terms = tuple(block.terms[place] for place in at)
    return replace(block, terms=terms, mean=block.mean[at], cov=block.cov[np.ix_(at, at)])


def draw_block(block: Block, rng: np.random.Generator, draws: int) -> np.ndarray:
    """Array (draws, terms): draws of a block's joint Gaussian posterior."""
    return spread_out(block, rng.standard_normal((draws, len(block.mean))))


def spread_out(block: Block, noise: np.ndarray) -> np.ndarray:
    """Independent standard normal numbers (draws, terms) as draws of a block's posterior."""
    values, vectors = np.linalg.eigh(block.cov)
    root = vectors * np.sqrt(np.clip(values, 0, None))
    # One row of numbers a term in the eigenbasis would flip sign with the eigenvectors: the
    # symmetric root is unique.
    return np.asarray(block.mean + noise @ (root @ vectors.T))


def mean_life(log_rate: np.ndarray, log_shape: np.ndarray | float) -> np.ndarray:
    """Mean hours to wear-out at pace 1: Gamma(1 + 1/k) / r [h]."""
    return np.asarray(np.exp(gammaln(1 + np.exp(-np.asarray(log_shape))) - log_rate))
