"""In which order the dates of a column are written: decided for the whole column, told once.

A column's own dates settle it, then the workbook's other dates, then the setting ``dates``. What
nothing settles is set aside where it is the smaller part of its column, else the table is refused.
"""

import datetime
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from wearcast.logbook.findings.drafts import IMPORTANCE
from wearcast.logbook.sheets.cells import Cells
from wearcast.logbook.sheets.dates import (
    YEAR_DAY_MONTH,
    Order,
    ReadDate,
    read_date,
    short_ends,
    shown,
    year_first,
)
from wearcast.logbook.sheets.headings import Grid, Refusal

EXCHANGED = (
    "may have day and month exchanged: dates with a day over 12 are texts here, those kept as"
    " dates have none"
)
YEAR_FIRST = "may begin or end with its year, which has two digits"
MOST_YEARS = 3
"""Years that a column is expected to reach over, where its dates leave a doubt."""
FEWEST = 2
"""Different dates of either sort from which such a pattern counts."""


@dataclass(frozen=True, slots=True)
class DateColumn:
    """A column's cells with what each can mean."""

    cells: Cells
    meanings: tuple[ReadDate, ...]
    """One for each distinct cell."""

    def orders(self) -> Counter[Order]:
        """How many cells can only be read in one order."""
        votes: Counter[Order] = Counter()
        for meaning, count in zip(self.meanings, self.counts, strict=True):
            if meaning.day_first and not meaning.month_first:
                votes["day first"] += int(count)
            if meaning.month_first and not meaning.day_first:
                votes["month first"] += int(count)
        return votes

    @property
    def counts(self) -> np.ndarray:
        """Rows that hold each distinct cell: array (meanings,)."""
        codes = self.cells.codes
        return np.bincount(codes[codes >= 0], minlength=len(self.meanings))

    @property
    def open_rows(self) -> int:
        """Rows whose date depends on the order."""
        return self._rows(True)

    @property
    def sure_rows(self) -> int:
        """Rows whose date is the same in any order."""
        return self._rows(False)

    def _rows(self, two_ways: bool) -> int:
        here = [not one.wrong and (one.day is None) == two_ways for one in self.meanings]
        return int(self.counts[np.array(here, bool)].sum())


def read_column(cells: Cells, date1904: bool) -> DateColumn:
    """What the cells of a column can mean; each distinct cell is looked at once."""
    meanings = [read_date(cell, date1904) for cell in cells.distinct]
    if any(meaning.wrong == YEAR_DAY_MONTH for meaning in meanings):
        meanings = [
            ReadDate(wrong=YEAR_DAY_MONTH) if _year_first(cell) else meaning
            for cell, meaning in zip(cells.distinct, meanings, strict=True)
        ]
    return DateColumn(cells, tuple(_short_years(cells, _doubted(cells, meanings))))


def _short_years(cells: Cells, meanings: list[ReadDate]) -> list[ReadDate]:
    """Without dates like 26-01-05 where the first numbers are more like years than the last."""
    ends = {
        at: found
        for at, (cell, one) in enumerate(zip(cells.distinct, meanings, strict=True))
        if isinstance(cell, str) and (one.day_first or one.month_first)
        for found in (short_ends(cell.strip()),)
        if found is not None
    }
    if not ends:
        return meanings
    firsts, lasts = zip(*ends.values(), strict=True)
    if not max(firsts) - min(firsts) <= MOST_YEARS < max(lasts) - min(lasts):
        return meanings
    if min(firsts) <= 12:  # people start on the first of a month
        return meanings
    return [ReadDate(wrong=YEAR_FIRST) if at in ends else one for at, one in enumerate(meanings)]


def _doubted(cells: Cells, meanings: list[ReadDate]) -> list[ReadDate]:
    """Without the dates that a spreadsheet program may have made with day and month exchanged.

    It keeps as text what is no date in its own order: then all days of such texts are over 12,
    and no day of the dates it made is.
    """
    made = [isinstance(cell, datetime.date) for cell in cells.distinct]
    days = {one.day for one, here in zip(meanings, made, strict=True) if here and one.day}
    texts = [one for one, here in zip(meanings, made, strict=True) if not here and not one.wrong]
    orders = {(one.day_first is None, one.month_first is None) for one in texts}
    sure = len(orders) == 1 and not orders & {(True, True), (False, False)}
    if not sure or min(len(texts), len(days)) < FEWEST or any(day.day > 12 for day in days):
        return meanings
    return [
        ReadDate(wrong=EXCHANGED) if here and one.day and one.day.day != one.day.month else one
        for one, here in zip(meanings, made, strict=True)
    ]


def _year_first(cell: object) -> bool:
    """A text of year and two numbers, either of which may be the month if another one's is."""
    found = year_first(cell.strip()) if isinstance(cell, str) else None
    return found is not None and found[3] != "-" and found[1] != found[2]


def majority(votes: Counter[Order]) -> Order | None:
    """The order that most cells ask for; None if there is no telling."""
    day, month = votes["day first"], votes["month first"]
    if day == month:
        return None
    return "day first" if day > month else "month first"


def values_of(column: DateColumn, order: Order | None) -> np.ndarray:
    """Dates of the cells, array (cells,), in that order; NaT where blank, wrong or of another."""
    days = [meaning.in_order(order) for meaning in column.meanings]
    known = np.array([*days, None], "datetime64[D]").astype("datetime64[ns]")
    return np.asarray(known[column.cells.codes])


@dataclass(frozen=True, slots=True)
class Settled:
    """How the dates of one column are read."""

    order: Order | None
    told: bool = True
    """False where another column of the workbook tells the order for all."""
    also: tuple[str, ...] = ()
    """Other tables that are read so and do not tell it themselves."""


Orders = Mapping[tuple[int, str], Settled]
"""How a column's dates are read, by number of its sheet and name."""
Found = Sequence[tuple[Grid, str, DateColumn]]
"""Every column of dates: its sheet, its name, what its cells can mean."""


def settle_orders(found: Found, setting: Order | None) -> tuple[Orders, list[Refusal]]:
    """The date order of every column, and the tables whose dates cannot be settled."""
    votes: dict[str, Counter[Order]] = {}
    for grid, _, column in found:
        votes.setdefault(grid.workbook, Counter()).update(column.orders())
    settled: dict[tuple[int, str], Settled] = {}
    refusals: list[Refusal] = []
    for grid, name, column in found:
        order = majority(column.orders()) or majority(votes[grid.workbook]) or setting
        settled[grid.origin, name] = Settled(order)
        if order is None and column.open_rows > column.sure_rows:
            refusals.append(_undated(grid, name, column))
    return settled | _told_once(found, settled), refusals


def _told_once(found: Found, settled: Orders) -> dict[tuple[int, str], Settled]:
    """Of the columns of a workbook that are read in one order, the weightiest tells it for all."""
    alike: dict[tuple[str, Order], list[tuple[Grid, str]]] = {}
    for grid, name, column in found:
        order = settled[grid.origin, name].order
        if order is not None and any(_depends(one, order) for one in column.meanings):
            alike.setdefault((grid.workbook, order), []).append((grid, name))
    decided: dict[tuple[int, str], Settled] = {}
    for (_, order), columns in alike.items():
        first, *rest = sorted(
            columns, key=lambda one: (-IMPORTANCE[one[0].table.name], one[0].source, one[1])
        )
        also = sorted({grid.table.name for grid, _ in rest} - {first[0].table.name})
        decided |= {(grid.origin, name): Settled(order, told=False) for grid, name in rest}
        decided[first[0].origin, first[1]] = Settled(order, also=tuple(also))
    return decided


def _depends(meaning: ReadDate, order: Order) -> bool:
    """Whether there is a date only because the order is known."""
    return meaning.day is None and meaning.in_order(order) is not None


def _undated(grid: Grid, name: str, column: DateColumn) -> Refusal:
    """The refusal of a table whose dates have two readings and nothing settles which."""
    code, meaning = next(
        (code, meaning)
        for code, meaning in enumerate(column.meanings)
        if meaning.day is None and not meaning.wrong
    )
    place = int(np.argmax(column.cells.codes == code))
    text = str(column.cells.distinct[code]).strip()
    remedy = "Set dates to day first or month first (settings, or --dates)"
    return Refusal(
        grid.table,
        grid.source,
        grid.origin,
        grid.rows[place],
        len(grid.rows),
        f"{name} {text} {_unsettled(meaning)}",
        remedy,
        name,
    )


def without_reading(meaning: ReadDate, order: Order | None) -> str:
    """Why a cell is no date in that order; empty if it is one."""
    if meaning.wrong or meaning.in_order(order) is not None:
        return meaning.wrong
    if order is None:
        return _unsettled(meaning)
    return f"no date if read {order}, as the others of the column are"


def _unsettled(meaning: ReadDate) -> str:
    """Why a date has no reading where nothing settles the order."""
    days = [shown(day) for day in (meaning.day_first, meaning.month_first) if day]
    if len(days) == 2:
        return f"can be {days[0]} or {days[1]}, and no other date settles it"
    return "stands in a column with as many dates day first as month first"
