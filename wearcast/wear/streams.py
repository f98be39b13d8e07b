"""Random streams keyed by what they are for.

A stream is a counter-based generator (Philox) keyed by a digest of seed, machine and purpose, so
that a machine's random numbers stay the same whoever else is in the fleet and whatever is drawn
before. Draws that the whole fleet shares take machine "".
"""

import hashlib
import json

from numpy.random import Generator, Philox


def machine_stream(seed: int, machine: str, purpose: str) -> Generator:
    """A fresh generator for one machine and purpose; the same three give the same numbers."""
    name = json.dumps([int(seed), str(machine), str(purpose)])
    digest = hashlib.blake2b(name.encode(), digest_size=16).digest()
    return Generator(Philox(key=int.from_bytes(digest, "little")))
