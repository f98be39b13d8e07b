"""Rows of a large fleet, some whole machines at a time."""

from collections.abc import Iterator
from itertools import pairwise

import numpy as np


def whole_machines(machine: np.ndarray, size: int) -> Iterator[slice]:
    """Slices of about `size` rows, each of whole machines; one empty slice where there is no row.

    `machine`: array (rows,) of names, those of a machine together.
    """
    begins = np.flatnonzero(np.append(True, machine[1:] != machine[:-1]))
    wanted = np.unique(np.searchsorted(begins, np.arange(0, max(len(machine), 1), size)))
    cuts = begins[wanted[wanted < len(begins)]]
    for first, end in pairwise([*cuts.tolist(), len(machine)]):
        yield slice(first, end)
