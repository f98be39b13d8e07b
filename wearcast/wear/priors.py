"""Typical lives, and how strongly they speak: the priors of the fit.

Priors stand on the *life scale*: for class c and floor f, ``phi = -log(mean life)``, so that a
typical mean life centres the prior whatever the shape. On that scale the prior of the cells of
one kind is a joint Gaussian: what a floor does to one class it partly does to its siblings.
"""

from dataclasses import dataclass, replace
from typing import NamedTuple

import numpy as np
from scipy.special import ndtri

Z90 = float(ndtri(0.95))
"""Standard deviations from the middle to the end of a 90 % range."""

TYPICAL_HOURS = {"blade": 110.0, "brush": 400.0, "pad": 20.0}
"""Mean life of one edge or face [h] by kind; common practice, no source."""

WIDE_HOURS = 300.0
"""Where common practice knows nothing: the middle of a wide prior [h]."""

SHAPE = (np.log(2.2), 0.5)
"""Mean and sd of log k."""
SPREAD = (np.log(0.1), 1.0)
"""Mean and sd of log v."""
LIVES_TO_TEAR = 18.0
"""Typical lives of an edge to one that is torn; common practice, no source."""
LIVES_TO_OFF = 36.0
"""Typical lives of an edge to one that is taken off for no wear; common practice, no source."""


@dataclass(frozen=True, slots=True)
class CellPrior:
    """How the cells (class x floor) of one kind lie together before any data; sds of logs."""

    kind_sd: float
    """Common to all classes and floors of the kind."""
    class_sd: float
    """Of a class on all floors."""
    floor_sd: float
    """Of a floor in a class."""
    sharing: float
    """Correlation of a floor's effect between two classes of the kind, 0 to 1."""

    def cov(
        self, same_class: np.ndarray, same_floor: np.ndarray, class_sd: np.ndarray | None = None
    ) -> np.ndarray:
        """Covariance of cells, given which pairs share class and floor.

        `class_sd` (cells,) overrules the class sd where a class has a wider one.
        """
        own = self.class_sd if class_sd is None else class_sd
        alike = same_floor * (self.sharing + (1 - self.sharing) * same_class)
        return np.asarray(self.kind_sd**2 + own**2 * same_class + self.floor_sd**2 * alike)


WEAR = CellPrior(kind_sd=0.0, class_sd=0.7, floor_sd=0.7, sharing=0.5)
ENDS = CellPrior(kind_sd=0.7, class_sd=(1 - 0.7**2 - 0.35**2) ** 0.5, floor_sd=0.35, sharing=0.5)

NEVER = -40.0
"""Log of a rate that is nothing [1/h]; the estimate where there were hours and no end."""

USUAL_SD = 0.35
"""Class sd where the user says what is usual."""
WIDE_SD = 1.5
"""Class sd where neither the catalogue nor common practice gives a typical life."""

SHARINGS = (0.1, 0.3, 0.5, 0.7, 0.85, 0.95)
FLOOR_FACTORS = (0.5, 0.7, 1.0, 1.4)


def candidates(prior: CellPrior) -> list[tuple[CellPrior, float]]:
    """Priors to choose from by the data, each with the log of how plausible it is beforehand.

    The floor sd is taken to be log-normal around the given one (sd 0.5), the sharing to be flat:
    with few classes or floors the data say little and the given values stand.
    """
    return [
        (
            replace(prior, floor_sd=prior.floor_sd * factor, sharing=sharing),
            -0.5 * (np.log(factor) / 0.5) ** 2,
        )
        for factor in FLOOR_FACTORS
        for sharing in SHARINGS
    ]


def typical_hours(kind: str, usual_hours: float) -> tuple[float, float]:
    """Mean life of an edge before any data [h], and the sd of its log for the class.

    Hours that the user gives speak more strongly than common practice.
    """
    if np.isfinite(usual_hours) and usual_hours > 0:
        return float(usual_hours), USUAL_SD
    if kind in TYPICAL_HOURS:
        return TYPICAL_HOURS[kind], WEAR.class_sd
    return WIDE_HOURS, WIDE_SD


class Centre(NamedTuple):
    """What is known of a class before any data."""

    kind: str
    hours: float
    """Typical mean hours to an end [h]."""
    class_sd: float
    """Sd of its log over classes."""


def centre_of(law: str, kind: str, usual_hours: float) -> Centre:
    """What is known of a class before any data, for the law ``worn`` or ``torn``."""
    hours, sd = typical_hours(kind, usual_hours)
    if law == "torn":
        return Centre(kind, LIVES_TO_TEAR * hours, ENDS.class_sd)
    return Centre(kind, hours, sd)
