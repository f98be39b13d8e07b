"""A workbook of ours from first to last: its sheets share one set of looks and one footer.

Same facts, same bytes: the document's date is as-of, and the archive's entries bear a fixed one.
"""

import io
from collections.abc import Callable
from dataclasses import dataclass

import pandas as pd
from xlsxwriter import Workbook
from xlsxwriter.worksheet import Worksheet

from wearcast import __version__
from wearcast.reports.fields import Field
from wearcast.reports.workbook.looks import Looks, looks_of
from wearcast.reports.workbook.sheets import write_table

FACTS = (
    Field("topic", "text", "What", ""),
    Field("value", "text", "Value", ""),
    Field("meaning", "text", "What it means", ""),
)


@dataclass(frozen=True, slots=True)
class Sheet:
    """What the writing of one sheet needs."""

    sheet: Worksheet
    looks: Looks
    foot: str


@dataclass(frozen=True, slots=True)
class Papers:
    """A workbook that is being filled."""

    book: Workbook
    looks: Looks
    foot: str

    def add(self, name: str) -> Sheet:
        """A new sheet at the end."""
        return Sheet(self.book.add_worksheet(name), self.looks, self.foot)

    def table(self, name: str, fields: tuple[Field, ...], frame: pd.DataFrame, under: str) -> Sheet:
        """A new sheet that is one table."""
        paper = self.add(name)
        shown = tuple(field for field in fields if field.name in frame.columns)
        write_table(paper.sheet, self.looks, shown, frame, title=name, under=under,
                    foot=self.foot)  # fmt: skip
        return paper


def book_bytes(title: str, run: str, as_of: pd.Timestamp, fill: Callable[[Papers], None]) -> bytes:
    """The bytes of a workbook.

    Parameters
    ----------
    title : str
        Of the document.
    run : str
        The run's id, in every sheet's footer.
    as_of : date
        Stands for the document's date.
    fill : callable
        Adds the sheets.
    """
    memory = io.BytesIO()
    book = Workbook(memory, {"in_memory": True})
    book.set_properties({
        "title": title, "comments": f"wearcast run {run}", "created": as_of.to_pydatetime(),
    })  # fmt: skip
    foot = f"wearcast {__version__}, run {run}, as of {as_of:%Y-%m-%d}"
    fill(Papers(book, looks_of(book), foot))
    book.close()
    return memory.getvalue()
