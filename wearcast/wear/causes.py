"""Why an edge's work ended: one list of code, word and how it is fitted.

``worn`` ends follow the law of life, with wear as its clock; ``torn`` ends a constant hazard by
floor; ``taken off`` ends (planned, or for another reason) a law of the run hours by site. An end
for which every cause is possible counts in each law by its chance there. A new cause is a row.
"""

from typing import NamedTuple

import numpy as np


class Cause(NamedTuple):
    """One way in which a spell is over, or not yet."""

    word: str
    """As in the spells table."""
    law: str
    """``worn``, ``torn``, ``taken off``; ``any``: masked; blank: still running."""


CAUSES = (
    Cause("running", ""),
    Cause("worn", "worn"),
    Cause("damaged", "torn"),
    Cause("planned", "taken off"),
    Cause("other", "taken off"),
    Cause("unknown", "any"),
)
"""A cause's code is its place here."""
LAWS = ("worn", "torn", "taken off")
CODES = {cause.word: code for code, cause in enumerate(CAUSES)}
LAW_OF = {cause.word: cause.law for cause in CAUSES}


def follows(code: np.ndarray, law: str) -> np.ndarray:
    """Boolean array (spells,): ends that surely follow a law; ``any``: masked ends.

    `code` is an array (spells,) of places in `CAUSES`; what comes back is True where it
    follows.
    """
    return np.isin(code, [number for number, cause in enumerate(CAUSES) if cause.law == law])


def chances_of(code: np.ndarray) -> np.ndarray:
    """Array (spells, laws): 1 for the law that a known cause follows; masked ends count as worn."""
    chances = np.column_stack([follows(code, law) for law in LAWS]).astype(float)
    chances[follows(code, "any"), LAWS.index("worn")] = 1.0
    return chances
