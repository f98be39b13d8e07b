"""Files into a folder: all of them whole, or none; nobody else's file is touched.

A new folder is filled beside its place and renamed into it. In a folder that is there already,
the files are written into a hidden folder inside, synced, and renamed over the old ones; should
one rename fail, the old files come back. ``run.json`` is written first as not complete and last
as complete: it names each file and its digest, so it tells whether a set is whole and which
files are ours. A file that we did not write, or that somebody changed since, is never replaced.
"""

import os
import shutil
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path

from wearcast.errors import CannotWrite
from wearcast.reports.writing.ownership import (
    LISTING,
    Label,
    known_files,
    leftovers,
    listing,
    refuse_foreign,
    refuse_read_only,
)

_MARK = ".wearcast-"


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
            "make room or choose another folder with -o"
        ) from error
    return RunResult(label.run, place, tuple(sorted(files)), tuple(sorted(earlier)))


def refuse_folder(folder: str | Path, inputs: Iterable[str]) -> None:
    """Stop before the work begins where the files could not be written in the end.

    Raises
    ------
    CannotWrite
        If the folder is the logbook, a file, or holds another program's ``run.json``.
    """
    place = Path(folder)
    _refuse_inputs({}, place, inputs)
    if place.exists() and not place.is_dir():
        raise CannotWrite(f"{place} is a file, not a folder; choose another folder with -o")
    known_files(place)


def put_file(content: bytes, path: str | Path, ours: Callable[[bytes], bool]) -> None:
    """Write one file, whole or not at all; replace one only if `ours` says that we wrote it."""
    target = Path(path).resolve()
    try:
        if target.exists() and not ours(target.read_bytes()):
            raise CannotWrite(
                f"{path} is there already and is not ours to replace; choose another name"
            )
        refuse_read_only(target)
        draft = target.with_name(f"{_MARK}{os.getpid()}-{target.name}")
        with _gone_afterwards(draft):
            _write_synced(draft, content, target)
            draft.replace(target)
            _sync_folder(target.parent)
    except OSError as error:
        raise CannotWrite(
            f"{path} cannot be written ({error.strerror or error}); choose another place"
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
        _sweep(place.parent, f".{place.name}{_MARK}")
        draft = place.with_name(f".{place.name}{_MARK}{os.getpid()}")
        with _gone_afterwards(draft):
            draft.mkdir()
            for name, content in {**files, LISTING: listing(label, files)}.items():
                _write_synced(draft / name, content)
            _sync_folder(draft)
            draft.rename(place)
            _sync_folder(place.parent)
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
    known = known_files(place)
    for name in files:
        refuse_foreign(place / name, known)
    _sweep(place, _MARK)
    stale, kept = leftovers(files, place, known, label.command)
    draft = place / f"{_MARK}{os.getpid()}"
    with _gone_afterwards(draft):
        draft.mkdir()
        for name, content in files.items():
            _write_synced(draft / name, content, (place / name).resolve())
        _write_synced(draft / "begun", listing(label, files, known, complete=False))
        _write_synced(draft / LISTING, listing(label, files, kept))
        _swap_in(draft, place, list(files), stale)
    return tuple(kept)


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
        _sync_folder(place)
        (draft / LISTING).replace((place / LISTING).resolve())
        _sync_folder(place)
    except BaseException:
        for name in {LISTING, *names} - set(touched):
            (place / name).unlink(missing_ok=True)
        for name in touched:
            (saved / name).replace((place / name).resolve())
        raise


def _write_synced(path: Path, content: bytes, target: Path | None = None) -> None:
    """Write, reach the disk, and take over the mode of the file that will be replaced."""
    with path.open("xb") as out:
        out.write(content)
        out.flush()
        os.fsync(out.fileno())
    if target is not None and target.exists():
        path.chmod(target.stat().st_mode & 0o7777)


def _sync_folder(folder: Path) -> None:
    """Make renames last; some file systems cannot, and lose nothing by it."""
    with suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


@contextmanager
def _gone_afterwards(draft: Path) -> Iterator[None]:
    """Whatever happens, the draft does not stay; if it must, the next run sweeps it."""
    try:
        yield
    finally:
        with suppress(OSError):
            if draft.is_dir():
                shutil.rmtree(draft, ignore_errors=True)
            else:
                draft.unlink(missing_ok=True)


def _sweep(folder: Path, start: str) -> None:
    """Remove drafts that a killed run of ours left behind; a live run's stay."""
    for draft in sorted(folder.iterdir()):
        if not draft.name.startswith(start):
            continue
        number = draft.name.removeprefix(start).split("-")[0]
        if number.isdecimal() and draft.is_dir() and not _is_alive(int(number)):
            shutil.rmtree(draft, ignore_errors=True)


def _is_alive(process: int) -> bool:
    try:
        os.kill(process, 0)
    except ProcessLookupError:
        return False
    except OSError:
        return True
    return process != os.getpid()
