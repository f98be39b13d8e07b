"""Memory that was let go, given back to the system."""

import ctypes
import sys


def give_back() -> None:
    """Give free memory back between the rooms of a run.

    The GNU C library keeps what a room has let go of for the next one, in pieces too small for its
    tables: of a large fleet as much again as is in use. Elsewhere nothing is done.
    """
    if sys.platform != "linux":
        return
    trim = getattr(ctypes.CDLL(None), "malloc_trim", None)
    if trim is not None:
        trim(0)
