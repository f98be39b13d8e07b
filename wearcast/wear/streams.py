"""Random streams keyed by what they are for.

A stream is a counter-based generator (Philox) keyed by a digest of seed, machine and purpose, so
that a machine's random numbers stay the same whoever else is in the fleet and whatever is drawn
before. Draws that the whole fleet shares take machine "".
"""

import hashlib
from json.encoder import encode_basestring_ascii as quoted
from typing import Any

import numpy as np
from numpy.random import Generator, Philox
from numpy.random.bit_generator import ISeedSequence


def machine_stream(seed: int, machine: str, purpose: str) -> Generator:
    """A fresh generator for one machine and purpose; the same three give the same numbers."""
    name = f"[{int(seed)}, {quoted(str(machine))}, {quoted(str(purpose))}]"
    key = _Key(hashlib.blake2b(name.encode(), digest_size=16).digest())
    return Generator(Philox(key))  # type: ignore[arg-type]  # any ISeedSequence will do


class _Key(ISeedSequence):
    """The very key of a Philox.

    Given as ``key`` it takes three times as long, since entropy that nobody wants is asked for.
    """

    def __init__(self, digest: bytes) -> None:
        self._digest = digest

    def generate_state(self, n_words: int, dtype: Any = np.uint32) -> np.ndarray:
        """The digest as little-endian words, whatever the machine."""
        return np.frombuffer(self._digest, "<u8").astype(dtype)[:n_words]
