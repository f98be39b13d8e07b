"""What our pages have in common: tables as they are shown, and the templates.

Nothing on a page is fetched from anywhere; every text of the logbook is escaped.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import pandas as pd
from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup, escape

from wearcast import __version__
from wearcast.reports.fields import Field, fields_named
from wearcast.reports.frames import shown_cells

_STEERING = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069]")
"""Controls, and marks that turn the direction of all that follows: findings quote them."""
LONG, SHORT = 34, 22
"""Letters of a text from which on it may be broken into lines, and up to which it may not."""
MOST_ROWS, MOST_DUE = 300, 1000
"""What is to be printed and worked off may be longer than what is looked at."""


@dataclass(frozen=True, slots=True)
class PageTable:
    """A table as a page shows it."""

    fields: tuple[Field, ...]
    rows: list[tuple[str, ...]]
    file: str
    """The file that holds every row; blank if there is none."""
    left_out: int = 0
    """Rows beyond what the page shows."""


def table_of(file: str, frame: pd.DataFrame, columns: tuple[str, ...]) -> PageTable:
    """A table of some columns of a file."""
    there = [name for name in columns if name in frame.columns]
    return table_with(fields_named(file, there), frame, file)


def table_with(fields: tuple[Field, ...], frame: pd.DataFrame, file: str) -> PageTable:
    """A table of the fields given; a text that is blank in every row has no column."""
    shown = frame.head(MOST_DUE if file == "due" else MOST_ROWS)
    fields = tuple(field for field in fields if not _is_blank(field, frame))
    cells = (shown_cells(shown[field.name], field) for field in fields)
    rows = list(zip(*cells, strict=True))
    return PageTable(fields, rows, f"{file}.csv" if file else "", len(frame) - len(shown))


def tables_with(
    fields: tuple[Field, ...], frames: list[pd.DataFrame], file: str
) -> list[PageTable]:
    """`table_with` of many small frames alike, put into words together: many times sooner."""
    if not frames:
        return []
    whole = pd.concat(frames, ignore_index=True)
    begins = np.cumsum([0, *(len(frame) for frame in frames)])
    cells = [shown_cells(whole[field.name], field) for field in fields]
    said = [field.kind != "text" or whole[field.name].ne("").to_numpy() for field in fields]
    tables = []
    for first, end in pairwise(begins.tolist()):
        kept = [number for number, each in enumerate(said) if each is True or each[first:end].any()]
        until = min(end, first + (MOST_DUE if file == "due" else MOST_ROWS))
        rows = list(zip(*(cells[number][first:until] for number in kept), strict=True))
        shown = tuple(fields[number] for number in kept)
        tables.append(PageTable(shown, rows, f"{file}.csv" if file else "", end - until))
    return tables


def _is_blank(field: Field, frame: pd.DataFrame) -> bool:
    return field.kind == "text" and len(frame) > 0 and not frame[field.name].ne("").any()


def filled(template: str, **facts: object) -> bytes:
    """A page, UTF-8: the template filled with the facts."""
    shelf = Environment(
        loader=PackageLoader("wearcast.reports", "."),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )
    shelf.filters["cells"] = cells_html
    text = shelf.get_template(template).render(version=__version__, **facts)
    return _STEERING.sub("\ufffd", text).encode()


def cells_html(row: Sequence[str], fields: Sequence[Field], cards: bool) -> Markup:
    """A row's cells; a page has up to a hundred thousand, for which a macro takes too long.

    `cards`: the cells are to stand below each other on a narrow screen, each with its heading.
    """
    told = zip(row, fields, strict=False)
    return Markup("".join(_cell_html(str(cell), field, cards) for cell, field in told))


def _cell_html(cell: str, field: Field, cards: bool) -> str:
    kind = "date" if field.kind == "date" else "figure"
    if field.kind == "text":
        kind = "long" if len(cell) > LONG else "name" if len(cell) < SHORT else ""
    if field.name == "status":
        kind = f"{kind} {escape(cell.split(' ')[-1])}"
    heading = f' data-h="{escape(field.heading)}"' if cards else ""
    return f'<td class="{kind}"{heading}>{escape(cell)}</td>'


def drawings(drawn: dict[str, str]) -> dict[str, Markup]:
    """Our own drawings, which stand in the page as they are."""
    return {name: Markup(svg) for name, svg in drawn.items()}
