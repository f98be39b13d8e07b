"""The cells of a mapped sheet under our names: columns renamed and joined, grids unfolded."""

import datetime
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from pathlib import PurePath

from wearcast.logbook.reshape.headed import Headed
from wearcast.logbook.reshape.heading_rows import meaning
from wearcast.logbook.reshape.mapping import CELL, FILE, HEADING, SHEET, Rule
from wearcast.logbook.reshape.periods import as_day, is_period, with_week_word
from wearcast.logbook.schema.tables import Table
from wearcast.logbook.sources.cell_texts import is_empty, says_ditto, text_of
from wearcast.logbook.sources.sheet import Sheet

Cells = list[object]


@dataclass(frozen=True, slots=True)
class Unfolded:
    """Rows on their way to a table of ours; a row of a grid gives one for each of its cells."""

    columns: dict[str, Cells]
    """By our name, ``did`` or ``only``; what no rule names keeps its own heading."""
    rows: list[int]
    """For each entry: its row as the spreadsheet shows it."""
    aside: frozenset[int] = frozenset()
    """Places of rows with a word that is not decided."""
    skipped: frozenset[int] = frozenset()
    """Numbers of rows that words leave out."""
    bare: frozenset[int] = frozenset()
    """Numbers of rows that say nothing to this table."""
    headings: dict[str, str] = field(default_factory=dict)
    """The heading in the file that each column of ours came from."""
    surplus: dict[int, object] = field(default_factory=dict)
    """Places of rows with more cells than there are headings, with the first such cell."""

    def kept(self, places: Sequence[int], **changed: frozenset[int]) -> "Unfolded":
        """The rows at these places only."""
        at = {place: new for new, place in enumerate(places)}
        columns = {name: [cells[place] for place in places] for name, cells in self.columns.items()}
        rows = [self.rows[place] for place in places]
        aside = frozenset(at[place] for place in self.aside if place in at)
        skipped, bare = changed.get("skipped", self.skipped), changed.get("bare", self.bare)
        surplus = {at[place]: cell for place, cell in self.surplus.items() if place in at}
        return Unfolded(columns, rows, aside, skipped, bare, self.headings, surplus)


def blank(cell: object) -> bool:
    """Whether a cell holds nothing at all."""
    return cell is None or is_empty(cell)


def unfold(
    sheet: Sheet, headed: Headed, table: Table, rules: Sequence[Rule], elsewhere: frozenset[str]
) -> Unfolded:
    """The rows below the headings under our names.

    Parameters
    ----------
    rules : sequence of Rule
        Those of this table and sheet.
    elsewhere : frozenset of str
        Keys of headings that belong to another table which this sheet feeds.
    """
    body = sheet.rows[headed.last + 1 :]
    numbers = sheet.row_numbers[headed.last + 1 :]
    named = {rule.key for rule in rules if rule.key}
    free = [at for at, key in enumerate(headed.keys) if key and key not in named | elsewhere]
    grid = _grid_places(headed, rules, free)
    if grid is None:
        cells_at = [(row, -1) for row in range(len(body))]
    else:
        cells_at = [
            (row, at)
            for row, line in enumerate(body)
            for at in grid
            if at < len(line) and not blank(line[at])
        ]
        free = [at for at in free if at not in grid]
    take = _Taking(sheet, headed, body, cells_at)
    columns, headings = _under_our_names(take, table, rules)
    for at in free:
        name = text_of(headed.labels[at])
        again = headed.texts[at] != " ".join(name.split())
        if not _taken(table, name if again else headed.texts[at], columns):
            while name in columns:  # the reader then sees two headings of one meaning
                name += " "
            columns[name] = take.column(at)
    rows = [numbers[row] for row, _ in cells_at]
    bare = frozenset(numbers) - frozenset(rows)
    surplus = {
        place: _surplus(body[row], len(headed.texts))
        for place, (row, _) in enumerate(cells_at)
        if sheet.every_cell and _surplus(body[row], len(headed.texts)) is not None
    }
    return Unfolded(columns, rows, bare=bare, headings=headings, surplus=surplus)


def _surplus(row: Sequence[object], width: int) -> object:
    """The first filled cell behind the last heading; None if there is none."""
    return next((cell for cell in row[width:] if not blank(cell)), None)


def _grid_places(headed: Headed, rules: Sequence[Rule], free: list[int]) -> list[int] | None:
    """The columns whose cells become rows; None if the sheet is no grid."""
    if not any(rule.place in (HEADING, CELL) for rule in rules):
        return None
    dated = any(rule.place == HEADING and rule.ours in ("date", "since") for rule in rules)
    return [at for at in free if not dated or is_period(headed.labels[at])]


@dataclass(frozen=True, slots=True)
class _Taking:
    """Where each new row comes from: row of the body, and column of the grid."""

    sheet: Sheet
    headed: Headed
    body: Sequence[Sequence[object]]
    cells_at: list[tuple[int, int]]

    def column(self, at: int, down: bool = False) -> Cells:
        """The cells of one column of the sheet, a new row each."""
        cells = [row[at] if at < len(row) else None for row in self.body]
        if down:
            cells = _filled_down(cells)
        return [cells[row] for row, _ in self.cells_at]

    def by_rule(self, rule: Rule) -> Cells | None:
        """The cells that a rule means; None where its heading is not there."""
        whole: dict[str, Callable[[], Cells]] = {
            SHEET: lambda: [self.sheet.name] * len(self.cells_at),
            FILE: lambda: [PurePath(self.sheet.source).stem] * len(self.cells_at),
            HEADING: lambda: [self.headed.labels[at] for _, at in self.cells_at],
            CELL: lambda: [self.body[row][at] for row, at in self.cells_at],
        }
        if rule.place:
            return whole[rule.place]()
        keys = self.headed.keys
        if rule.key not in keys:
            return None
        at = keys.index(rule.key)
        cells = self.column(at, rule.down)
        return (
            [with_week_word(self.headed.texts[at], cell) for cell in cells]
            if _dated(rule)
            else cells
        )


def _dated(rule: Rule) -> bool:
    return rule.ours in ("date", "since", "counted", "due", "start", "end")


def _filled_down(cells: Cells) -> Cells:
    filled: Cells = []
    for cell in cells:
        filled.append(filled[-1] if filled and (blank(cell) or says_ditto(cell)) else cell)
    return filled


def _under_our_names(
    take: _Taking, table: Table, rules: Sequence[Rule]
) -> tuple[dict[str, Cells], dict[str, str]]:
    """The columns that the rules fill, and the headings that they came from."""
    columns: dict[str, Cells] = {}
    headings: dict[str, str] = {}
    for rule in rules:
        cells = take.by_rule(rule) if rule.ours else None
        if cells is None:
            continue
        before = columns.get(rule.ours)
        columns[rule.ours] = cells if before is None else _joined(before, cells)
        if not rule.place:
            headings.setdefault(rule.ours, take.headed.texts[take.headed.keys.index(rule.key)])
    for column in table.columns:
        if column.kind == "date" and column.name in columns:
            columns[column.name] = [as_day(cell) for cell in columns[column.name]]
    return columns, headings


def _joined(ones: Cells, others: Cells) -> Cells:
    """Two columns as one: what stands in both with a blank between; a day beside it wins."""
    joined: Cells = []
    for one, other in zip(ones, others, strict=True):
        if blank(one) or blank(other) or isinstance(one, datetime.date):
            joined.append(other if blank(one) else one)
        elif isinstance(other, datetime.date):
            joined.append(other)
        else:
            joined.append(f"{text_of(one).strip()} {text_of(other).strip()}")
    return joined


def _taken(table: Table, heading: str, columns: dict[str, Cells]) -> bool:
    """Whether a heading that no rule names means a column that a rule fills."""
    meant = meaning(table, heading, {})
    return meant is not None and meant[0] in columns
