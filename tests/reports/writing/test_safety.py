"""A report is whole or not there, whatever happens while it is written.

The everyday tests take a few steps of each kind; the studies (``-m study``) take them all.
"""

import ctypes
import errno
import hashlib
import json
import os
import random
import resource
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from wearcast.errors import CannotWrite
from wearcast.reports.writing import exchange
from wearcast.reports.writing.folder import put_files
from wearcast.reports.writing.ownership import Label

FILES, SIZE = 12, 40_000
"""About a small report: a dozen files, half a megabyte."""


exchanging = pytest.mark.skipif(
    not (sys.platform == "linux" and hasattr(ctypes.CDLL(None), "renameat2")),
    reason="this system cannot exchange folders",
)


def content(mark: str) -> dict[str, bytes]:
    return {f"t{number:02d}.csv": mark.encode() * SIZE for number in range(FILES)}


def label(mark: str) -> Label:
    return Label(f"run {mark}", "report", "0.1.0", "2026-10-31", 1, 100)


def write(place: Path, mark: str) -> None:
    put_files(content(mark), place, label(mark))


def state(place: Path) -> str:
    """``absent``, the mark of a whole set, or ``told`` (run.json says that it is not whole).

    Anything else is a failure: a file that is not whole, or a mixture called complete.
    """
    if not place.exists():
        return "absent"
    listing = json.loads((place / "run.json").read_text(encoding="utf-8"))
    marks = set()
    for path in place.glob("t*.csv"):
        held = path.read_bytes()
        assert len(held) == SIZE, f"{path.name} is not whole"
        assert len(set(held)) == 1, f"{path.name} is mixed"
        marks.add(chr(held[0]))
    if not listing["complete"]:
        return "told"
    held = {path.name: hashlib.sha256(path.read_bytes()).hexdigest() for path in place.glob("t*")}
    assert listing["files"] == held, f"called complete with {marks}"
    assert len(marks) == 1
    return marks.pop()


def drafts(place: Path) -> list[str]:
    near = [place, place.parent] if place.exists() else [place.parent]
    return [path.name for folder in near for path in folder.iterdir() if ".wearcast-" in path.name]


def hinder(place: Path) -> None:
    """A folder inside keeps the whole from being exchanged in one step."""
    (place / "mine").mkdir()


WRITER = """
import sys
from pathlib import Path
from tests.reports.writing.test_safety import write
print("go", flush=True)
write(Path(sys.argv[1]), sys.argv[2])
print("done", flush=True)
"""


@contextmanager
def writer(place: Path, mark: str) -> Iterator[subprocess.Popen[str]]:
    """A process that writes a set; it has said ``go`` when it begins."""
    command = [sys.executable, "-c", WRITER, str(place), mark]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as process:
        assert process.stdout is not None
        assert process.stdout.readline() == "go\n"
        yield process


def writing_time(place: Path) -> float:
    with writer(place, "x") as process:
        begun = time.perf_counter()
        process.wait()
        return time.perf_counter() - begun


def kill_often(
    place: Path, kills: int, before: str | None, dice: random.Random, at_once: bool = True
) -> Counter[str]:
    """Kill a writer at random moments; what was found, after checking that the next run cures it.

    Parameters
    ----------
    before : the mark of the set that lies there first; None: no folder
    at_once : whether the folder can be exchanged in one step
    """
    longest = 1.2 * max(writing_time(place.with_name(f"trial{number}")) for number in range(2))
    found: Counter[str] = Counter()
    for _ in range(kills):
        shutil.rmtree(place, ignore_errors=True)
        if before is not None:
            write(place, before)
            if not at_once:
                hinder(place)
        with writer(place, "b") as process:
            time.sleep(dice.uniform(0, longest))
            process.send_signal(signal.SIGKILL)
        now = state(place)
        assert now in {"b", before or "absent"} | ({"told"} if not at_once else set())
        found[now] += 1
        write(place, "c")
        assert state(place) == "c"
        assert drafts(place) == []
    return found


WAYS = pytest.mark.parametrize(
    ("before", "at_once"),
    [(None, True), pytest.param("a", True, marks=exchanging), ("a", False)],
    ids=["new folder", "old folder", "old folder file by file"],
)


@WAYS
def test_a_few_kills_leave_a_set_whole_or_tell(tmp_path: Path, before: str | None, at_once: bool):
    assert sum(kill_often(tmp_path / "r", 4, before, random.Random(3), at_once).values()) == 4


@pytest.mark.study
@WAYS
def test_two_hundred_kills_leave_a_set_whole_or_tell(
    tmp_path: Path, before: str | None, at_once: bool
):
    found = kill_often(tmp_path / "r", 200, before, random.Random(7), at_once)
    place = ("old folder" if before else "new folder") + ("" if at_once else " file by file")
    print(f"200 kills, {place}: {dict(sorted(found.items()))}")  # noqa: T201 (the figures of a study)
    # The kills must have met the writing, not only its beginning or its end.
    assert found["b"] < 200
    assert found["b"] > 0


CALLS = [
    (os, "fsync"), (os, "open"), (Path, "open"), (Path, "mkdir"), (Path, "rename"),
    (Path, "replace"), (Path, "unlink"), (Path, "chmod"), (Path, "stat"), (Path, "read_bytes"),
    (Path, "iterdir"), (Path, "lstat"), (shutil, "copy2"), (shutil, "copystat"), (os, "link"),
    (exchange, "swap"),
]  # fmt: skip


@contextmanager
def failing(fails: Callable[[int], bool]) -> Iterator[list[int]]:
    """Calls to the disk fail where `fails` says so of their number; the list holds the count."""
    count = [0]
    kept = [(home, name, getattr(home, name)) for home, name in CALLS]

    def wrapped(real: Callable[..., object]) -> Callable[..., object]:
        def call(*given: object, **named: object) -> object:
            count[0] += 1
            if fails(count[0]):
                raise OSError(errno.EIO, os.strerror(errno.EIO))
            return real(*given, **named)

        return call

    try:
        for home, name, real in kept:
            setattr(home, name, wrapped(real))
        yield count
    finally:
        for home, name, real in kept:
            setattr(home, name, real)


def fail_at(
    place: Path, before: str | None, at_once: bool, fails: Callable[[int], bool]
) -> tuple[str, int]:
    """What is there after a run whose disk fails so, and how many calls it made."""
    shutil.rmtree(place, ignore_errors=True)
    if before is not None:
        write(place, before)
        (place / "notes.txt").write_text("mine")
        if not at_once:
            hinder(place)
    with failing(fails) as count:
        try:
            write(place, "b")
        except CannotWrite:
            done = False
        else:
            done = True
    now = state(place)
    assert now == "b" or not done
    assert before is None or (place / "notes.txt").read_text() == "mine"
    return now, count[0]


def steps(study: bool, most: int) -> range:
    return range(1, most + 1, 1 if study else 17)


@WAYS
@pytest.mark.parametrize("study", [False, pytest.param(True, marks=pytest.mark.study)])
def test_one_call_that_fails_leaves_a_set_whole(
    tmp_path: Path, before: str | None, at_once: bool, study: bool
):
    _, most = fail_at(tmp_path / "r", before, at_once, lambda _: False)
    found: Counter[str] = Counter()
    for step in steps(study, most):
        now, _ = fail_at(tmp_path / "r", before, at_once, lambda number, at=step: number == at)
        assert now in {"b", before or "absent"}, step
        found[now] += 1
        # Where the clearing up itself failed, the next run does it.
        write(tmp_path / "r", "c")
        assert drafts(tmp_path / "r") == [], step
    print(f"{most} calls, each failing once, {before}: {dict(found)}")  # noqa: T201 (the figures of a study)


@WAYS
@pytest.mark.parametrize("study", [False, pytest.param(True, marks=pytest.mark.study)])
def test_every_nth_call_that_fails_leaves_a_set_whole_or_tells(
    tmp_path: Path, before: str | None, at_once: bool, study: bool
):
    _, most = fail_at(tmp_path / "r", before, at_once, lambda _: False)
    found: Counter[str] = Counter()
    for step in steps(study, most):
        now, _ = fail_at(tmp_path / "r", before, at_once, lambda number, at=step: number % at == 0)
        assert now in {"b", before or "absent"} | ({"told"} if before else set()), step
        found[now] += 1
        write(tmp_path / "r", "c")
        assert state(tmp_path / "r") == "c"
    print(f"{most} calls, every n-th failing, {before}: {dict(found)}")  # noqa: T201 (the figures of a study)


@contextmanager
def largest_file(octets: int) -> Iterator[None]:
    """The system refuses to let a file grow beyond this, in the middle of a write."""
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (octets, hard))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))


@pytest.mark.parametrize("before", [None, "a"], ids=["new folder", "old folder"])
@pytest.mark.parametrize("octets", [1, 1000, SIZE - 1])
def test_a_disk_without_room_leaves_what_was(tmp_path: Path, before: str | None, octets: int):
    place = tmp_path / "r"
    if before:
        write(place, before)
    with largest_file(octets), pytest.raises(CannotWrite, match="so nothing was"):
        write(place, "b")
    assert state(place) == (before or "absent")
    assert drafts(place) == []


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    """A disk of its own with room for one set and a half."""
    place = tmp_path / "disk"
    place.mkdir()
    size = int(1.5 * FILES * SIZE)
    mount = ["mount", "-t", "tmpfs", "-o", f"size={size}", "tmpfs", str(place)]
    if shutil.which("mount") is None or subprocess.run(mount, capture_output=True).returncode:
        pytest.skip("a small disk cannot be mounted here")
    yield place
    subprocess.run(["umount", str(place)], check=True)


@pytest.mark.study
def test_a_disk_that_is_full_leaves_what_was(small_disk: Path):
    write(small_disk / "r", "a")
    with pytest.raises(CannotWrite, match="No space left on device"):
        write(small_disk / "r", "b")
    assert state(small_disk / "r") == "a"
    assert drafts(small_disk / "r") == []
    with pytest.raises(CannotWrite, match="No space left on device"):
        write(small_disk / "other", "b")
    assert state(small_disk / "other") == "absent"


@contextmanager
def ordinary_user() -> Iterator[None]:
    """The system refuses root nothing, so the tests of refusals are not run as root."""
    root = os.geteuid() == 0
    try:
        if root:
            os.seteuid(65534)
        yield
    finally:
        if root:
            os.seteuid(0)


def test_a_folder_that_may_not_be_written_is_told_and_stays():
    # Not pytest's folder: another user may not look into that.
    with tempfile.TemporaryDirectory() as made:
        Path(made).chmod(0o755)
        place = Path(made) / "r"
        write(place, "a")
        place.chmod(0o555)
        refused = r"cannot be written \(Permission denied\), so nothing was"
        with ordinary_user(), pytest.raises(CannotWrite, match=refused):
            write(place, "b")
        assert state(place) == "a"
        assert drafts(place) == []
        place.chmod(0o755)


def test_a_file_that_is_open_elsewhere_is_read_to_its_end(tmp_path: Path):
    write(tmp_path / "r", "a")
    with (tmp_path / "r" / "t03.csv").open("rb") as reader:
        first = reader.read(100)
        write(tmp_path / "r", "b")
        assert first + reader.read() == b"a" * SIZE
    assert state(tmp_path / "r") == "b"
