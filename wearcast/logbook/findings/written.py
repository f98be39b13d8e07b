"""The cells of a table as the person wrote them: each distinct one is kept once."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd

from wearcast.logbook.findings.coded import Coded


@dataclass(frozen=True, slots=True)
class Written:
    """The declared columns as written; one is spread over the rows only when it is asked for."""

    cells: Mapping[str, tuple[np.ndarray, np.ndarray]]
    """Column -> place of each row's text, array (rows,), and the distinct texts, the last ""."""

    @property
    def columns(self) -> list[str]:
        """The names of the columns."""
        return list(self.cells)

    def __contains__(self, column: object) -> bool:
        """Whether it is one of the columns."""
        return column in self.cells

    def __getitem__(self, column: str) -> pd.Series:
        """A column's texts, one a row."""
        places, texts = self.cells[column]
        return pd.Series(texts[places], dtype=object)

    def says(self, column: str, names: Coded) -> bool:
        """Whether every row's name is what was written, letter by letter."""
        places, texts = self.cells[column]
        meant = np.full(len(texts), -1)
        meant[places] = names.codes
        there = meant >= 0
        return bool(
            (meant[places] == names.codes).all()
            and (names.names[meant[there]] == texts[there]).all()
        )


def stacked(parts: Sequence[Written]) -> Written:
    """The cells of several sheets, one below the other."""
    if len(parts) == 1:
        return parts[0]
    cells = {}
    for column in parts[0].cells:
        each = [part.cells[column] for part in parts]
        starts = np.cumsum([0, *(len(texts) for _, texts in each)])
        places = [here + start for (here, _), start in zip(each, starts, strict=False)]
        cells[column] = np.concatenate(places), np.concatenate([texts for _, texts in each])
    return Written(cells)
