"""The text of a CSV file: which bytes stand for which letters.

UTF-8 is taken line by line where the bytes are UTF-8; else Windows-1252, which spreadsheets of
western Europe and America still write, and which is told. A file that is no text is refused by
name.
"""

import codecs
import re
from pathlib import Path

from wearcast.errors import UnreadableFile
from wearcast.logbook.sources.clean_csv import is_even
from wearcast.logbook.sources.sheet import note
from wearcast.told import Problem

MOST_BYTES = 20_000_000
MOST_LINES = 1_000_000
"""Six and ten times what 100,000 readings take: as much as is looked at cell by cell."""
MOST_BYTES_EVEN = 1_000_000_000
"""Of a file without any oddity: what 300,000 machines read weekly for two years take."""
HEAD = 1_000_000
LONGEST_LINE = 4_000_000
"""Bytes; twice so many are surely noticed."""
_MARKS = (
    (codecs.BOM_UTF8, "utf-8"),
    (codecs.BOM_UTF32_LE, "utf-32-le"),
    (codecs.BOM_UTF32_BE, "utf-32-be"),
    (codecs.BOM_UTF16_LE, "utf-16-le"),
    (codecs.BOM_UTF16_BE, "utf-16-be"),
)
_CONTROLS = bytes((*range(1, 9), *range(14, 32), 127))
_CURE = "open it in your spreadsheet program and save it as CSV UTF-8."


def read_text(path: Path, source: str, table: str) -> tuple[str, list[Problem]]:
    """The file's text, and what had to be decided to read it.

    Raises
    ------
    UnreadableFile
        If it is empty, too large, or no text.
    """
    size = path.stat().st_size
    if size == 0:
        raise UnreadableFile(f"{source}: the file is empty (0 bytes); save or export it again.")
    if size > MOST_BYTES and not (size <= MOST_BYTES_EVEN and _begins_even(path)):
        raise _too_large(size, source)
    content = path.read_bytes()
    refuse_foreign(content[:2048], source)
    if not _is_even_head(content[:HEAD]):
        refuse_large(content, source)
    text, told = _decoded(content, source, table)
    # A CSV of the 1980s ends in Ctrl-Z; blank lines at the end are no rows.
    if "\r" in text:
        text = text.replace("\r\n", "\n").replace("\r", "\n")
    text = text.rstrip("\n\x1a")
    head = text[:LONGEST_LINE].encode()
    controls = len(head) - len(head.translate(None, _CONTROLS))
    if "\0" in text or controls > 20 + len(text[:LONGEST_LINE]) // 100:
        raise UnreadableFile(f"{source}: this is no text file (binary bytes in it); {_CURE}")
    return text, told


def _begins_even(path: Path) -> bool:
    """Whether a large file is worth reading whole to see that it has no oddity."""
    with path.open("rb") as file:
        return _is_even_head(file.read(HEAD))


def _is_even_head(head: bytes) -> bool:
    """Whether the whole lines of a file's beginning have no oddity; a small file counts whole."""
    lines = _unix(head)
    return is_even(lines[: lines.rfind(b"\n")] if len(head) == HEAD else lines.rstrip(b"\n"))


def _unix(content: bytes) -> bytes:
    return content.replace(b"\r\n", b"\n") if b"\r" in content else content


def _too_large(size: int, source: str) -> UnreadableFile:
    words = f"{source}: {size / 1e6:,.0f} MB is too large; give one file a site."
    return UnreadableFile(words)


def refuse_large(content: bytes, source: str) -> None:
    """Refuse what cannot be looked at cell by cell.

    Raises
    ------
    UnreadableFile
        If it is too much, lines without number, or one without an end.
    """
    if len(content) > MOST_BYTES:
        raise _too_large(len(content), source)
    lines = max(content.count(b"\n"), content.count(b"\r"))
    if lines > MOST_LINES:
        raise UnreadableFile(
            f"{source}: {lines:,} lines are more than a logbook's table has; remove the blank"
            " ones, or give one file a site."
        )
    for at in range(0, len(content) - LONGEST_LINE, LONGEST_LINE):
        if max(content.find(end, at, at + LONGEST_LINE) for end in (b"\n", b"\r")) < 0:
            raise UnreadableFile(
                f"{source}: a line in it is longer than {LONGEST_LINE:,} bytes, so this is no"
                " table; export it again."
            )


def refuse_foreign(head: bytes, source: str) -> None:
    """Refuse by name what often hides behind ``.csv``."""
    start = head.lstrip(codecs.BOM_UTF8).lstrip().lower()
    if start.startswith((b"<!doctype", b"<html", b"<?xml", b"<table")):
        raise UnreadableFile(f"{source}: this is a web page, not a table of values; {_CURE}")
    foreign = {
        b"pk\x03\x04": "a workbook or zip called .csv; give it its own ending (.xlsx)",
        b"\xd0\xcf\x11\xe0": f"an old or encrypted office file called .csv; {_CURE[:-1]}",
        b"%pdf": f"a PDF, not a table of values; {_CURE[:-1]}",
        b"\x1f\x8b": "a packed file (gzip); unpack it first",
        b"sqlite format 3\0": "a database called .csv; give it its own ending (.sqlite)",
    }
    for magic, words in foreign.items():
        if start.startswith(magic):
            raise UnreadableFile(f"{source}: this is {words}.")


def _decoded(content: bytes, source: str, table: str) -> tuple[str, list[Problem]]:
    for mark, encoding in _MARKS:
        if content.startswith(mark):
            try:
                return content[len(mark) :].decode(encoding), []
            except UnicodeDecodeError:
                break
    if b"\0" in content:
        raise UnreadableFile(
            f"{source}: NUL bytes in it: a binary file, or UTF-16 without its mark; {_CURE}"
        )
    try:
        return content.decode("utf-8"), []
    except UnicodeDecodeError as first:
        start = first.start
    try:
        lines = content.removeprefix(codecs.BOM_UTF8).splitlines(keepends=True)
        text = "".join(map(_line, lines))
    except UnicodeDecodeError as error:
        raise UnreadableFile(
            f"{source}: its letters are neither UTF-8 nor Windows-1252; {_CURE}"
        ) from error
    wrong = "the letters are not UTF-8 and were read as Windows-1252 (cp1252)"
    told = note(source, table, wrong, "Look at its accented letters, or save it as CSV UTF-8")
    return text, [told._replace(severity="repaired", value=_word_at(content, start))]


def _line(content: bytes) -> str:
    """One line; files put together from several sources change their letters on the way."""
    try:
        return content.decode("utf-8")
    except UnicodeDecodeError:
        return content.decode("cp1252")


def _word_at(content: bytes, place: int) -> str:
    """The word around a byte, as it is read."""
    first = max(0, place - 20)
    before, after = content[first:place], content[place : place + 20]
    gap = r"[\s;,|]"
    return re.split(gap, before.decode("cp1252"))[-1] + re.split(gap, after.decode("cp1252"))[0]
