"""Files into a folder: all of them whole, or none; nobody else's file is touched.

A new folder is filled beside its place and renamed into it. In a folder that is there already,
the files are written into a hidden folder inside, synced, and renamed over the old ones; should
one rename fail, the old files come back. ``run.json`` is written first as not complete and last
as complete: it names each file and its digest, so it tells whether a set is whole and which
files are ours. A file that we did not write, or that somebody changed since, is never replaced.
"""

import hashlib
import json
import os
import shutil
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path

from wearcast.errors import CannotWrite

LISTING = "run.json"
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


@dataclass(frozen=True, slots=True)
class Label:
    """What ``run.json`` says of a run beside its files."""

    run: str
    command: str
    version: str
    as_of: str
    seed: int
    draws: int


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
        earlier = _fill_new(files, place, label) or _fill_old(files, place, label)
    except OSError as error:
        reason = error.strerror or str(error)
        raise CannotWrite(
            f"{place} cannot be written ({reason}), so nothing was; "
            "make room or choose another folder with -o"
        ) from error
    return RunResult(label.run, place, tuple(sorted(files)), tuple(sorted(earlier or ())))


def put_file(content: bytes, path: str | Path, ours: Callable[[bytes], bool]) -> None:
    """Write one file, whole or not at all; replace one only if `ours` says that we wrote it."""
    target = Path(path).resolve()
    try:
        if target.exists() and not ours(target.read_bytes()):
            raise CannotWrite(
                f"{path} is there already and is not ours to replace; choose another name"
            )
        _refuse_read_only(target)
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
    if place.resolve() in taken:
        raise CannotWrite(f"{place} is the logbook itself; choose another folder with -o")
    for name in (*files, LISTING):
        if (place / name).resolve() in taken:
            raise CannotWrite(f"{place / name} is the logbook itself; choose another folder")


def _fill_new(files: Mapping[str, bytes], place: Path, label: Label) -> tuple[str, ...] | None:
    """A folder that is not there yet appears with everything in it; None if it is there."""
    if place.exists() or place.is_symlink():
        return None
    made = _make_parents(place.parent)
    try:
        _sweep(place.parent, f".{place.name}{_MARK}")
        draft = place.with_name(f".{place.name}{_MARK}{os.getpid()}")
        with _gone_afterwards(draft):
            draft.mkdir()
            for name, content in {**files, LISTING: _listing(label, files)}.items():
                _write_synced(draft / name, content)
            _sync_folder(draft)
            draft.rename(place)
            _sync_folder(place.parent)
    except BaseException:
        for each in reversed(made):
            with suppress(OSError):
                each.rmdir()
        raise
    return ()


def _make_parents(parent: Path) -> list[Path]:
    """The missing folders above, made; which ones, outermost first."""
    missing = [each for each in (parent, *parent.parents) if not each.exists()]
    parent.mkdir(parents=True, exist_ok=True)
    return missing[::-1]


def _fill_old(files: Mapping[str, bytes], place: Path, label: Label) -> tuple[str, ...]:
    """Replace our own files in a folder that is there; returns what stays of earlier runs."""
    if not place.is_dir():
        raise CannotWrite(f"{place} is a file, not a folder; choose another folder with -o")
    known = _known_files(place)
    for name in files:
        _refuse_foreign(place / name, known)
    _sweep(place, _MARK)
    stale, kept = _leftovers(files, place, known, label.command)
    draft = place / f"{_MARK}{os.getpid()}"
    with _gone_afterwards(draft):
        draft.mkdir()
        for name, content in files.items():
            _write_synced(draft / name, content, (place / name).resolve())
        _write_synced(draft / "begun", _listing(label, files, known, complete=False))
        _write_synced(draft / LISTING, _listing(label, files, kept))
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


def _known_files(place: Path) -> dict[str, list[dict[str, str]]]:
    """What run.json says that we wrote here: name to entries (sha256, run, command)."""
    path = place / LISTING
    if not path.exists():
        return {}
    try:
        told = json.loads(path.read_text(encoding="utf-8"))
        entry = {"run": str(told["run"]), "command": str(told["command"])}
        known = {
            str(name): [{**entry, "sha256": str(digest)}] for name, digest in told["files"].items()
        }
        for name, entries in told["earlier"].items():
            known.setdefault(str(name), []).extend(dict(each) for each in entries)
    except (ValueError, KeyError, TypeError, AttributeError) as error:
        raise CannotWrite(
            f"{path} was not written by wearcast; choose another folder with -o"
        ) from error
    return known


def _refuse_foreign(path: Path, known: Mapping[str, list[dict[str, str]]]) -> None:
    """A file that is not ours, or not as we left it, is not replaced."""
    if not path.exists() and not path.is_symlink():
        return
    if path.name not in known:
        raise CannotWrite(
            f"{path} was not written by wearcast, so it is not replaced; "
            "move it away or choose another folder with -o"
        )
    if path.is_symlink() and not path.exists():
        raise CannotWrite(f"{path} points nowhere; remove the link or choose another folder")
    _refuse_read_only(path)
    if not _is_ours(path, known):
        raise CannotWrite(
            f"{path} was changed since wearcast wrote it, so it is not replaced; "
            "move it away or choose another folder with -o"
        )


def _refuse_read_only(path: Path) -> None:
    if path.exists() and not path.stat().st_mode & 0o222:
        raise CannotWrite(f"{path} is read-only, so it is not replaced; choose another folder")


def _is_ours(path: Path, known: Mapping[str, list[dict[str, str]]]) -> bool:
    """Whether the file is as we left it."""
    written = {entry["sha256"] for entry in known.get(path.name, [])}
    return path.is_file() and hashlib.sha256(path.read_bytes()).hexdigest() in written


def _leftovers(
    files: Mapping[str, bytes],
    place: Path,
    known: Mapping[str, list[dict[str, str]]],
    command: str,
) -> tuple[list[str], dict[str, list[dict[str, str]]]]:
    """Our earlier files that this run does not write: those to remove, those that stay.

    A file of the same command that is no longer made would be mistaken for one of this run.
    """
    others = [name for name in known if name not in files and _is_ours(place / name, known)]
    stale = [name for name in others if known[name][-1].get("command") == command]
    return stale, {name: known[name] for name in others if name not in stale}


def _listing(
    label: Label,
    files: Mapping[str, bytes],
    earlier: Mapping[str, list[dict[str, str]]] | None = None,
    *,
    complete: bool = True,
) -> bytes:
    """The text of run.json."""
    told = {
        "complete": complete,
        "run": label.run,
        "command": label.command,
        "version": label.version,
        "as_of": label.as_of,
        "seed": label.seed,
        "draws": label.draws,
        "files": {name: hashlib.sha256(files[name]).hexdigest() for name in sorted(files)},
        "earlier": {name: earlier[name] for name in sorted(earlier)} if earlier else {},
    }
    return (json.dumps(told, indent=1, ensure_ascii=False) + "\n").encode()


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
    """Whatever happens, the draft does not stay."""
    try:
        yield
    finally:
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
