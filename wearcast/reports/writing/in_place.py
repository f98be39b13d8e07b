"""The old way into a folder that cannot be exchanged: file by file, and told while it lasts.

The new files are written into a hidden folder inside, synced, and renamed over the old ones;
should one rename fail, the old files come back. ``run.json`` says incomplete first and complete
last, so that a set cut short by a kill is told and the next run cures it.
"""

import shutil
from collections.abc import Iterable, Mapping
from pathlib import Path

from wearcast.reports.writing.ownership import LISTING
from wearcast.reports.writing.unfinished import (
    draft_inside,
    gone_afterwards,
    sync_folder,
    write_synced,
)


def replace_files(
    place: Path, contents: Mapping[str, bytes], begun: bytes, stale: Iterable[str]
) -> None:
    """Replace a set of files, and remove what is stale of it.

    Parameters
    ----------
    place : path
    contents : mapping
        File name to content of the new set, ``run.json`` among them.
    begun : bytes
        The text of ``run.json`` while the set is not whole.
    stale : names
        Files of the old set that have no successor.
    """
    draft = draft_inside(place)
    with gone_afterwards(draft):
        draft.mkdir()
        for name, content in contents.items():
            write_synced(draft / name, content, (place / name).resolve())
        write_synced(draft / "begun", begun)
        names = [name for name in contents if name != LISTING]
        _swap_in(draft, place, names, list(stale))


def _swap_in(draft: Path, place: Path, names: list[str], stale: list[str]) -> None:
    """Rename the new files over the old ones; if one fails, put the old ones back."""
    saved = draft / "old"
    saved.mkdir()
    touched = [name for name in [LISTING, *names, *stale] if (place / name).exists()]
    for name in touched:
        shutil.copy2((place / name).resolve(), saved / name)
    try:
        (draft / "begun").replace((place / LISTING).resolve())
        for name in names:
            (draft / name).replace((place / name).resolve())
        for name in stale:
            (place / name).unlink()
        sync_folder(place)
        (draft / LISTING).replace((place / LISTING).resolve())
        sync_folder(place)
    except BaseException:
        for name in {LISTING, *names} - set(touched):
            (place / name).unlink(missing_ok=True)
        for name in touched:
            (saved / name).replace((place / name).resolve())
        raise
