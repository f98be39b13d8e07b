"""What is written first, hidden, and takes its place only when it is whole.

A draft's name carries the number of the process that writes it, so that the next run can tell a
draft that a killed run left behind from one that is still being written.
"""

import ctypes
import os
import shutil
import sys
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Any

_MARK = ".wearcast-"


def draft_inside(folder: Path, name: str = "") -> Path:
    """Where a draft stands in the folder itself; `name` for a single file."""
    return folder / f"{_MARK}{os.getpid()}{f'-{name}' if name else ''}"


def draft_beside(folder: Path) -> Path:
    """Where a draft of a whole folder stands: hidden, beside its place."""
    return folder.with_name(f".{folder.name}{_MARK}{os.getpid()}")


@contextmanager
def gone_afterwards(draft: Path) -> Iterator[None]:
    """Whatever happens, the draft does not stay; if it must, the next run sweeps it."""
    try:
        yield
    finally:
        with suppress(OSError):
            if draft.is_dir():
                shutil.rmtree(draft, ignore_errors=True)
            else:
                draft.unlink(missing_ok=True)


def write_synced(path: Path, content: bytes, target: Path | None = None) -> None:
    """Write, reach the disk, and take over the mode of the file that will be replaced."""
    with path.open("xb") as out:
        out.write(content)
        out.flush()
        os.fsync(out.fileno())
    if target is not None and target.exists():
        path.chmod(target.stat().st_mode & 0o7777)


def sync_folder(folder: Path) -> None:
    """Make renames last; some file systems cannot, and lose nothing by it."""
    with suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def sweep(place: Path) -> None:
    """Remove drafts of this folder that a killed run of ours left behind; a live run's stay."""
    for folder, start in ((place, _MARK), (place.parent, f".{place.name}{_MARK}")):
        for draft in sorted(folder.iterdir()) if folder.is_dir() else []:
            number = draft.name.removeprefix(start).split("-")[0]
            ours = draft.name.startswith(start) and number.isdecimal() and draft.is_dir()
            if ours and not draft.is_symlink() and not _is_alive(int(number)):
                shutil.rmtree(draft, ignore_errors=True)


def _is_alive(process: int) -> bool:
    """Whether another process of that number runs; where nobody can say, it does."""
    if process == os.getpid():
        return False
    return _runs_on_windows(process) if sys.platform == "win32" else _runs_on_unix(process)


def _runs_on_unix(process: int) -> bool:
    try:
        os.kill(process, 0)
    except ProcessLookupError:
        return False
    except (OSError, OverflowError):  # another user's; no number of a process
        return True
    return True


def _runs_on_windows(process: int) -> bool:
    """Ask the system for the process; a signal, as on Unix, would end it there.

    Notes
    -----
    OpenProcess with SYNCHRONIZE, and WaitForSingleObject, which times out while it runs. Names and
    numbers from memory of the Windows interface.
    """
    kernel: Any = ctypes.WinDLL("kernel32", use_last_error=True)  # type: ignore[attr-defined]
    kernel.OpenProcess.restype = ctypes.c_void_p  # a handle is as wide as a pointer
    kernel.WaitForSingleObject.argtypes = (ctypes.c_void_p, ctypes.c_uint32)
    kernel.CloseHandle.argtypes = (ctypes.c_void_p,)
    handle = kernel.OpenProcess(_SYNCHRONIZE, False, process)
    if not handle:
        return bool(ctypes.get_last_error() != _NO_SUCH_PROCESS)  # type: ignore[attr-defined]
    try:
        return bool(kernel.WaitForSingleObject(handle, 0) == _STILL_RUNNING)
    finally:
        kernel.CloseHandle(handle)


_SYNCHRONIZE, _STILL_RUNNING, _NO_SUCH_PROCESS = 0x00100000, 0x102, 87
"""SYNCHRONIZE, WAIT_TIMEOUT, ERROR_INVALID_PARAMETER."""
