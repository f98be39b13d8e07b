"""Which files in a folder are ours: what ``run.json`` says, and whether it still holds."""

import hashlib
import json
import stat
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from wearcast.errors import CannotWrite

LISTING = "run.json"
_LARGEST = 1_000_000
"""Bytes of run.json; a report of a hundred suppliers takes a hundredth."""
Known = Mapping[str, list[dict[str, str]]]
"""File name to what earlier runs wrote there: sha256, run, command."""


@dataclass(frozen=True, slots=True)
class Label:
    """What ``run.json`` says of a run beside its files."""

    run: str
    command: str
    version: str
    as_of: str
    seed: int
    draws: int


def known_files(place: Path) -> dict[str, list[dict[str, str]]]:
    """What run.json says that we wrote here: name to entries (sha256, run, command)."""
    path = place / LISTING
    if not path.exists():
        return {}
    try:
        refuse_other_than_file(path, _LARGEST)
        told = json.loads(path.read_text(encoding="utf-8"))
        entry = {"run": str(told["run"]), "command": str(told["command"])}
        known = {
            str(name): [{**entry, "sha256": str(digest)}] for name, digest in told["files"].items()
        }
        for name, entries in told["earlier"].items():
            known.setdefault(str(name), []).extend(dict(each) for each in entries)
        if any(name in ("", "..") or Path(name).name != name for name in known):
            raise ValueError  # a name that leads out of the folder
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError) as error:
        raise CannotWrite(
            f"{path} was not written by wearcast; choose another folder with -o"
        ) from error
    return known


def refuse_other_than_file(path: Path, most: int) -> None:
    """A `ValueError` for what is no file, or larger than ours of that name: not to be read."""
    state = path.stat()
    if not stat.S_ISREG(state.st_mode) or state.st_size > most:
        raise ValueError(path)


def refuse_foreign(path: Path, known: Known) -> None:
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
    refuse_read_only(path)
    if not is_ours(path, known):
        raise CannotWrite(
            f"{path} was changed since wearcast wrote it, so it is not replaced; "
            "move it away or choose another folder with -o"
        )


def refuse_read_only(path: Path) -> None:
    """A file that nobody may write to is not replaced, though its folder would allow it."""
    if path.exists() and not path.stat().st_mode & 0o222:
        raise CannotWrite(f"{path} is read-only, so it is not replaced; choose another folder")


def is_ours(path: Path, known: Known) -> bool:
    """Whether the file is as we left it."""
    written = {entry["sha256"] for entry in known.get(path.name, [])}
    return path.is_file() and hashlib.sha256(path.read_bytes()).hexdigest() in written


def leftovers(
    files: Mapping[str, bytes],
    place: Path,
    known: Known,
    command: str,
) -> tuple[list[str], dict[str, list[dict[str, str]]]]:
    """Our earlier files that this run does not write: those to remove, those that stay.

    A file of the same command that is no longer made would be mistaken for one of this run.
    """
    others = [name for name in known if name not in files and is_ours(place / name, known)]
    stale = [name for name in others if known[name][-1].get("command") == command]
    return stale, {name: known[name] for name in others if name not in stale}


def listing(
    label: Label,
    files: Mapping[str, bytes],
    earlier: Known | None = None,
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
