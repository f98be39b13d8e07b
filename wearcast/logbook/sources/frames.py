"""A pandas table as a sheet of cells, so that it is read and judged like a file."""

import pandas as pd

from wearcast.errors import UnknownChoice
from wearcast.logbook.schema.names import table_named
from wearcast.logbook.schema.spelling import did_you_mean
from wearcast.logbook.schema.tables import BY_NAME
from wearcast.logbook.sources.sheet import Sheet


def sheet_of(name: str, frame: pd.DataFrame) -> Sheet:
    """The table as a sheet of that name; its headings are row 1.

    Raises
    ------
    UnknownChoice
        If no table is called so.
    """
    if table_named(name)[0] is None:
        cure = f"Tables are {', '.join(BY_NAME)}."
        raise UnknownChoice(f"{name}: no table of that name. {did_you_mean(name, BY_NAME, cure)}")
    if not isinstance(frame, pd.DataFrame):
        raise TypeError(f"{name}: give a pandas DataFrame, not a {type(frame).__name__}")
    columns = [_cells(frame[column]) for column in frame.columns]
    rows = [[str(column) for column in frame.columns], *map(list, zip(*columns, strict=True))]
    return Sheet(f"frame {name}", name, rows, list(range(1, len(rows) + 1)))


def _cells(column: pd.Series) -> list[object]:
    """The cells as a workbook would give them: nothing, or a plain value."""
    return [
        None if nothing else _plain(cell)
        for cell, nothing in zip(column.astype(object), column.isna(), strict=True)
    ]


def _plain(cell: object) -> object:
    return cell.to_pydatetime() if isinstance(cell, pd.Timestamp) else cell
