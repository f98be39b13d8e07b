"""Files into a folder: all of them whole, or none; nobody else's file is touched.

A new folder is filled beside its place and renamed into it. A folder that is there already is
exchanged for one with the new files and everybody else's, in one step (`exchange`); where that
cannot be, its files are replaced one by one (`in_place`). ``run.json`` names each file and its
digest: it tells whether a set is whole and which files are ours. A file that we did not write,
or that somebody changed since, is never replaced.
"""

from collections.abc import Callable, Iterable, Mapping
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

from wearcast.errors import CannotWrite
from wearcast.reports.writing.exchange import is_exchanged, look
from wearcast.reports.writing.in_place import replace_files
from wearcast.reports.writing.ownership import (
    LISTING,
    Label,
    known_files,
    leftovers,
    listing,
    refuse_foreign,
    refuse_read_only,
)
from wearcast.reports.writing.unfinished import (
    draft_beside,
    draft_inside,
    gone_afterwards,
    sweep,
    sync_folder,
    write_synced,
)


@dataclass(frozen=True, slots=True)
class RunResult:
    """What a run wrote."""

    run: str
    """The run's id."""
    folder: Path
    files: tuple[str, ...]
    """Names written, sorted, without ``run.json``."""
    earlier: tuple[str, ...] = ()
    """Files of an earlier run by another command that still lie there."""
    left_out: tuple[str, ...] = ()
    """What a report of so large a fleet leaves out unless asked for, in words."""


def put_files(
    files: Mapping[str, bytes], folder: str | Path, label: Label, inputs: Iterable[str] = ()
) -> RunResult:
    """Write one run's files into a folder, whole or not at all.

    Parameters
    ----------
    files : mapping
        Plain file name to content.
    folder : path
        Made if it is not there.
    label : Label
        The run, for ``run.json``.
    inputs : paths, optional
        The logbook's files and folders, which are never written into.

    Raises
    ------
    CannotWrite
        If anything stands in the way; the folder is then as it was.
    """
    refuse_folder(folder, inputs)
    place = Path(folder)
    _refuse_inputs(files, place, inputs)
    try:
        if place.exists() or place.is_symlink():
            earlier = _fill_old(files, place, label)
        else:
            _fill_new(files, place, label)
            earlier = ()
    except OSError as error:
        reason = error.strerror or str(error)
        raise CannotWrite(
            f"{place} cannot be written ({reason}), so nothing was; "
            "close what has its files open, make room or choose another folder with -o"
        ) from error
    return RunResult(label.run, place, tuple(sorted(files)), tuple(sorted(earlier)))


def refuse_folder(folder: str | Path, inputs: Iterable[str]) -> None:
    """Stop before the work begins where the files could not be written in the end.

    Raises
    ------
    CannotWrite
        If the folder is the logbook, a file, or holds another program's ``run.json``, or its
        name cannot be one.
    """
    place = Path(folder)
    try:
        _refuse_inputs({}, place, inputs)
        if place.exists() and not place.is_dir():
            raise CannotWrite(f"{place} is a file, not a folder; choose another folder with -o")
        known_files(place)
    except (OSError, RuntimeError, ValueError) as error:  # too long, a link in a circle, a NUL
        reason = getattr(error, "strerror", None) or "no name of a folder"
        raise CannotWrite(
            f"{str(place)[:200]} cannot be written ({reason}); choose another folder with -o"
        ) from error
    if not place.resolve().name:
        raise CannotWrite(f"{place} is the whole disk; choose another folder with -o")


def put_file(content: bytes, path: str | Path, ours: Callable[[bytes], bool]) -> None:
    """Write one file, whole or not at all; replace one only if `ours` says that we wrote it."""
    try:
        target = Path(path).resolve()
        if target.exists() and not (target.is_file() and ours(target.read_bytes())):
            raise CannotWrite(
                f"{path} is there already and is not ours to replace; choose another name"
            )
        refuse_read_only(target)
        draft = draft_inside(target.parent, target.name)
        with gone_afterwards(draft):
            write_synced(draft, content, target)
            draft.replace(target)
            sync_folder(target.parent)
    except (OSError, RuntimeError, ValueError) as error:  # a link in a circle, a NUL
        reason = getattr(error, "strerror", None) or "no name of a file"
        raise CannotWrite(
            f"{str(path)[:200]} cannot be written ({reason}); choose another place"
        ) from error


def _refuse_inputs(files: Mapping[str, bytes], place: Path, inputs: Iterable[str]) -> None:
    """The logbook is never written into."""
    taken = {Path(each).resolve() for each in inputs}
    # A folder of CSV files is read as a whole: our tables would stand among the logbook's.
    folders = {each.parent for each in taken if each.suffix.lower() == ".csv"}
    if place.resolve() in taken | folders:
        raise CannotWrite(f"{place} is the logbook itself; choose another folder with -o")
    for name in (*files, LISTING):
        if (place / name).resolve() in taken:
            raise CannotWrite(f"{place / name} is the logbook itself; choose another folder")


def _fill_new(files: Mapping[str, bytes], place: Path, label: Label) -> None:
    """A folder that is not there yet appears with everything in it."""
    made = _make_parents(place.parent)
    try:
        sweep(place)
        draft = draft_beside(place)
        with gone_afterwards(draft):
            draft.mkdir()
            for name, content in {**files, LISTING: listing(label, files)}.items():
                write_synced(draft / name, content)
            sync_folder(draft)
            draft.rename(place)
            sync_folder(place.parent)
    except BaseException:
        for each in reversed(made):
            with suppress(OSError):
                each.rmdir()
        raise


def _make_parents(parent: Path) -> list[Path]:
    """The missing folders above, made; which ones, outermost first."""
    missing = [each for each in (parent, *parent.parents) if not each.exists()]
    parent.mkdir(parents=True, exist_ok=True)
    return missing[::-1]


def _fill_old(files: Mapping[str, bytes], place: Path, label: Label) -> tuple[str, ...]:
    """Replace our own files in a folder that is there; returns what stays of earlier runs."""
    if not place.is_dir():
        raise CannotWrite(f"{place} is a file, not a folder; choose another folder with -o")
    home = place.resolve()
    sweep(home)
    seen = look(home)
    known = known_files(place)
    for name in files:
        refuse_foreign(place / name, known)
    stale, kept = leftovers(files, place, known, label.command)
    contents = {**files, LISTING: listing(label, files, kept)}
    stays = [name for name in seen if name not in contents and name not in stale]
    if not is_exchanged(home, contents, stays, seen):
        replace_files(place, contents, listing(label, files, known, complete=False), stale)
    return tuple(kept)
