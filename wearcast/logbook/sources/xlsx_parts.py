"""What the sheets of a workbook have in common: their list, shared texts and number formats.

Element names are those of ECMA-376 part 1, 18.2 (workbook), 18.4 (texts) and 18.8 (styles);
name spaces are not looked at, so that both the strict and the usual dialect are read.
"""

import posixpath
import re
import zipfile
from dataclasses import dataclass, field
from string import ascii_letters
from urllib.parse import unquote

from wearcast.errors import UnreadableFile
from wearcast.logbook.sources.formats import meaning_of
from wearcast.logbook.sources.guard import listen, open_entry
from wearcast.logbook.sources.sheet import LONGEST_TEXT, shorten

MOST_ELEMENTS = 100_000
"""Sheets, links and cell formats; a workbook holds 65,490 formats at most."""
MOST_TEXTS = 300_000
"""Texts that cells share, each another; 100,000 rows written as text hold half as many."""
_ESCAPED = re.compile("_x([0-9A-Fa-f]{4})_")
_TELLING = {
    "Relationship",
    "workbookPr",
    "sheet",
    "numFmt",
    "cellStyleXfs",
    "cellXfs",
    "cellStyles",
    "xf",
    "font",
    "strike",
    "comment",
}


@dataclass(slots=True)
class Book:
    """What the sheets have in common."""

    sheets: list[tuple[str, str, bool]]
    """Name, entry in the zip, hidden."""
    date1904: bool
    texts: list[str] = field(default_factory=list)
    meanings: list[str] = field(default_factory=list)
    """Of a number, by the cell's style."""
    struck: frozenset[str] = frozenset()
    """Styles of cells that are struck through."""
    days_told: bool = False
    """True once it was told that the days count from 1904."""


def read_book(archive: zipfile.ZipFile, source: str) -> Book:
    """The workbook's list of sheets, their shared texts and what their styles mean.

    Raises
    ------
    UnreadableFile
        If the zip is no workbook of this kind, or its list of sheets does not fit it.
    """
    names = set(archive.namelist())
    start = next(
        (target for _, kind, target in _links(archive, source, "") if kind == "officeDocument"),
        "xl/workbook.xml",
    )
    if start not in names:
        raise UnreadableFile(f"{source}: {_not_a_workbook(names)}")
    links = {key: (kind, target) for key, kind, target in _links(archive, source, start)}
    elements = _elements(archive, source, start)
    flags = [found for tag, found in elements if tag == "workbookPr"]
    book = Book([], any(found.get("date1904") in ("1", "true") for found in flags))
    for tag, found in elements:
        key = next((value for name, value in found.items() if name.endswith("}id")), "")
        kind, target = links.get(key, ("", ""))
        if tag == "sheet" and kind == "worksheet":
            hidden = found.get("state", "visible") != "visible"
            book.sheets.append((shorten(found.get("name", "")), target, hidden))
    targets = [target for _, target, _ in book.sheets]
    if not targets or len(set(targets)) < len(targets) or not names.issuperset(targets):
        raise UnreadableFile(
            f"{source}: the workbook's list of sheets does not fit its contents; open it in your"
            " spreadsheet program and save it under a new name."
        )
    for kind, target in links.values():
        if kind == "sharedStrings" and target in names:
            book.texts = _shared_texts(archive, source, target)
        elif kind == "styles" and target in names:
            styles = _elements(archive, source, target)
            book.meanings, book.struck = _meanings(styles), _struck(styles)
    return book


def _not_a_workbook(names: set[str]) -> str:
    cure = "open it in your spreadsheet program and save it as .xlsx."
    if any(name.endswith("workbook.bin") for name in names):
        return f"this is a binary workbook (.xlsb), which cannot be read here; {cure}"
    if "content.xml" in names:
        return f"this is an OpenDocument file, which cannot be read here; {cure}"
    return (
        "this is a zip but no workbook; give an .xlsx workbook, or unpack it and give the folder."
    )


def _links(archive: zipfile.ZipFile, source: str, entry: str) -> list[tuple[str, str, str]]:
    """What an entry points to: key, kind, entry in the zip."""
    entries = {_part(name): name for name in archive.namelist()}
    folder, name = posixpath.split(_part(entry))
    home = entries.get(posixpath.join(folder, "_rels", f"{name}.rels"))
    if home is None:
        return []
    found: list[tuple[str, str, str]] = []
    for _, said in _elements(archive, source, home):
        if said.get("TargetMode") != "External":
            place = posixpath.join("/", folder, _part(said.get("Target", "")))
            target = posixpath.normpath(place)[1:]
            kind = said.get("Type", "").rpartition("/")[2]
            found.append((said.get("Id", ""), kind, entries.get(target, target)))
    return found


def commented(archive: zipfile.ZipFile, source: str, entry: str) -> list[int]:
    """Rows of a sheet's cells that carry comments, one entry a cell."""
    there = set(archive.namelist())
    parts = [
        target
        for _, kind, target in _links(archive, source, entry)
        if kind == "comments" and target in there
    ]
    return [
        whole(found.get("ref", "").lstrip(ascii_letters))
        for part in parts
        for _, found in _elements(archive, source, part)
    ]


def _part(name: str) -> str:
    """What two spellings of a part's name have in common (ECMA-376 part 2, 6.2; remembered).

    Its case does not count, and some programs write backslashes.
    """
    return unquote(name).replace("\\", "/").casefold()


def _elements(
    archive: zipfile.ZipFile, source: str, entry: str
) -> list[tuple[str, dict[str, str]]]:
    """The elements of an entry that say something to us: name and attributes."""
    found: list[tuple[str, dict[str, str]]] = []

    def keep(name: str, attributes: dict[str, str]) -> None:
        if name in _TELLING:
            found.append((name, attributes))
        if len(found) > MOST_ELEMENTS:
            raise UnreadableFile(
                f"{source}: this workbook is not safe to open ({entry} goes on and on); open it in"
                " your spreadsheet program and save it under a new name."
            )

    with open_entry(archive, entry, source) as stream:
        listen(stream, source, keep)
    return found


def _meanings(elements: list[tuple[str, dict[str, str]]]) -> list[str]:
    codes: dict[str, str] = {}
    meanings: list[str] = []
    counting = False
    for tag, found in elements:
        if tag == "numFmt":
            codes[found.get("numFmtId", "")] = found.get("formatCode", "")
        elif tag in ("cellStyleXfs", "cellXfs", "cellStyles"):
            counting = tag == "cellXfs"
        elif tag == "xf" and counting:
            number = found.get("numFmtId", "0")
            meanings.append(meaning_of(whole(number), codes.get(number, "")))
    return meanings


def _struck(elements: list[tuple[str, dict[str, str]]]) -> frozenset[str]:
    """Styles whose font is struck through; fonts of conditional formats come after the styles."""
    fonts: list[bool] = []
    styles: list[bool] = []
    section = ""
    for tag, found in elements:
        if tag in ("cellStyleXfs", "cellXfs", "cellStyles"):
            section = tag
        elif tag == "font" and not section:
            fonts.append(False)
        elif tag == "strike" and not section and fonts:
            fonts[-1] = found.get("val", "1") in ("1", "true")
        elif tag == "xf" and section == "cellXfs":
            font = whole(found.get("fontId", "0"))
            styles.append(0 <= font < len(fonts) and fonts[font])
    return frozenset(str(place) for place, here in enumerate(styles) if here)


def whole(text: str) -> int:
    """A row, style or text number; -1 for whatever is none."""
    return int(text) if len(text) < 12 and text.isascii() and text.isdigit() else -1


def plain(text: str) -> str:
    """A stored text as it is shown: ``_x000D_`` stands for a character that XML cannot hold."""
    if "_x" in text:
        text = _ESCAPED.sub(lambda found: _letter(int(found[1], 16)), text)
    return shorten(text)


def _letter(code: int) -> str:
    return chr(code) if 0 < code < 0xD800 or code > 0xDFFF else "�"


class _Texts:
    """Collects the texts that cells share; readings aids (``rPh``) are no part of a text."""

    def __init__(self, source: str) -> None:
        self._source = source
        self.texts: list[str] = []
        self._pieces: list[str] = []
        self._length = 0
        self._open = False
        self._aid = False

    def start(self, name: str, _: dict[str, str]) -> None:
        if name == "si":
            self._pieces, self._length = [], 0
        elif name == "rPh":
            self._aid = True
        self._open = name == "t" and not self._aid

    def text(self, piece: str) -> None:
        if self._open and self._length <= LONGEST_TEXT:
            self._pieces.append(piece)
            self._length += len(piece)

    def end(self, name: str) -> None:
        self._open = False
        if name == "rPh":
            self._aid = False
        elif name == "si":
            self._keep(plain("".join(self._pieces)))

    def _keep(self, text: str) -> None:
        if len(self.texts) == MOST_TEXTS:
            raise UnreadableFile(
                f"{self._source}: it holds more than {MOST_TEXTS:,} different texts, more than a"
                " logbook does; give one file a site."
            )
        self.texts.append(text)


def _shared_texts(archive: zipfile.ZipFile, source: str, entry: str) -> list[str]:
    texts = _Texts(source)
    with open_entry(archive, entry, source) as stream:
        listen(stream, source, texts.start, texts.end, texts.text)
    return texts.texts
