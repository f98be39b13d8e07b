"""How an answer is given: tables or one JSON document on stdout, everything else on stderr."""

import json
import shutil
import sys
import textwrap
import time
from collections.abc import Callable, Iterable, Sequence
from itertools import zip_longest

import click
import pandas as pd

from wearcast.reports.doubts import doubts
from wearcast.reports.fields import Field
from wearcast.reports.frames import shown_cells
from wearcast.told import Problem

GAP = "  "
SET_ASIDE = 1
NO_TERMINAL = 10_000
LEAST_LEFT = 5.0
"""Less than so many seconds is not worth a word."""
WIDEST = 110
"""Running text longer than this is hard to read, however wide the terminal."""
_PLAIN = ("machine", "site", "position", "part", "depot", "supplier", "where", "level", "name")
"""Columns whose heading says it all."""
_NAMES = (*_PLAIN, "wears_as", "floor", "kind")
"""Columns that tell rows apart."""


class Progress:
    """What the run is at, on stderr, and only where somebody watches."""

    def __init__(self, quiet: bool, clock: Callable[[], float] = time.monotonic) -> None:
        self.shown = sys.stderr is not None and sys.stderr.isatty() and not quiet
        self._clock, self._begun = clock, clock()

    def __call__(self, step: str, times: float = 0.0) -> None:
        """Show the step that begins in place of the last one.

        `times`: how many times as long as all before it this and what follows usually take.
        """
        if self.shown:
            left = (self._clock() - self._begun) * times
            words = f", about {_lasting(left)} left" if left >= LEAST_LEFT else ""
            click.echo(f"\r\x1b[K{step}{words} ...", nl=False, err=True)

    def done(self) -> None:
        """Wipe the line."""
        if self.shown:
            click.echo("\r\x1b[K", nl=False, err=True)


def _lasting(seconds: float) -> str:
    """A time that is known roughly."""
    if seconds < 90:
        return f"{max(round(seconds / 10) * 10, 5)} s"
    return f"{round(seconds / 60)} min"


def print_json(**answer: object) -> None:
    """One JSON document, plain ASCII; a figure that is not known must be None, never NaN."""
    click.echo(json.dumps(answer, allow_nan=False, indent=1))


def print_table(title: str, frame: pd.DataFrame, fields: Iterable[Field]) -> None:
    """A titled text table: texts to the left, figures to the right; no wider than the terminal."""
    print_text(title)
    fields = list(fields)
    if frame.empty:
        click.echo("  none\n")
        return
    cells = [shown_cells(frame[field.name], field) for field in fields]
    columns = _headed([field.heading for field in fields], cells)
    texts = [field.kind == "text" for field in fields]
    left = [field.kind in ("text", "date") for field in fields]
    keys = [at for at, field in enumerate(fields) if texts[at] and field.name in _NAMES]
    for panel in _panels(columns, texts, keys):
        shown = _fitted([columns[at] for at in panel], [texts[at] for at in panel])
        for line in text_lines(shown, [left[at] for at in panel]):
            click.echo(line)
        click.echo()


def _panels(
    columns: Sequence[Sequence[str]], texts: Sequence[bool], keys: Sequence[int]
) -> list[list[int]]:
    """Which columns stand side by side: all, or where that is too wide, the names with some."""
    least = [_least(column, text) for column, text in zip(columns, texts, strict=True)]
    panels, now = [], list(keys)
    for at in (at for at in range(len(columns)) if at not in keys):
        if len(now) > len(keys) and _total([least[each] for each in (*now, at)]) > _room():
            panels.append(sorted(now))
            now = list(keys)
        now.append(at)
    return [*panels, sorted(now)]


def _least(column: Sequence[str], text: bool) -> int:
    """How narrow a column can be: its longest word, or a figure."""
    return max(max(map(len, cell.split()), default=0) if text else len(cell) for cell in column)


def _total(widths: Sequence[int]) -> int:
    return sum(widths) + len(GAP) * (len(widths) - 1)


def _fitted(columns: Sequence[Sequence[str]], texts: Sequence[bool]) -> list[list[str]]:
    """Columns as wide as the terminal at most: the widest texts go on in lines below."""
    widths = [max(map(len, column)) for column in columns]
    least = [_least(column, text) for column, text in zip(columns, texts, strict=True)]
    for _ in range(_total(widths) - _room()):
        widest = max(range(len(widths)), key=lambda at: (widths[at] > least[at], widths[at]))
        widths[widest] -= widths[widest] > least[widest]
    lines = [
        line
        for row in zip(*columns, strict=True)
        for line in zip_longest(
            *(textwrap.wrap(cell, width) or [""] for cell, width in zip(row, widths, strict=True)),
            fillvalue="",
        )
    ]
    return [list(column) for column in zip(*lines, strict=True)]


def _width() -> int:
    """Characters of a line of running text."""
    return min(shutil.get_terminal_size((WIDEST, 24)).columns, WIDEST)


def _room() -> int:
    """Characters of a table's line: the terminal's; what no terminal shows may be read by lines."""
    return shutil.get_terminal_size((NO_TERMINAL, 24)).columns


def _headed(headings: Sequence[str], cells: Sequence[Sequence[str]]) -> list[list[str]]:
    """The columns with their headings on top, broken so that no heading widens its column."""
    broken = [
        textwrap.wrap(heading, max(map(len, [*column, *heading.split(), "a heading"])))
        for heading, column in zip(headings, cells, strict=True)
    ]
    lines = max(map(len, broken))
    return [
        [""] * (lines - len(heading)) + heading + list(column)
        for heading, column in zip(broken, cells, strict=True)
    ]


def print_columns(fields: Iterable[Field], quiet: bool) -> None:
    """What the columns of a table mean, on stderr."""
    words = [f"{field.heading}: {field.note}" for field in fields if field.name not in _PLAIN]
    if not quiet:
        print_text(" ".join(words), err=True)


def print_text(text: str, indent: str = "", *, err: bool = False) -> None:
    """Running text, broken to fit the terminal; later lines stand in by the indent."""
    click.echo(textwrap.fill(printable(text), _width(), subsequent_indent=indent), err=err)


def print_doubts(told: Sequence[Problem]) -> None:
    """What no figure may be read without, before them."""
    for words in doubts(told):
        print_text(words)
        click.echo()


def text_lines(columns: Sequence[Sequence[str]], left: Sequence[bool]) -> list[str]:
    """The columns side by side, as wide as their widest cell."""
    cells = [[printable(each) for each in column] for column in columns]
    widths = [max(map(len, column)) for column in cells]
    rows = zip(*cells, strict=True)
    return [
        GAP.join(
            cell.ljust(width) if to_left else cell.rjust(width)
            for cell, width, to_left in zip(row, widths, left, strict=True)
        ).rstrip()
        for row in rows
    ]


def printable(text: str) -> str:
    """The text on one line; a control character would steer the terminal."""
    return "".join(each if each.isprintable() else "?" for each in text)


def exit_code(told: Iterable[Problem]) -> int:
    """1 where rows were set aside, else 0."""
    return SET_ASIDE if any(each.severity == "set aside" for each in told) else 0


def print_notes(told: Sequence[Problem], quiet: bool) -> None:
    """How many findings there are, on stderr."""
    counts = {
        words: sum(each.severity == severity for each in told)
        for severity, words in (
            ("set aside", "set aside"),
            ("repaired", "repaired"),
            ("note", "noted"),
        )
    }
    words = ", ".join(f"{count} {name}" for name, count in counts.items() if count)
    if words and not quiet:
        click.echo(f"Findings in the logbook: {words}; wearcast check lists them.", err=True)
