"""What a killed run left behind goes, what a live one is writing stays, on every system."""

import ctypes
import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from wearcast.reports.writing.unfinished import sweep


def left_by(process: int, place: Path) -> Path:
    draft = place.parent / f".{place.name}.wearcast-{process}"
    draft.mkdir()
    (draft / "order.csv").write_text("half of it")
    return draft


def ended_process() -> int:
    gone = subprocess.Popen([sys.executable, "-c", ""])
    gone.wait()
    return gone.pid


@pytest.mark.parametrize(
    ("process", "stays"),
    [(ended_process, False), (os.getppid, True), (os.getpid, False)],
    ids=["ended", "runs", "our own number: an earlier process's"],
)
def test_a_draft_stays_while_its_process_runs(
    tmp_path: Path, process: Callable[[], int], stays: bool
):
    draft = left_by(process(), tmp_path / "r")
    sweep(tmp_path / "r")
    assert draft.exists() == stays


class Kernel:
    """Windows' calls as far as we use them: process 4711 runs, 4712 ended but is held open,
    4713 is another user's, any other is none."""

    def __init__(self) -> None:
        self.open: set[int] = set()
        self.error = 0
        for name in ("OpenProcess", "WaitForSingleObject", "CloseHandle"):
            setattr(self, name, Call(getattr(self, f"_{name}")))

    def _OpenProcess(self, rights: int, _inherit: bool, process: int) -> int | None:
        assert rights == 0x00100000, "the right to wait for it, not the right to end it"
        if process in (4711, 4712):
            self.open.add(process)
            return process
        self.error = 5 if process == 4713 else 87
        return None

    def _WaitForSingleObject(self, handle: int, milliseconds: int) -> int:
        assert milliseconds == 0
        return 0x102 if handle == 4711 else 0

    def _CloseHandle(self, handle: int) -> None:
        self.open.remove(handle)


class Call:
    """A foreign function: called, and told what it takes and gives."""

    def __init__(self, call) -> None:
        self.call = call

    def __call__(self, *given):
        return self.call(*given)


@pytest.fixture
def kernel(monkeypatch: pytest.MonkeyPatch) -> Kernel:
    kernel = Kernel()
    monkeypatch.setattr(sys, "platform", "win32")
    monkeypatch.setattr(ctypes, "WinDLL", lambda *_, **__: kernel, raising=False)
    monkeypatch.setattr(ctypes, "get_last_error", lambda: kernel.error, raising=False)
    monkeypatch.setattr(os, "kill", lambda *_: pytest.fail("a signal ends a process there"))
    return kernel


@pytest.mark.parametrize(
    ("process", "stays"),
    [
        pytest.param(4711, True, id="runs"),
        pytest.param(4712, False, id="ended, held open by another"),
        pytest.param(4713, True, id="may not be asked"),
        pytest.param(4714, False, id="no such process"),
    ],
)
def test_on_windows_a_process_is_asked_for_without_a_signal(
    tmp_path: Path, kernel: Kernel, process: int, stays: bool
):
    draft = left_by(process, tmp_path / "r")
    sweep(tmp_path / "r")
    assert draft.exists() == stays
    assert not kernel.open
