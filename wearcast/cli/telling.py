"""How an answer is given: tables or one JSON document on stdout, everything else on stderr."""

import json
import shutil
import sys
import textwrap
from collections.abc import Iterable, Sequence

import click
import pandas as pd

from wearcast.reports.fields import Field
from wearcast.reports.frames import shown_cells
from wearcast.told import Problem

GAP = "  "
SET_ASIDE = 1
WIDEST = 110
"""Running text longer than this is hard to read, however wide the terminal."""
_PLAIN = ("machine", "site", "position", "part", "depot", "supplier", "where", "level", "name")
"""Columns whose heading says it all."""


class Progress:
    """What the run is at, on stderr, and only where somebody watches."""

    def __init__(self, quiet: bool) -> None:
        self.shown = sys.stderr is not None and sys.stderr.isatty() and not quiet

    def __call__(self, step: str) -> None:
        """Show the step that begins in place of the last one."""
        if self.shown:
            click.echo(f"\r\x1b[K{step} ...", nl=False, err=True)

    def done(self) -> None:
        """Wipe the line."""
        if self.shown:
            click.echo("\r\x1b[K", nl=False, err=True)


def print_json(**answer: object) -> None:
    """One JSON document, plain ASCII; a figure that is not known must be None, never NaN."""
    click.echo(json.dumps(answer, allow_nan=False, indent=1))


def print_table(title: str, frame: pd.DataFrame, fields: Iterable[Field]) -> None:
    """A titled text table: texts to the left, figures to the right."""
    click.echo(title)
    fields = list(fields)
    if frame.empty:
        click.echo("  none\n")
        return
    cells = [shown_cells(frame[field.name], field) for field in fields]
    columns = _headed([field.heading for field in fields], cells)
    for line in text_lines(columns, [field.kind in ("text", "date") for field in fields]):
        click.echo(line)
    click.echo()


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
    width = min(shutil.get_terminal_size((WIDEST, 24)).columns, WIDEST)
    click.echo(textwrap.fill(printable(text), width, subsequent_indent=indent), err=err)


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
