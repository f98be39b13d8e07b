"""An old folder is replaced in one step where the system can; nothing of anybody else is lost."""

import ctypes
import errno
import json
import os
import shutil
import signal
import stat
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.reports.writing.makers import LATER, REPORT, names
from wearcast.errors import CannotWrite
from wearcast.reports.writing import exchange, folder
from wearcast.reports.writing.folder import put_files

AT_ONCE = hasattr(ctypes.CDLL(None), "renameat2") if sys.platform == "linux" else False
at_once = pytest.mark.skipif(not AT_ONCE, reason="this system cannot exchange folders")


@pytest.fixture
def place(tmp_path: Path) -> Path:
    put_files({"a.csv": b"1", "b.csv": b"1"}, tmp_path / "r", REPORT)
    return tmp_path / "r"


@pytest.fixture
def ways(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Which way each set went in: ``at once`` or ``file by file``."""
    taken: list[str] = []
    one_step, by_file = folder.is_exchanged, folder.replace_files

    def exchanged(*given: object) -> bool:
        done = one_step(*given)
        taken.extend(["at once"] if done else [])
        return done

    def replaced(*given: object) -> None:
        by_file(*given)
        taken.append("file by file")

    monkeypatch.setattr(folder, "is_exchanged", exchanged)
    monkeypatch.setattr(folder, "replace_files", replaced)
    return taken


def write_later(place: Path) -> None:
    put_files({"a.csv": b"2", "b.csv": b"2"}, place, LATER)


def is_later(place: Path) -> bool:
    told = json.loads((place / "run.json").read_text())
    return told["complete"] and {(place / name).read_bytes() for name in told["files"]} == {b"2"}


@at_once
def test_the_users_files_are_the_very_same_files_afterwards(place: Path, ways: list[str]):
    (place / "notes.txt").write_text("mine")
    (place / "notes.txt").chmod(0o604)
    (place / "link").symlink_to("notes.txt")
    before = (place / "notes.txt").stat()
    write_later(place)
    after = (place / "notes.txt").stat()
    assert ways == ["at once"]
    assert names(place) == ["a.csv", "b.csv", "link", "notes.txt", "run.json"]
    assert is_later(place)
    assert (after.st_ino, after.st_mode, after.st_nlink) == (before.st_ino, before.st_mode, 1)
    assert (place / "link").readlink() == Path("notes.txt")
    assert names(place.parent) == ["r"]


@at_once
def test_the_folder_keeps_its_mode_and_its_owner(place: Path, ways: list[str]):
    if os.geteuid() == 0:
        os.chown(place, 12345, 54321)
    place.chmod(0o2750)
    before = place.stat()
    write_later(place)
    after = place.stat()
    assert ways == ["at once"]
    assert stat.S_IMODE(after.st_mode) == 0o2750
    assert (after.st_uid, after.st_gid) == (before.st_uid, before.st_gid)


@at_once
def test_a_folder_that_is_reached_by_a_link_is_exchanged_behind_it(place: Path, ways: list[str]):
    (place.parent / "away").mkdir()
    link = place.parent / "away" / "link"
    link.symlink_to(Path("..") / "r")
    write_later(link)
    assert ways == ["at once"]
    assert link.readlink() == Path("..") / "r"
    assert is_later(place)
    assert names(place.parent / "away") == ["link"]


def with_a_folder_inside(place: Path, _: pytest.MonkeyPatch) -> None:
    (place / "mine").mkdir()
    (place / "mine" / "notes.txt").write_text("mine")


def with_a_link_of_ours(place: Path, _: pytest.MonkeyPatch) -> None:
    (place / "a.csv").rename(place.parent / "elsewhere.csv")
    (place / "a.csv").symlink_to(place.parent / "elsewhere.csv")


def that_we_stand_in(place: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(place)


def refused(*_: object, **__: object) -> None:
    raise OSError(errno.EPERM, os.strerror(errno.EPERM))


def without_hard_links(place: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (place / "notes.txt").write_text("mine")
    monkeypatch.setattr(os, "link", refused)


def whose_owner_cannot_be_kept(place: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    if os.geteuid():
        pytest.skip("only root can give a folder away to begin with")
    os.chown(place, 12345, 54321)
    monkeypatch.setattr(os, "chown", refused)


def on_a_system_without_the_call(_: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "platform", "elsewhere")


def on_a_disk_without_the_call(_: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(exchange, "_EXCHANGE", 1 << 20)


@pytest.mark.parametrize(
    "hinder",
    [
        with_a_folder_inside,
        with_a_link_of_ours,
        that_we_stand_in,
        without_hard_links,
        whose_owner_cannot_be_kept,
        on_a_system_without_the_call,
        on_a_disk_without_the_call,
    ],
    ids=lambda hinder: hinder.__name__,
)
def test_a_folder_is_filled_file_by_file(
    place: Path,
    ways: list[str],
    monkeypatch: pytest.MonkeyPatch,
    hinder: Callable[[Path, pytest.MonkeyPatch], None],
):
    hinder(place, monkeypatch)
    before = place.stat().st_ino
    others = {name: (place / name).lstat().st_ino for name in names(place)}
    write_later(place)
    assert ways == ["file by file"]
    assert is_later(place)
    assert place.stat().st_ino == before
    for name in {"mine", "notes.txt"} & set(others):
        assert (place / name).lstat().st_ino == others[name]
    assert not [name for name in names(place.parent) if ".wearcast-" in name]


def test_a_mounted_folder_is_filled_file_by_file(tmp_path: Path, ways: list[str]):
    place = tmp_path / "r"
    place.mkdir()
    mount = ["mount", "-t", "tmpfs", "-o", "size=1m", "tmpfs", str(place)]
    if shutil.which("mount") is None or subprocess.run(mount, capture_output=True).returncode:
        pytest.skip("nothing can be mounted here")
    try:
        write_later(place)
        write_later(place)
        assert ways == ["file by file"] * 2
        assert is_later(place)
        assert place.is_mount()
    finally:
        subprocess.run(["umount", str(place)], check=True)


@at_once
def test_a_folder_that_may_not_be_written_is_not_exchanged(
    place: Path, ways: list[str], monkeypatch: pytest.MonkeyPatch
):
    monkeypatch.setattr(os, "access", lambda path, _: path != place)
    write_later(place)
    assert ways == ["file by file"]


@at_once
@pytest.mark.parametrize("name", ["a.csv", "run.json", "new.txt"])
def test_a_change_by_somebody_else_in_the_meantime_stands(
    place: Path, monkeypatch: pytest.MonkeyPatch, name: str
):
    swap, theirs = exchange.swap, iter(["theirs"])

    def late(one: Path, other: Path) -> None:
        for text in theirs:
            (place / name).write_text(text)
        swap(one, other)

    monkeypatch.setattr(exchange, "swap", late)
    with pytest.raises(CannotWrite) as told:
        write_later(place)
    assert str(told.value) == (
        f"{place} was changed by another program in the meantime, so nothing was written; "
        "run the command again"
    )
    assert (place / name).read_text() == "theirs"
    assert (place / "b.csv").read_bytes() == b"1"
    assert names(place.parent) == ["r"]


@at_once
def test_a_file_of_the_users_that_grows_in_the_meantime_goes_on_growing(
    place: Path, ways: list[str], monkeypatch: pytest.MonkeyPatch
):
    swap = exchange.swap
    with (place / "log.txt").open("w") as log:

        def late(one: Path, other: Path) -> None:
            print("while", file=log, flush=True)
            swap(one, other)

        monkeypatch.setattr(exchange, "swap", late)
        write_later(place)
        print("after", file=log, flush=True)
    assert ways == ["at once"]
    assert (place / "log.txt").read_text() == "while\nafter\n"


KILLED = """
import os, shutil, signal, sys
from pathlib import Path
from wearcast.reports.writing.folder import put_files
from wearcast.reports.writing.ownership import Label
shutil.rmtree = lambda *_, **__: os.kill(os.getpid(), signal.SIGKILL)
put_files({"a.csv": b"2", "b.csv": b"2"}, sys.argv[1],
          Label("run2", "report", "0.1.0", "2026-11-30", 1, 100))
"""


@at_once
def test_a_kill_before_the_old_set_is_gone_leaves_the_new_one_whole_and_loses_nothing(place: Path):
    (place / "notes.txt").write_text("mine")
    ended = subprocess.run([sys.executable, "-c", KILLED, str(place)], check=False)
    assert ended.returncode == -signal.SIGKILL
    assert is_later(place)
    assert (place / "notes.txt").read_text() == "mine"
    (left,) = [path for path in place.parent.iterdir() if path != place]
    assert left.name.startswith(".r.wearcast-")
    assert (left / "a.csv").read_bytes() == b"1"
    write_later(place)
    assert names(place.parent) == ["r"]
    assert (place / "notes.txt").read_text() == "mine"


@at_once
def test_two_runs_at_once_leave_the_whole_set_of_one(place: Path):
    script = KILLED.replace("shutil.rmtree =", "_ =").replace('b"2"', "sys.argv[2].encode()")
    for _ in range(3):
        runs = [
            subprocess.Popen(
                [sys.executable, "-c", script, str(place), mark], stderr=subprocess.DEVNULL
            )
            for mark in "345"
        ]
        codes = [run.wait() for run in runs]
        assert 0 in codes
        told = json.loads((place / "run.json").read_text())
        assert told["complete"]
        assert len({(place / name).read_bytes() for name in told["files"]}) == 1
        assert names(place) == ["a.csv", "b.csv", "run.json"]
    assert names(place.parent) == ["r"]
