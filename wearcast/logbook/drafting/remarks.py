"""Sentences for the person: what cannot serve, and what to look at."""

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Sequence
from pathlib import PurePath

from wearcast.logbook.drafting.blocks import second_table
from wearcast.logbook.drafting.chosen import NEEDED
from wearcast.logbook.drafting.feed import Fed
from wearcast.logbook.drafting.feeds import is_of_purchases
from wearcast.logbook.drafting.lanes import of_plans
from wearcast.logbook.drafting.outline import Lane, Outline, outline
from wearcast.logbook.drafting.phrases import heading_words, meanings
from wearcast.logbook.schema.names import table_named
from wearcast.logbook.schema.spelling import listed
from wearcast.logbook.schema.trade_words import HEADINGS
from wearcast.logbook.sources.cell_texts import text_of
from wearcast.logbook.sources.sheet import COMMENTED, Sheet

MOST_TOLD = 3
"""Sheets of a file that are told one by one."""
_LACKING = {
    "readings": "an hour meter or hours run by machine and day",
    "changes": "what was fitted or turned on which machine",
}


def remarks(sheets: Sequence[Sheet], fed: Fed, nameless: Iterable[Outline]) -> Iterator[str]:
    """What is to be said of these records.

    Parameters
    ----------
    sheets : sequence of Sheet
        The records.
    fed : list of (Outline, Feed)
        What is read through the mapping, decided before or proposed.
    nameless : iterable of Outline
        Sheets that no machine could be found for.
    """
    unnamed = list(nameless)
    known = {id(found.sheet) for found, _ in fed} | {id(found.sheet) for found in unnamed}
    left: dict[str, list[str]] = defaultdict(list)
    for sheet in sheets:
        table, _ = table_named(sheet.name)
        ours = table is not None and table.name not in NEEDED
        if id(sheet) not in known and sheet.rows and not ours:
            left[PurePath(sheet.source).name].append(f"{_place(sheet)} {_why_left_out(sheet)}.")
    for several in left.values():
        yield from several[:MOST_TOLD]
        if len(several) > MOST_TOLD:
            yield f"{len(several) - MOST_TOLD} more sheets of this file were left out too."
    for found in unnamed:
        yield (
            f"{_place(found.sheet)} was left out: it is not sure what names its machine or"
            " what its numbers count; if its rows count, give it rows in columns."
        )
    yield from _second_tables(sheets)
    yield from _commented(sheets)
    yield from _open(fed)
    yield from _unread_work(fed)
    yield from _bought(fed)
    yield from _run_told(fed)
    tables = {feed.table for _, feed in fed}
    for needed in NEEDED:
        if needed not in tables:
            yield f"No sheet shows {_LACKING[needed]}; wear cannot be told without it."


def alike_told(machines: Sequence[str]) -> str:
    """The sentence on machine numbers that could not be told apart."""
    return (
        f"Machine {listed(machines, 3)} stands in several files with meters that cannot be one; put"
        " readings and changes of a site into one workbook, or give the machines names of their"
        " own."
    )


def unlisted_told(count: int) -> str:
    """The sentence on undecided words that are not listed."""
    return (
        f"{count:,} more undecided phrases stand in few rows each and are not listed; such rows are"
        " set aside and told when the records are read."
    )


def _why_left_out(sheet: Sheet) -> str:
    found = outline(sheet)
    if found is None:
        return "was left out: no row of it looks like headings with rows below"
    if is_of_purchases(found):
        return "says what was bought; purchases alone cannot show wear"
    if any(map(of_plans, found.lanes)):
        return "was left out: its days are planned ones and not those of work done"
    heads = listed([f'"{lane.heading}"' for lane in found.lanes], 6)
    return f"was left out: its headings ({heads}) name neither a meter nor what was done"


def _second_tables(sheets: Sequence[Sheet]) -> Iterator[str]:
    """A sentence on each sheet with a table below the first one."""
    for sheet in sheets:
        row = second_table(sheet)
        if row:
            yield (
                f"{_place(sheet)}: a second table begins in row {row}; put it on a sheet of its"
                " own, for here its rows would be read under the headings of the first."
            )


def _commented(sheets: Sequence[Sheet]) -> Iterator[str]:
    """A sentence on each file with comments in its cells."""
    rows: Counter[str] = Counter()
    for sheet in sheets:
        told = [one for one in sheet.told if one.wrong == COMMENTED]
        rows[PurePath(sheet.source).name] += sum(len(one.rows) for one in told)
    for file, count in rows.items():
        if count:
            yield f"{file}: comments in cells of {count} rows are not read; write work in a column."


def _open(fed: Fed) -> Iterator[str]:
    """A sentence on each sheet whose rows in ``columns`` the person has to complete."""
    for name in sorted({_place(found.sheet) for found, feed in fed if not feed.sure}):
        yield (
            f"{name}: not all of its headings are known, or nothing surely names the machine;"
            " complete ours in its yellow rows of columns: machine, date, hours for the meter, did"
            " for what was done or fitted; leave what says nothing blank. To have its words listed,"
            " run import again with this mapping among the records."
        )


def _unread_work(fed: Fed) -> Iterator[str]:
    """A sentence on each column that looks like work done and feeds nothing."""
    used: dict[int, set[str]] = defaultdict(set)
    for found, feed in fed:
        lanes = [*feed.unfolded, *(lane for _, several in feed.words for lane in several)]
        used[id(found)] |= {lane.heading for lane in lanes}
        used[id(found)] |= {theirs for theirs, ours in feed.headings if ours}
    for found in {id(found): found for found, _ in fed}.values():
        for lane in found.lanes:
            if lane.heading not in used[id(found)] and _tells_of_work(lane):
                yield (
                    f'{_place(found.sheet)}: "{lane.heading}" looks like work done and is not read;'
                    " give it a row in columns if it is."
                )


def _bought(fed: Fed) -> Iterator[str]:
    """A sentence on each list of parts that looks like purchases, though it names machines."""
    for found, feed in fed:
        lanes = [lane for _, several in feed.words for lane in several]
        if (
            feed.table == "changes"
            and is_of_purchases(found)
            and not any(map(_tells_of_work, lanes))
        ):
            yield (
                f"{_place(found.sheet)} looks like a list of what was bought: the day of an order"
                " or an invoice is not the day on which a part was fitted. Delete its rows in"
                " columns unless each of its rows is a part fitted on that day."
            )


def _tells_of_work(lane: Lane) -> bool:
    """Whether most cells of a lane name something that is done."""
    told = [meanings(text_of(cell)) for cell in lane.filled] if lane.kind == "text" else []
    deeds = sum(said is not None and any(one.action for one in said) for said in told)
    return deeds * 2 > len(told)


def _run_told(fed: Fed) -> Iterator[str]:
    """A sentence on each heading of hours whose numbers are hours run and no meter."""
    for found, feed in fed:
        for theirs, ours in feed.headings:
            if ours == "run" and heading_words(theirs) not in HEADINGS["run"]:
                yield (
                    f'{_place(found.sheet)}: the numbers under "{theirs}" fall again and again, so'
                    " they are taken as hours run; write hours in columns if they are a meter."
                )


def _place(sheet: Sheet) -> str:
    """A sheet as the person knows it."""
    file = PurePath(sheet.source).name
    return file if sheet.every_cell else f"{file}, {sheet.name}"
