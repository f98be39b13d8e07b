"""What stands between a stranger's file and the parsers.

A workbook is a zip of XML. Before anything is unpacked its directory is read and judged: how
many entries, how large they say they are, how hard they are packed, whether they overlap. XML
is only ever read through `listen`, on defusedxml's parser, which refuses every DOCTYPE and
entity. Limits are set by real workbooks (100,000 rows take 20 MB unpacked, packed 7 to 1).
"""

import struct
import zipfile
import zlib
from collections.abc import Callable
from pathlib import Path
from typing import IO, Any
from xml.parsers.expat import ExpatError

from defusedxml.common import DefusedXmlException
from defusedxml.ElementTree import DefusedXMLParser

from wearcast.errors import UnreadableFile

MOST_ENTRIES = 2_000
MOST_BYTES = 300_000_000
"""Unpacked, all entries together."""
EASY_BYTES = 2_000_000
"""So much is harmless however hard it is packed."""
HARDEST_PACKING = 25
"""Unpacked to packed; 100,000 equal rows reach 11, as many empty ones 17 (computed here)."""
DEEPEST = 1_000
"""Elements within elements; sheets and feeds have a dozen, and each open one takes memory."""
CHUNK = 1 << 16

MAGIC_ZIP, MAGIC_OLE, MAGIC_SQLITE = (
    b"PK",
    b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1",
    b"SQLite format 3\0",
)
_READ_FAULTS = (zipfile.BadZipFile, zlib.error, EOFError, OSError, ValueError)
_ZIP_FAULTS = (*_READ_FAULTS, struct.error, KeyError, NotImplementedError, RuntimeError)
"""What the zip library raises, in one place or another, when a file is not what it says."""
_END, _END64_LOCATOR = b"PK\x05\x06", b"PK\x06\x07"


def open_zip(path: Path, source: str) -> zipfile.ZipFile:
    """The workbook's zip, if its directory is plausible.

    Raises
    ------
    UnreadableFile
        If it is cut short, encrypted, forged, or would unpack beyond the limits.
    """
    _check_directory_size(path, source)
    try:
        archive = zipfile.ZipFile(path)
    except _ZIP_FAULTS as error:
        raise _broken(source) from error
    entries = archive.infolist()
    for wrong in (_wrong_entry(entries), _wrong_packing(entries), _wrong_place(entries, path)):
        if wrong:
            archive.close()
            raise UnreadableFile(
                f"{source}: this workbook is not safe to open ({wrong}); open it in your"
                " spreadsheet program and save it under a new name."
            )
    return archive


def open_entry(archive: zipfile.ZipFile, name: str, source: str) -> IO[bytes]:
    """One file in the workbook's zip, for `listen`."""
    try:
        return archive.open(name)
    except _ZIP_FAULTS as error:
        raise _broken(source) from error


def _broken(source: str) -> UnreadableFile:
    return UnreadableFile(
        f"{source}: the workbook is cut short or damaged; copy it again from where it came from,"
        " or open it in your spreadsheet program and save it under a new name."
    )


def _check_directory_size(path: Path, source: str) -> None:
    """Look at the zip's last record, so that a directory of a million entries is never read."""
    size = path.stat().st_size
    with path.open("rb") as file:
        file.seek(max(0, size - 66_000))
        tail = file.read()
        place = tail.rfind(_END)
        if place < 0 or len(tail) < place + 22:
            raise _broken(source)
        length = struct.unpack("<L", tail[place + 12 : place + 16])[0]
        if tail[place - 20 : place - 16] == _END64_LOCATOR:
            file.seek(min(size, struct.unpack("<Q", tail[place - 12 : place - 4])[0]) + 40)
            length = int.from_bytes(file.read(8), "little")
    if length > MOST_ENTRIES * 300:
        raise UnreadableFile(
            f"{source}: this workbook is not safe to open (its list of contents is"
            f" {length:,} bytes long); save it under a new name in your spreadsheet program."
        )


def _wrong_entry(entries: list[zipfile.ZipInfo]) -> str:
    names = [entry.filename.casefold() for entry in entries]
    if len(entries) > MOST_ENTRIES:
        return f"{len(entries):,} files in it"
    if len(set(names)) < len(names):
        return "two files of one name in it"
    if any(entry.flag_bits & 1 for entry in entries):
        return "files in it are encrypted"
    if any(
        entry.compress_type not in (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED) for entry in entries
    ):
        return "packed in a way no spreadsheet uses"
    return ""


def _wrong_packing(entries: list[zipfile.ZipInfo]) -> str:
    total = sum(entry.file_size for entry in entries)
    if total > MOST_BYTES:
        return f"unpacked it would be {total / 1e6:,.0f} MB"
    hard = [entry for entry in entries if entry.file_size > HARDEST_PACKING * entry.compress_size]
    if sum(entry.file_size for entry in hard) > EASY_BYTES:
        most = max(entry.file_size / max(1, entry.compress_size) for entry in hard)
        return f"a file in it would grow {most:,.0f} times when unpacked"
    return ""


def _wrong_place(entries: list[zipfile.ZipInfo], path: Path) -> str:
    """Entries that share bytes unpack to more than the file can hold."""
    end = 0
    for entry in sorted(entries, key=lambda entry: entry.header_offset):
        if entry.header_offset < end:
            return "files in it overlap"
        end = entry.header_offset + 30 + entry.compress_size
    return "it holds less than it says" if end > path.stat().st_size else ""


def listen(
    stream: IO[bytes],
    source: str,
    start: Callable[[str, dict[str, str]], None],
    end: Callable[[str], None] | None = None,
    text: Callable[[str], None] | None = None,
) -> None:
    """Read XML piece by piece; tags come as ``namespace}name``, attributes as a dict.

    Raises
    ------
    UnreadableFile
        If the XML has a DOCTYPE or an entity, is nested without end, is not well-formed, or the
        stream is damaged.
    """
    depth = 0

    def opened(tag: str, attributes: dict[str, str]) -> None:
        nonlocal depth
        depth += 1
        if depth > DEEPEST:
            raise UnreadableFile(
                f"{source}: its XML is nested more than {DEEPEST:,} deep, which no spreadsheet's"
                " is; open it in your spreadsheet program and save it under a new name."
            )
        start(tag, attributes)

    def closed(tag: str) -> None:
        nonlocal depth
        depth -= 1
        if end is not None:
            end(tag)

    outer: Any = DefusedXMLParser(forbid_dtd=True, forbid_entities=True, forbid_external=True)
    parser = outer.parser
    parser.ordered_attributes = False
    parser.StartElementHandler, parser.EndElementHandler = opened, closed
    parser.CharacterDataHandler = text
    parser.DefaultHandlerExpand = None
    try:
        while chunk := stream.read(CHUNK):
            parser.Parse(chunk, False)
        parser.Parse(b"", True)
    except DefusedXmlException as error:
        raise UnreadableFile(
            f"{source}: its XML declares entities, which no spreadsheet does and which can flood"
            " a computer; open it in your spreadsheet program and save it under a new name."
        ) from error
    except (ExpatError, *_READ_FAULTS) as error:
        raise _broken(source) from error
