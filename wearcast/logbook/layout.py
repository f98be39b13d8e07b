"""All sheets become one draft a table: headings, the person's settings, the order of dates.

A table that cannot be read is left out and told; one that the job needs stops the run.
"""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace

from wearcast.errors import UnusableTable
from wearcast.logbook.findings.drafts import (
    IMPORTANCE,
    Draft,
    settle,
)
from wearcast.logbook.reshape.heading_rows import Headings
from wearcast.logbook.rules.checks import contradictions, duplicate_rows
from wearcast.logbook.rules.options import check_settings, plain_settings, settings_of
from wearcast.logbook.schema.names import table_named
from wearcast.logbook.schema.tables import BY_NAME, TABLES
from wearcast.logbook.sheets.columns import date_columns
from wearcast.logbook.sheets.date_orders import Found, majority, settle_orders
from wearcast.logbook.sheets.dates import Order, order_named
from wearcast.logbook.sheets.headings import (
    Grid,
    Refusal,
    lay_out,
    sheet_problems,
)
from wearcast.logbook.sheets.reading import empty_draft, read_table
from wearcast.logbook.sheets.rows import first_names
from wearcast.logbook.sheets.seen import missing_words
from wearcast.logbook.sources.sheet import Sheet, source_of
from wearcast.told import Problem, Tally

NEEDED = ("readings", "changes")
MAPPING = ("columns", "words")
"""Tables that have been read before."""


@dataclass(frozen=True, slots=True)
class Laid:
    """Every table as a draft, before names and rows are compared."""

    drafts: dict[str, Draft]
    settings: dict[str, str]
    order: Order | None
    """How dates with two readings are meant, if somebody said so."""
    told: tuple[Problem, ...]
    left_out: tuple[Tally, ...]
    """Tables that were refused."""
    files: dict[str, str]
    """The file of each source that findings and tallies name."""


def lay_out_all(
    sheets: Sequence[Sheet], own: Headings, asked: Order | None, proposal: bool
) -> Laid:
    """Every table of the sheets as a draft, with the settings that stand in them.

    Parameters
    ----------
    own : Headings
        What headings of theirs mean in sheets that are called like a table of ours.
    """
    told = [problem for sheet in sheets for problem in sheet_problems(sheet)]
    known = [sheet for sheet in sheets if table_named(sheet.name)[0] is not None]
    told += [problem for sheet in known for problem in _of_sheet(sheet)]
    grids, refusals, heading_told = _grids(known, own)
    told += heading_told
    company = first_names(grids)
    grids = [replace(grid, company=company) for grid in grids]
    dated = [(grid, name, one) for grid in grids for name, one in date_columns(grid).items()]
    beside = _order_beside(_of(grids, "settings"), dated)
    settings = _settings_draft(grids, beside or asked)
    order = asked or _order_said(settings)
    values = settings_of(settings, beside or order)
    orders, undated = settle_orders(dated, order)
    refusals += undated
    if not proposal:
        _stop_on(refusals, sheets, grids)
    refused = {refusal.origin for refusal in refusals}
    kept = [grid for grid in grids if grid.origin not in refused]
    drafts = {
        table.name: read_table(table, _of(kept, table.name), orders)
        for table in TABLES
        if table.name not in MAPPING
    }
    drafts |= {"settings": settings}
    told += [_refusal_told(refusal) for refusal in refusals]
    told += [_empty_told(grid) for grid in kept if not grid.rows]
    left_out = tuple(
        Tally(one.source, one.table.name, one.read, 0, one.read, 0) for one in refusals
    )
    files = {source_of(sheet): sheet.source for sheet in known}
    return Laid(drafts, values, order, tuple(told), left_out, files)


def _of_sheet(sheet: Sheet) -> list[Problem]:
    """What was decided on the way in, under the table's own name."""
    table, _ = table_named(sheet.name)
    name = table.name if table else sheet.name
    return [one._replace(source=source_of(sheet), table=name) for one in sheet.told]


def _of(grids: Sequence[Grid], table: str) -> list[Grid]:
    return [grid for grid in grids if grid.table.name == table]


def _grids(
    sheets: Sequence[Sheet], own: Headings
) -> tuple[list[Grid], list[Refusal], list[Problem]]:
    """The sheets under our columns, those that cannot be, and what is told of headings."""
    grids: list[Grid] = []
    refusals: list[Refusal] = []
    told: list[Problem] = []
    for origin, sheet in enumerate(sheets):
        laid, problems = lay_out(sheet, origin, own)
        told += problems
        if isinstance(laid, Grid):
            grids.append(laid)
        else:
            refusals.append(laid)
    return grids, refusals, told


def _settings_draft(grids: Sequence[Grid], order: Order | None) -> Draft:
    """The settings in our spelling, checked, none of them said twice."""
    draft = read_table(BY_NAME["settings"], _of(grids, "settings"), {})
    if draft.frame.empty:
        return empty_draft(draft.table)
    draft = replace(draft, frame=plain_settings(draft.frame))
    draft = settle(draft, duplicate_rows(draft))
    draft = settle(draft, check_settings(draft, order or _order_said(draft)))
    return settle(draft, contradictions(draft))


def _order_beside(settings: Sequence[Grid], dated: Found) -> Order | None:
    """How the dates in the workbooks of the settings are written, if they tell."""
    books = {grid.workbook for grid in settings}
    votes: Counter[Order] = Counter()
    for grid, _, column in dated:
        if grid.workbook in books:
            votes += column.orders()
    return majority(votes)


def _order_said(settings: Draft) -> Order | None:
    """How dates are meant by the setting ``dates``."""
    said = settings.used.loc[settings.used["setting"].eq("dates"), "value"]
    return order_named(said.iloc[0]) if len(said) else None


def _stop_on(refusals: Sequence[Refusal], sheets: Sequence[Sheet], grids: Sequence[Grid]) -> None:
    """Stop where needed tables are refused or not there, with all that stands in the way."""
    words = [
        f"{one.source}, {one.table.name}, row {one.row}: {one.wrong}. {one.remedy}, then run again."
        for one in refusals
        if one.table.name in NEEDED
    ]
    there = {grid.table.name for grid in grids} | {one.table.name for one in refusals}
    missing = [name for name in NEEDED if name not in there]
    if missing:
        words.append(missing_words(missing, sheets))
    if words:
        raise UnusableTable("\n".join(words))


def _refusal_told(refusal: Refusal) -> Problem:
    name = refusal.table.name
    wrong = f"{refusal.wrong}; the whole table was left out"
    weight = IMPORTANCE[name]
    rows = (refusal.row,)
    return Problem(
        refusal.source, name, rows, refusal.column, "", "set aside", wrong, refusal.remedy, weight
    )


def _empty_told(grid: Grid) -> Problem:
    wrong = "no rows; the table counts as absent"
    return Problem(grid.source, grid.table.name, (), "", "", "note", wrong, "", 0.01)
