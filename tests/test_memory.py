"""Free memory given back between the rooms."""

import sys
from pathlib import Path

import pytest

from wearcast.memory import give_back


@pytest.mark.skipif(sys.platform != "linux", reason="reads /proc")
def test_what_small_pieces_took_is_given_back():
    def held() -> int:
        return int(Path("/proc/self/statm").read_text(encoding="ascii").split()[1]) * 4096

    pieces = [bytearray(2000) for _ in range(50_000)]
    last = pieces[-1]
    full = held()
    pieces.clear()
    give_back()
    assert full - held() > 50e6
    assert len(last) == 2000


def test_other_systems_are_left_alone(monkeypatch):
    monkeypatch.setattr(sys, "platform", "win32")
    monkeypatch.setattr("ctypes.CDLL", None)
    give_back()
