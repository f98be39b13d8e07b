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
LARGEST_ENTRY = 80_000_000
"""Unpacked, of one that is read; a sheet of 100,000 rows takes a quarter of it."""
DEEPEST = 1_000
"""Elements within elements; sheets and feeds have a dozen, and each open one takes memory."""
LONGEST_TAG = 1_000_000
"""Bytes; an unfinished tag is read from its start again with every further piece."""
MOST_NAMES = 10_000
"""Elements, attributes and name spaces of one file, each another; a sheet has a few dozen."""
LONGEST_ADDRESS = 1_000
"""Letters of a name space."""
ENCODINGS = {"utf-8", "utf-16", "us-ascii", "iso-8859-1", "iso-8859-15", "windows-1252"}
"""Of XML: workbooks are UTF-8 or UTF-16 (ECMA-376 part 2, 9.1.4; remembered), feeds are older."""
CHUNK = 1 << 16

MAGIC_ZIP, MAGIC_OLE, MAGIC_SQLITE = (
    b"PK",
    b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1",
    b"SQLite format 3\0",
)
_READ_FAULTS = (zipfile.BadZipFile, zlib.error, EOFError, OSError, ValueError)
_ZIP_FAULTS = (*_READ_FAULTS, struct.error, KeyError, NotImplementedError, RuntimeError)
"""What the zip library raises, in one place or another, when a file is not what it says."""
_SAVE_ANEW = "open it in your spreadsheet program and save it under a new name"
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
            raise _unsafe(source, wrong)
    return archive


def open_entry(archive: zipfile.ZipFile, name: str, source: str) -> IO[bytes]:
    """One file in the workbook's zip, for `listen`."""
    try:
        size = archive.getinfo(name).file_size
        stream = archive.open(name)
    except _ZIP_FAULTS as error:
        raise _broken(source) from error
    if size > LARGEST_ENTRY:
        stream.close()
        raise UnreadableFile(
            f"{source}: a sheet in it takes {size / 1e6:,.0f} MB, more than a logbook does; delete"
            " the formatted but empty rows below the tables, or give one file a site."
        )
    return stream


def _broken(source: str) -> UnreadableFile:
    return UnreadableFile(
        f"{source}: the workbook is cut short or damaged; copy it again from where it came from,"
        f" or {_SAVE_ANEW}."
    )


def _unsafe(source: str, why: str) -> UnreadableFile:
    return UnreadableFile(f"{source}: this workbook is not safe to open ({why}); {_SAVE_ANEW}.")


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
        raise _unsafe(source, f"its list of contents is {length:,} bytes long")


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
    """Read XML piece by piece; tags come without their name space, attributes as a dict.

    Raises
    ------
    UnreadableFile
        If the XML has a DOCTYPE or an entity, is nested without end, holds names or tags beyond
        all measure, is not well-formed, or the stream is damaged.
    """
    depth = 0
    names: dict[str, str] = {}

    def opened(tag: str, attributes: dict[str, str]) -> None:
        nonlocal depth
        depth += 1
        if depth > DEEPEST:
            raise _unsafe(source, f"its XML is nested more than {DEEPEST:,} deep")
        start(names.get(tag) or names.setdefault(tag, tag.rpartition("}")[2]), attributes)

    def closed(tag: str) -> None:
        nonlocal depth
        depth -= 1
        if end is not None:
            end(names[tag])

    parser = _parser(source)
    parser.StartElementHandler, parser.EndElementHandler = opened, closed
    parser.CharacterDataHandler = text
    try:
        _feed(parser, stream, source)
    except DefusedXmlException as error:
        raise UnreadableFile(
            f"{source}: its XML declares entities, which no spreadsheet does and which can flood"
            f" a computer; {_SAVE_ANEW}."
        ) from error
    except (ExpatError, *_READ_FAULTS) as error:
        raise _broken(source) from error


def _feed(parser: Any, stream: IO[bytes], source: str) -> None:
    """Hand the stream to the parser, and stop where it takes in more than it gives out."""
    fed = 0
    while chunk := stream.read(CHUNK):
        parser.Parse(chunk, False)
        fed += len(chunk)
        if fed - parser.CurrentByteIndex > LONGEST_TAG:
            raise _unsafe(source, f"a tag in it is longer than {LONGEST_TAG:,} bytes")
        if len(parser.intern) > MOST_NAMES:
            raise _unsafe(source, f"its XML uses more than {MOST_NAMES:,} different names")
    parser.Parse(b"", True)


def _parser(source: str) -> Any:
    """A parser that refuses what no spreadsheet writes, before it costs anything."""

    def declared(_: str, encoding: str | None, __: int) -> None:
        if encoding is not None and encoding.lower() not in ENCODINGS:
            raise _unsafe(source, f"its XML is written in {encoding[:20]}")

    def spaced(_: str | None, address: str | None) -> None:
        # The address stands before every name in its space: each tag would be as long.
        if address is not None and len(address) > LONGEST_ADDRESS:
            raise _unsafe(source, f"a name space in it is {len(address):,} letters long")

    outer: Any = DefusedXMLParser(forbid_dtd=True, forbid_entities=True, forbid_external=True)
    parser = outer.parser
    parser.ordered_attributes = False
    parser.DefaultHandlerExpand = None
    parser.XmlDeclHandler, parser.StartNamespaceDeclHandler = declared, spaced
    return parser
