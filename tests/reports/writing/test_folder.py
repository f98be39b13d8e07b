"""Files arrive whole or not at all, and nobody else's file is touched."""

import errno
import hashlib
import json
import os
import signal
import stat
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.reports.writing.makers import LATER, REPORT, names
from wearcast.errors import CannotWrite
from wearcast.reports.writing.folder import put_file, put_files
from wearcast.reports.writing.ownership import Label

ORDER = Label("run3", "order", "0.1.0", "2026-11-30", 1, 100)


def test_a_new_folder_appears_with_its_files_and_their_digests(tmp_path: Path):
    place = tmp_path / "a" / "reports"
    result = put_files({"x.csv": b"1\n", "y.csv": b"2\n"}, place, REPORT)
    listing = json.loads((place / "run.json").read_text())
    assert result.files == ("x.csv", "y.csv")
    assert names(place) == ["run.json", "x.csv", "y.csv"]
    assert listing["complete"]
    assert listing["files"]["x.csv"] == hashlib.sha256(b"1\n").hexdigest()
    assert names(tmp_path / "a") == ["reports"]


def test_a_later_run_replaces_our_files_and_removes_what_it_no_longer_makes(tmp_path: Path):
    put_files({"x.csv": b"1", "order-old.csv": b"2"}, tmp_path / "r", REPORT)
    put_files({"x.csv": b"3"}, tmp_path / "r", LATER)
    assert names(tmp_path / "r") == ["run.json", "x.csv"]
    assert (tmp_path / "r" / "x.csv").read_bytes() == b"3"


def test_another_command_leaves_the_files_it_does_not_make(tmp_path: Path):
    put_files({"order.csv": b"1", "report.html": b"2"}, tmp_path / "r", REPORT)
    result = put_files({"order.csv": b"3"}, tmp_path / "r", ORDER)
    listing = json.loads((tmp_path / "r" / "run.json").read_text())
    assert result.earlier == ("report.html",)
    assert listing["earlier"]["report.html"][0]["run"] == "run1"
    put_files({"order.csv": b"4", "report.html": b"5"}, tmp_path / "r", LATER)
    assert json.loads((tmp_path / "r" / "run.json").read_text())["earlier"] == {}


def test_a_file_of_somebody_else_is_never_replaced(tmp_path: Path):
    (tmp_path / "order.csv").write_text("mine")
    with pytest.raises(CannotWrite) as told:
        put_files({"order.csv": b"1", "x.csv": b"2"}, tmp_path, REPORT)
    assert str(told.value) == (
        f"{tmp_path}/order.csv was not written by wearcast, so it is not replaced; "
        "move it away or choose another folder with -o"
    )
    assert names(tmp_path) == ["order.csv"]


@pytest.mark.parametrize("name", ["", "readings.csv", "log.xlsx"])
def test_the_logbook_is_never_written_into(tmp_path: Path, name: str):
    (tmp_path / "readings.csv").write_text("machine\n")
    with pytest.raises(CannotWrite, match="is the logbook itself"):
        put_files({"log.xlsx": b"1"}, tmp_path, REPORT, inputs=[str(tmp_path / name)])


@pytest.mark.parametrize(
    ("before", "place", "told"),
    [
        (lambda r: (r / "x.csv").write_bytes(b"edited"), "r", "was changed since wearcast wrote"),
        (lambda r: (r / "x.csv").chmod(0o444), "r", "is read-only"),
        (lambda r: (r / "run.json").write_text('{"jobs": []}'), "r",
         r"run\.json was not written by wearcast"),
        (lambda _: None, "r/x.csv", "is a file, not a folder"),
        (lambda _: None, "r/x.csv/below", "so nothing was"),
    ],
    ids=["edited", "read-only", "a run.json of another program", "a file", "below a file"],
)  # fmt: skip
def test_where_nothing_may_be_written_all_stays(
    tmp_path: Path, before: Callable[[Path], object], place: str, told: str
):
    put_files({"x.csv": b"1"}, tmp_path / "r", REPORT)
    before(tmp_path / "r")
    held = {name: (tmp_path / "r" / name).read_bytes() for name in names(tmp_path / "r")}
    with pytest.raises(CannotWrite, match=told):
        put_files({"x.csv": b"2"}, tmp_path / place, LATER)
    assert held == {name: (tmp_path / "r" / name).read_bytes() for name in names(tmp_path / "r")}


def test_other_files_in_the_folder_stay(tmp_path: Path):
    (tmp_path / "notes.txt").write_text("mine")
    put_files({"x.csv": b"1"}, tmp_path, REPORT)
    assert names(tmp_path) == ["notes.txt", "run.json", "x.csv"]


def file_by_file(place: Path) -> None:
    """A folder of the user's inside keeps the whole from being exchanged in one step."""
    (place / "mine").mkdir()


@pytest.mark.parametrize(
    ("reason", "either_way"),
    [
        pytest.param(errno.EIO, False, id="once"),
        pytest.param(errno.EACCES, True, id="as Windows does while a program has the file open"),
    ],
)
def test_a_rename_that_fails_half_way_puts_the_old_files_back(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, reason: int, *, either_way: bool
):
    put_files({"a.csv": b"1", "b.csv": b"1"}, tmp_path / "r", REPORT)
    file_by_file(tmp_path / "r")
    before = (tmp_path / "r" / "run.json").read_bytes()
    replace = Path.replace

    def stuck(self: Path, target: Path) -> Path:
        ours = self.parent.name.startswith(".wearcast-")
        if self.name == "b.csv" and (ours or either_way):
            raise OSError(reason, os.strerror(reason))
        return replace(self, target)

    monkeypatch.setattr(Path, "replace", stuck)
    with pytest.raises(CannotWrite, match="close what has its files open"):
        put_files({"a.csv": b"2", "b.csv": b"2", "c.csv": b"2"}, tmp_path / "r", LATER)
    assert names(tmp_path / "r") == ["a.csv", "b.csv", "mine", "run.json"]
    assert (tmp_path / "r" / "a.csv").read_bytes() == b"1"
    assert (tmp_path / "r" / "run.json").read_bytes() == before


KILLED = """
import os, signal, sys
from pathlib import Path
from wearcast.reports.writing.folder import put_files
from wearcast.reports.writing.ownership import Label
moves, step = [0], Path.{move}
def killed(self, target):
    moves[0] += 1
    if moves[0] == int(sys.argv[2]):
        os.kill(os.getpid(), signal.SIGKILL)
    return step(self, target)
Path.{move} = killed
put_files({{"a.csv": b"2", "b.csv": b"2"}}, sys.argv[1],
          Label("run2", "report", "0.1.0", "2026-11-30", 1, 100))
"""


def test_a_new_folder_is_absent_after_a_kill_and_the_draft_goes_with_the_next_run(tmp_path: Path):
    place = tmp_path / "r"
    script = KILLED.format(move="rename")
    ended = subprocess.run([sys.executable, "-c", script, str(place), "1"], check=False)
    assert ended.returncode == -signal.SIGKILL
    assert not place.exists()
    put_files({"a.csv": b"3"}, place, REPORT)
    assert names(tmp_path) == ["r"]


@pytest.mark.parametrize("step", [1, 2, 3, 4])
def test_a_kill_file_by_file_leaves_whole_files_and_never_a_complete_mixture(
    tmp_path: Path, step: int
):
    place = tmp_path / "r"
    put_files({"a.csv": b"1", "b.csv": b"1"}, place, REPORT)
    file_by_file(place)
    script = KILLED.format(move="replace")
    ended = subprocess.run([sys.executable, "-c", script, str(place), str(step)], check=False)
    assert ended.returncode == -signal.SIGKILL
    held = {name: (place / name).read_bytes() for name in ("a.csv", "b.csv")}
    assert set(held.values()) <= {b"1", b"2"}
    listing = json.loads((place / "run.json").read_text())
    digests = {name: hashlib.sha256(content).hexdigest() for name, content in held.items()}
    assert not listing["complete"] or listing["files"] == digests
    put_files({"a.csv": b"3", "b.csv": b"3"}, place, REPORT)
    assert names(place) == ["a.csv", "b.csv", "mine", "run.json"]


def test_a_linked_file_is_written_through_its_link(tmp_path: Path):
    put_files({"x.csv": b"1"}, tmp_path / "r", REPORT)
    (tmp_path / "r" / "x.csv").rename(tmp_path / "elsewhere.csv")
    (tmp_path / "r" / "x.csv").symlink_to(tmp_path / "elsewhere.csv")
    put_files({"x.csv": b"2"}, tmp_path / "r", LATER)
    assert (tmp_path / "r" / "x.csv").is_symlink()
    assert (tmp_path / "elsewhere.csv").read_bytes() == b"2"


def test_a_linked_folder_stays_a_link(tmp_path: Path):
    (tmp_path / "real").mkdir()
    (tmp_path / "r").symlink_to(tmp_path / "real")
    put_files({"x.csv": b"1"}, tmp_path / "r", REPORT)
    assert (tmp_path / "r").is_symlink()
    assert names(tmp_path / "real") == ["run.json", "x.csv"]


def test_a_replaced_file_keeps_its_mode(tmp_path: Path):
    put_files({"x.csv": b"1"}, tmp_path / "r", REPORT)
    (tmp_path / "r" / "x.csv").chmod(0o640)
    put_files({"x.csv": b"2"}, tmp_path / "r", LATER)
    assert stat.S_IMODE((tmp_path / "r" / "x.csv").stat().st_mode) == 0o640


def test_a_single_file_is_replaced_only_if_it_is_ours(tmp_path: Path):
    place = tmp_path / "rates.json"
    put_file(b"ours 1", place, lambda content: content.startswith(b"ours"))
    put_file(b"ours 2", place, lambda content: content.startswith(b"ours"))
    assert place.read_bytes() == b"ours 2"
    place.write_bytes(b"mine")
    with pytest.raises(CannotWrite, match="is not ours to replace"):
        put_file(b"ours 3", place, lambda content: content.startswith(b"ours"))
    assert names(tmp_path) == ["rates.json"]


def test_a_folder_with_odd_letters_in_its_name_works(tmp_path: Path):
    place = tmp_path / "r [1] *é"
    put_files({"x.csv": b"1"}, place, REPORT)
    put_files({"x.csv": b"2"}, place, LATER)
    assert names(place) == ["run.json", "x.csv"]
