"""The cells of a CSV file: which delimiter, which quotation marks, which row.

The delimiter is decided from the whole file: the one under which the most headings of ours are
found, then the one that gives the most rows one width. A row's number is what a spreadsheet
shows: records are counted, not lines, and a ``sep=`` line is not shown.
"""

import csv
import io
import re
import sys
from collections import Counter
from collections.abc import Iterable, Iterator
from pathlib import Path

from wearcast.logbook.schema.names import HEADING_KEYS, SEARCHED_ROWS
from wearcast.logbook.schema.spelling import heading_key
from wearcast.logbook.sources.clean_csv import DELIMITERS, read_clean
from wearcast.logbook.sources.csv_text import read_text, refuse_large
from wearcast.logbook.sources.sheet import (
    LONGEST_TEXT,
    MOST_COLUMNS,
    Sheet,
    cut_told,
    note,
    shorten,
    shown,
)
from wearcast.told import Problem

_NAMES = {",": "comma", ";": "semicolon", "\t": "TAB", "|": "upright bar"}
LONGEST_RECORD = 20
"""Lines that one record may reach over; more, and a quotation mark was left open."""
_SEP = re.compile(r'"?sep=(\t|[^\w\s"])"?[;,\t|]*\n', re.IGNORECASE)
_AS_FORMULA = re.compile(r'="([^"]*)"')
"""How exports keep a spreadsheet program from reading 007 as a number."""
# Quoted cells of any length are harmless here; the library's own limit is for the whole process.
csv.field_size_limit(sys.maxsize)


def read_csv(path: Path, source: str) -> Sheet:
    """The filled records of one CSV file."""
    name = shown(path.stem)
    text, told = read_text(path, source, name)
    clean = read_clean(text)
    if clean is not None:
        rows, delimiter = clean
        told += _delimiter_told(source, name, delimiter, False)
        numbers = range(1, len(rows) + 1)
        return Sheet(source, name, rows, numbers, every_cell=True, told=tuple(told))
    refuse_large(text.encode(), source)
    stated = _SEP.match(text)
    if stated:
        text = text[stated.end() :]
    lines = list(io.StringIO(text, newline="\n"))
    delimiter = stated[1] if stated else decide_delimiter(lines)
    records, odd = read_records(lines, delimiter)
    records, again = _split_again(records)
    if again:
        wrong = "the whole row stood in one cell; its cells are separated by another mark"
        found = note(source, name, wrong, rows=again)
        told.append(found._replace(severity="repaired"))
    told += _delimiter_told(source, name, delimiter, bool(stated))
    if odd:
        wrong = "a quotation mark has no partner; in front of a cell it was left out"
        told.append(note(source, name, wrong, "Remove it, or close the quotation", odd))
    return _sheet(source, name, records, told)


def decide_delimiter(lines: list[str]) -> str:
    """The delimiter under which the file looks most like a table; a comma if none does."""
    candidates = [mark for mark in DELIMITERS if any(mark in line for line in lines)]
    if len(candidates) < 2:
        return candidates[0] if candidates else ","
    return max(candidates, key=lambda mark: _likeness(lines, mark))


def _likeness(lines: list[str], delimiter: str) -> tuple[int, int, int]:
    """Headings of ours, records of the commonest width (if that is a table's), that width."""
    records, _ = read_records(lines, delimiter)
    known = max(_known(record) for record in records[:SEARCHED_ROWS])
    # Some record is filled: another mark stands in it.
    ((width, count),) = _widths(records).most_common(1)
    return known, count if width > 1 else 0, width


def _widths(records: list[list[str]]) -> Counter[int]:
    """How many filled records have each width."""
    return Counter(len(record) for record in records if any(record))


def _known(record: Iterable[str]) -> int:
    return sum(heading_key(cell) in HEADING_KEYS for cell in record)


def read_records(lines: list[str], delimiter: str) -> tuple[list[list[str]], tuple[int, ...]]:
    """Every record, blank ones too, and the rows whose quotation marks do not pair."""
    spaced = _spaced(lines, delimiter)
    try:
        records = list(csv.reader(lines, delimiter=delimiter, strict=True, skipinitialspace=spaced))
    except csv.Error:
        return _read_line_by_line(lines, delimiter)
    if any(cell.count("\n") >= LONGEST_RECORD for record in records for cell in record):
        return _read_line_by_line(lines, delimiter)
    return records, ()


def _spaced(lines: list[str], delimiter: str) -> bool:
    """Whether blanks stand between a delimiter and an opening quotation mark."""
    return delimiter != "\t" and any(f'{delimiter} "' in line for line in lines[:SEARCHED_ROWS])


def _read_line_by_line(lines: list[str], delimiter: str) -> tuple[list[list[str]], tuple[int, ...]]:
    """As `read_records`, but a quotation left open costs its own line, not all that follow."""
    records: list[list[str]] = []
    odd: list[int] = []
    place = 0
    while place < len(lines):
        ahead = csv.reader(lines[place : place + LONGEST_RECORD], delimiter=delimiter, strict=True)
        try:
            records.append(next(ahead))
            place += ahead.line_num
        except csv.Error:
            cells = lines[place].rstrip("\n").split(delimiter)
            records.append([_without_lone_mark(cell) for cell in cells])
            odd.append(len(records))
            place += 1
    return records, tuple(odd)


def _without_lone_mark(cell: str) -> str:
    return cell.removeprefix('"') if cell.count('"') == 1 else cell


def _split_again(records: list[list[str]]) -> tuple[list[list[str]], tuple[int, ...]]:
    """The records, those of a single cell split at whatever gives them the width of the rest.

    Rows come so from another program, or with each whole line in quotation marks.
    """
    width = next((one for one in _likely_widths(records) if one > 1), None)
    again: list[int] = []
    for place, record in enumerate(records if width else []):
        if len(record) == 1:
            found = next((one for one in _splits(record[0]) if len(one) == width), None)
            if found:
                records[place] = found
                again.append(place + 1)
    return records, tuple(again)


def _likely_widths(records: list[list[str]]) -> Iterator[int]:
    """Widths that the rows of a table in these records may have, the likeliest first."""
    yield from (width for width, _ in _widths(records).most_common(1))
    head = records[:SEARCHED_ROWS]
    yield from (len(record) for record in head if _known(record) > 1)
    splits = (one for record in head if record for one in _splits(record[0]))
    yield from (len(one) for one in splits if _known(one) > 1)


def _splits(text: str) -> list[list[str]]:
    """The cells of a text by each delimiter that stands in it and under which it is one record."""
    marks = [mark for mark in DELIMITERS if mark in text]  # in most lone cells there is none
    each = (csv.reader(io.StringIO(text, newline="\n"), delimiter=mark) for mark in marks)
    return [records[0] for records in map(list, each) if len(records) == 1]


def _delimiter_told(source: str, table: str, delimiter: str, stated: bool) -> list[Problem]:
    if delimiter == "," and not stated:
        return []
    how = "as its first line says" if stated else "decided from the whole file"
    words = _NAMES.get(delimiter, f'"{delimiter}"')
    return [note(source, table, f"the cells are separated by {words} ({how})")]


def _sheet(source: str, name: str, records: list[list[str]], told: list[Problem]) -> Sheet:
    numbers = [place for place, record in enumerate(records, 1) if any(record)]
    wide = [n for n in numbers if any(records[n - 1][MOST_COLUMNS:])]
    long = [n for n in numbers if max(map(len, records[n - 1])) >= LONGEST_TEXT]
    if wide:
        wrong = f"cells beyond the first {MOST_COLUMNS} columns were not read"
        told.append(note(source, name, wrong, "Remove them", tuple(wide)))
    if long:
        told.append(cut_told(source, name, long))
    quoted = [n for n in numbers if any(map(_is_formula, records[n - 1]))]
    if quoted:
        wrong = 'cells written ="like this" are read as the text between the quotation marks'
        told.append(note(source, name, wrong, rows=tuple(quoted)))
    for n in (*quoted, *long):
        records[n - 1] = [shorten(_without_formula(cell)) for cell in records[n - 1]]
    rows: list[list[object]] = [[*records[n - 1][:MOST_COLUMNS]] for n in numbers]
    return Sheet(source, name, rows, numbers, every_cell=True, told=tuple(told))


def _is_formula(cell: str) -> bool:
    return cell.startswith('="') and _AS_FORMULA.fullmatch(cell) is not None


def _without_formula(cell: str) -> str:
    return cell[2:-1] if _is_formula(cell) else cell
