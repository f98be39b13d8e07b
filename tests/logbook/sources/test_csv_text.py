"""How much text a CSV file may hold, and which word a strange letter stands in."""

from pathlib import Path

import pytest

from wearcast.errors import UnreadableFile
from wearcast.logbook.sources import csv_text
from wearcast.logbook.sources.csv_text import read_text


def read(folder: Path, content: bytes):
    path = folder / "readings.csv"
    path.write_bytes(content)
    return read_text(path, "readings.csv", "readings")


def test_twenty_megabytes_are_read_and_a_byte_more_is_not(tmp_path: Path):
    path = tmp_path / "readings.csv"
    path.write_bytes(b"machine\n")
    with path.open("r+b") as file:
        file.truncate(20_000_000)
    with pytest.raises(UnreadableFile, match="a line in it is longer"):
        read_text(path, "readings.csv", "readings")
    with path.open("r+b") as file:
        file.truncate(20_000_001)
    with pytest.raises(UnreadableFile) as refused:
        read_text(path, "readings.csv", "readings")
    assert str(refused.value) == "readings.csv: 20 MB is too large; give one file a site."


@pytest.mark.parametrize("end", [b"\n", b"\r"])
def test_a_million_lines_are_read_and_one_more_is_not(tmp_path: Path, end: bytes):
    assert read(tmp_path, end * 999_999 + b"x" + end)[0].endswith("\nx")
    with pytest.raises(UnreadableFile, match="1,000,001 lines are more than a logbook's table"):
        read(tmp_path, end * 1_000_001)


@pytest.mark.parametrize(
    ("content", "endless"),
    [
        (b"abc\nabc\nabc\n", False),
        (b"abc\rabc\rabc\r", False),
        (b"\nab\n\nabc\n", False),
        (b"abc", False),
        (b"abc\n" + b"x" * 8 + b"\n", True),
        (b"x" * 8 + b"\nabc\n", True),
    ],
)
def test_a_line_twice_as_long_as_the_longest_is_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, content: bytes, endless: bool
):
    monkeypatch.setattr(csv_text, "LONGEST_LINE", 4)
    if endless:
        with pytest.raises(UnreadableFile, match="a line in it is longer than 4 bytes"):
            read(tmp_path, content)
    else:
        assert read(tmp_path, content)[0]


@pytest.mark.parametrize(
    ("content", "word"),
    [
        ("Süd,x", "Süd"),
        ("x,Süd", "Süd"),
        ("x;y|a Süd|z", "Süd"),
        ("Zürich", "Zürich"),
        ("ü", "ü"),
        ("x" * 30 + "ü" + "y" * 30, "x" * 20 + "ü" + "y" * 19),
    ],
)
def test_the_word_with_the_first_strange_letter_is_shown(tmp_path: Path, content: str, word: str):
    _, (told,) = read(tmp_path, content.encode("cp1252"))
    assert (told.severity, told.value) == ("repaired", word)


def test_lines_in_two_encodings_are_read_each_in_its_own(tmp_path: Path):
    text, told = read(tmp_path, "Süd\n".encode("cp1252") + "Nördlich\n".encode())
    assert text == "Süd\nNördlich"
    assert len(told) == 1


@pytest.mark.parametrize(("controls", "text"), [(20, True), (21, False)])
def test_a_few_control_letters_make_no_binary_file(tmp_path: Path, controls: int, text: bool):
    content = b"\x01" * controls + b"x" * 10
    if text:
        assert read(tmp_path, content)[0] == content.decode()
    else:
        with pytest.raises(UnreadableFile, match="binary bytes in it"):
            read(tmp_path, content)


def test_a_long_text_may_hold_a_control_letter_in_a_hundred(tmp_path: Path):
    assert read(tmp_path, b"x" * 970 + b"\x01" * 30)[0]
    with pytest.raises(UnreadableFile, match="binary bytes in it"):
        read(tmp_path, b"x" * 968 + b"\x01" * 31)


def test_a_mark_of_utf_8_before_other_letters_is_no_letter(tmp_path: Path):
    text, (told,) = read(tmp_path, b"\xef\xbb\xbf" + "machine\nSüd\n".encode("cp1252"))
    assert text == "machine\nSüd"
    assert told.value == "Süd"


def test_utf_16_that_breaks_off_is_refused(tmp_path: Path):
    with pytest.raises(UnreadableFile, match="NUL bytes in it"):
        read(tmp_path, "machine".encode("utf-16") + b"x")
