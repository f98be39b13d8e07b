"""Matrices with many diagonal rows: machines touch the shared parameters, never each other.

An `Arrow` is symmetric: a dense body (what is shared), a diagonal of tips (one a machine) and the
arms between them. Everything is done by eliminating the tips first, so that cost grows with the
number of machines and not with its square.
"""

from typing import NamedTuple

import numpy as np
from scipy.linalg import LinAlgError, cho_factor, cho_solve
from scipy.linalg.lapack import dpotri
from scipy.sparse import csr_array

TRIFLE = 1e-8
"""A wrong bend that is nothing beside any prior, whose precisions are about 1 and more; to see that
there is none takes a twentieth of the time that it takes to find it."""
DENSE, NARROW = 50_000, 30
"""Numbers in some columns, and columns, from which it pays to leave the zeros out."""


class Arrow(NamedTuple):
    """A symmetric matrix of size body + tips."""

    body: np.ndarray
    """array (body, body)"""
    arms: np.ndarray
    """array (body, tips)"""
    tips: np.ndarray
    """array (tips,) the diagonal"""

    def minus(self) -> "Arrow":
        """The same with its sign turned."""
        return Arrow(-self.body, -self.arms, -self.tips)

    def plus(self, body: np.ndarray, tips: np.ndarray) -> "Arrow":
        """With something added to body and tips."""
        return Arrow(self.body + body, self.arms, self.tips + tips)

    def without(self, held: np.ndarray) -> "Arrow":
        """Less the places of the body that are held: bool array (body,)."""
        free = ~held
        return Arrow(self.body[np.ix_(free, free)], self.arms[free], self.tips)

    def diagonal(self) -> np.ndarray:
        """Array (body + tips,)."""
        return np.concatenate([np.diag(self.body), self.tips])

    def times(self, vector: np.ndarray) -> np.ndarray:
        """The matrix times a vector (body + tips,)."""
        size = len(self.body)
        body, tips = vector[:size], vector[size:]
        return np.concatenate([self.body @ body + self.arms @ tips, self.arms.T @ body
                               + self.tips * tips])  # fmt: skip


class Solved(NamedTuple):
    """A positive definite arrow, factored."""

    arms: np.ndarray
    tips: np.ndarray
    factor: tuple[np.ndarray, bool]
    """Cholesky factor of the body less what the tips explain."""
    log_det: float

    def solve(self, vector: np.ndarray) -> np.ndarray:
        """Inverse times a vector (body + tips,)."""
        size = len(self.arms)
        body, tips = vector[:size], vector[size:]
        whole = cho_solve(self.factor, body - self.arms @ (tips / self.tips))
        return np.concatenate([whole, (tips - self.arms.T @ whole) / self.tips])

    def body_cov(self) -> np.ndarray:
        """Inverse, the body's part: array (body, body)."""
        upper, failed = dpotri(*self.factor)
        if failed:
            raise LinAlgError("the body cannot be inverted")
        whole = np.tril(upper) if self.factor[1] else np.triu(upper)
        return np.asarray(whole + whole.T - np.diag(np.diag(whole)))

    def blocks(self) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        """Inverse: body, body by tips, and the diagonal of the tips."""
        cov = self.body_cov()
        reach = self.arms / self.tips
        across = cov @ reach
        return cov, -across, 1 / self.tips + (reach * across).sum(axis=0)


def factored(arrow: Arrow, through: np.ndarray | None = None) -> Solved:
    """Cholesky factors of a positive definite arrow.

    Curvatures of a log-likelihood by its parameters: logs, without a unit.

    Parameters
    ----------
    arrow : Arrow
    through : array (body, body), optional
        What the tips explain, see `through_tips`, where it is known already.

    Raises
    ------
    LinAlgError
        If it is not positive definite.
    """
    if (arrow.tips <= 0).any():
        raise LinAlgError("a tip is not positive")
    core = arrow.body - (through_tips(arrow.arms, arrow.tips) if through is None else through)
    factor = cho_factor(core)
    log_det = 2 * float(np.log(np.diag(factor[0])).sum()) + float(np.log(arrow.tips).sum())
    return Solved(arrow.arms, arrow.tips, factor, log_det)


def through_tips(arms: np.ndarray, tips: np.ndarray) -> np.ndarray:
    """Arms over tips times arms: array (body, body).

    Curvatures of a log-likelihood: without a unit.
    """
    return gram(arms.T, 1 / tips)


def gram(columns: np.ndarray, weight: np.ndarray) -> np.ndarray:
    """Weighted products of columns, mostly zeros where there are many: array (columns, columns).

    Curvatures, by the weight's measure.
    """
    if columns.size < DENSE or columns.shape[1] <= NARROW:
        return np.asarray(columns.T @ (weight[:, None] * columns))
    sparse = csr_array(columns)
    return np.asarray((sparse.T @ sparse.multiply(weight[:, None]).tocsr()).toarray())


def lifted(arrow: Arrow, prior_tips: np.ndarray) -> Arrow:
    """What data say, where they may bend the wrong way: never less than nothing.

    A floor that was only ever part of a mix can bend the log-likelihood the wrong way. Taken as it
    stands, that bend would cancel a wide prior: a variance without bound, which moreover looks
    like the likeliest of all.

    Parameters
    ----------
    arrow : Arrow
        Information of the data.
    prior_tips : array (tips,)
        The least that a prior adds to the tips.
    """
    tips = np.maximum(arrow.tips, 0.0)
    core = arrow.body - through_tips(arrow.arms, tips + prior_tips)
    core = (core + core.T) / 2
    if _bends_nowhere(core):
        return Arrow(arrow.body, arrow.arms, tips)
    values, vectors = np.linalg.eigh(core)
    bent = np.clip(-values, 0.0, None)
    return Arrow(arrow.body + (vectors * bent) @ vectors.T, arrow.arms, tips)


def _bends_nowhere(core: np.ndarray) -> bool:
    """Whether no direction of a matrix bends the wrong way by more than a trifle, see `TRIFLE`."""
    try:
        np.linalg.cholesky(core + TRIFLE * np.eye(len(core)))
    except LinAlgError:
        return False
    return True


def raised(arrow: Arrow, prior: Arrow) -> Solved:
    """Factors of what data and prior say together, see `lifted`."""
    return factored(lifted(arrow, prior.tips).plus(prior.body, prior.tips))
