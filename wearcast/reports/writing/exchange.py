"""A folder replaced by another in one step, so that not even a kill leaves a mixture.

The new set is built in a hidden folder beside the old one; everything else that lies in the old
one (the user's files) is there too, as a second name of the very same file, so nothing is copied
and nothing can be lost. Then the system exchanges the two folders at once, and the old set goes.

Where a folder cannot be replaced so, nothing is done and the caller is told: on systems without
the call, in a folder that is a mount point, that holds folders or links of ours, that we stand in
or may not write, and where its owner or its files cannot be had twice. A program that stands in
the folder all the same keeps seeing the old, emptied one until it enters the path again.
"""

import ctypes
import os
import shutil
import sys
from collections.abc import Collection, Mapping
from contextlib import ExitStack
from pathlib import Path
from typing import Any

from wearcast.errors import CannotWrite
from wearcast.reports.writing.unfinished import (
    draft_beside,
    gone_afterwards,
    sync_folder,
    write_synced,
)

Seen = Mapping[str, tuple[int, int, int]]
"""File name to inode, size and moment of the last change."""
_HERE, _EXCHANGE = -100, 2
"""AT_FDCWD and RENAME_EXCHANGE of Linux (renameat2, man page of 2023; remembered)."""


def look(place: Path) -> dict[str, tuple[int, int, int]]:
    """What lies in a folder, so that a change by somebody else is noticed."""
    states = {path.name: path.lstat() for path in place.iterdir()}
    return {name: (one.st_ino, one.st_size, one.st_mtime_ns) for name, one in states.items()}


def is_exchanged(
    place: Path, contents: Mapping[str, bytes], stays: Collection[str], seen: Seen
) -> bool:
    """Replace a folder in one step; False, with nothing done, where that cannot be.

    Parameters
    ----------
    place : path
        A folder that is there, links resolved.
    contents : mapping
        File name to content of the new set.
    stays : names
        What is to stay of the old folder.
    seen : mapping
        What was in it when it was judged which files may be replaced.

    Raises
    ------
    CannotWrite
        If somebody else changed the folder in the meantime; their change stands.
    """
    draft = draft_beside(place)
    with ExitStack() as afterwards:
        afterwards.enter_context(gone_afterwards(draft))
        try:
            _refuse_what_cannot_move(place, contents)
            _begin(draft, place, stays)
        except OSError:
            return False
        for name, content in contents.items():
            write_synced(draft / name, content, place / name)
        sync_folder(draft)
        try:
            swap(draft, place)
        except OSError:
            return False
        # What was the old folder now bears the draft's name.
        if _is_other(look(draft), seen, stays):
            kept = afterwards.pop_all()
            swap(draft, place)
            kept.close()
            raise CannotWrite(
                f"{place} was changed by another program in the meantime, so nothing was written; "
                "run the command again"
            )
        sync_folder(place.parent)
    return True


def _is_other(now: Seen, seen: Seen, stays: Collection[str]) -> bool:
    """Whether a file came, went, was replaced, or was changed without being in the new set too."""
    return now.keys() != seen.keys() or any(
        now[name][0] != seen[name][0] or (name not in stays and now[name] != seen[name])
        for name in seen
    )


def _refuse_what_cannot_move(place: Path, contents: Mapping[str, bytes]) -> None:
    """An `OSError` where another folder in its place would not be the same to its users."""
    if _exchange_call() is None or not os.access(place, os.W_OK | os.X_OK):
        raise OSError(place)
    if place.samefile(Path.cwd()) or any((place / name).is_symlink() for name in contents):
        raise OSError(place)


def _begin(draft: Path, place: Path, stays: Collection[str]) -> None:
    """The draft, with the mode and owner of the folder and a second name for all that stays."""
    draft.mkdir()
    wanted, made = place.stat(), draft.stat()
    if (wanted.st_uid, wanted.st_gid) != (made.st_uid, made.st_gid):
        os.chown(draft, wanted.st_uid, wanted.st_gid)
    shutil.copystat(place, draft)
    for name in stays:
        # A folder can have no second name: the system refuses.
        os.link(place / name, draft / name, follow_symlinks=False)


def swap(one: Path, other: Path) -> None:
    """Exchange the names of two folders at once, or raise an `OSError`."""
    call = _exchange_call()
    if call is None or call(_HERE, os.fsencode(one), _HERE, os.fsencode(other), _EXCHANGE):
        raise OSError(ctypes.get_errno(), os.strerror(ctypes.get_errno()))


def _exchange_call() -> Any:
    """The system's call; None where it has none."""
    if sys.platform != "linux":
        return None
    return getattr(ctypes.CDLL(None, use_errno=True), "renameat2", None)
