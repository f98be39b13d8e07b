"""Places that no report can be written to are refused in one line, and run.json is not trusted."""

import hashlib
import json
import os
from pathlib import Path

import pytest

from tests.reports.writing.makers import REPORT
from wearcast.errors import CannotWrite
from wearcast.reports.writing.folder import put_file, put_files, refuse_folder


def refusal(place: Path) -> str:
    """Why a folder is refused before the work, which is why it is refused after it."""
    with pytest.raises(CannotWrite) as before:
        refuse_folder(place, [])
    with pytest.raises(CannotWrite) as after:
        put_files({"x.csv": b"1"}, place, REPORT)
    assert str(before.value) == str(after.value)
    return str(before.value)


def test_a_link_in_a_circle_is_no_folder(tmp_path: Path):
    place = tmp_path / "r"
    place.symlink_to("r")
    assert refusal(place).endswith("(no name of a folder); choose another folder with -o")


@pytest.mark.parametrize(
    ("name", "told"), [("x" * 300, "(File name too long); "), ("a\0b", "no name of a folder")]
)
def test_a_name_that_no_folder_can_have_is_refused(tmp_path: Path, name: str, told: str):
    assert told in refusal(tmp_path / name)


def test_the_whole_disk_is_no_folder_for_a_report():
    with pytest.raises(CannotWrite, match="/ is the whole disk; choose another folder"):
        refuse_folder("/", [])


OTHERS = {
    "nested without end": b"[" * 200_000,
    "too large": b" " * 1_000_001,
    "no text": b"\xff\xfe",
    "a list": b"[]",
    "files that are no names": b'{"run": "x", "command": "report", "files": 7, "earlier": {}}',
}


@pytest.mark.parametrize("content", OTHERS.values(), ids=OTHERS)
def test_another_programs_listing_is_refused(tmp_path: Path, content: bytes):
    (tmp_path / "run.json").write_bytes(content)
    told = refusal(tmp_path)
    assert told.endswith("run.json was not written by wearcast; choose another folder with -o")


@pytest.mark.parametrize("make", [Path.mkdir, os.mkfifo], ids=["a folder", "a pipe"])
def test_a_listing_that_is_no_file_is_refused(tmp_path: Path, make):
    make(tmp_path / "run.json")
    assert "run.json was not written by wearcast" in refusal(tmp_path)


@pytest.mark.parametrize("name", ["../mine.csv", "deep/mine.csv", "..", ""])
@pytest.mark.parametrize("among", ["files", "earlier"])
def test_a_listing_that_names_files_elsewhere_is_refused(tmp_path: Path, name: str, among: str):
    (tmp_path / "mine.csv").write_bytes(b"mine")
    place = tmp_path / "r"
    place.mkdir()
    digest = hashlib.sha256(b"mine").hexdigest()
    entry = [{"run": "x", "command": "report", "sha256": digest}]
    told = {"run": "x", "command": "report", "files": {}, "earlier": {}}
    told[among] = {name: digest if among == "files" else entry}
    (place / "run.json").write_text(json.dumps(told))
    assert "run.json was not written by wearcast" in refusal(place)
    assert (tmp_path / "mine.csv").read_bytes() == b"mine"


@pytest.mark.parametrize("make", [Path.mkdir, os.mkfifo], ids=["a folder", "a pipe"])
def test_what_is_no_file_is_never_replaced_by_one(tmp_path: Path, make):
    place = tmp_path / "copy.xlsx"
    make(place)
    with pytest.raises(CannotWrite, match="is there already and is not ours to replace"):
        put_file(b"1", place, lambda _: True)


def test_a_file_behind_a_link_in_a_circle_is_refused(tmp_path: Path):
    place = tmp_path / "copy.xlsx"
    place.symlink_to("copy.xlsx")
    with pytest.raises(CannotWrite, match="no name of a file"):
        put_file(b"1", place, lambda _: True)
