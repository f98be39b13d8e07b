"""What a quote is priced by: the wear of one log, or of several operators' saved rates as one."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import pandas as pd

from wearcast.decisions.quoting.currencies import in_first_currency
from wearcast.decisions.quoting.missing import UNREAD, rows_set_aside
from wearcast.decisions.quoting.saved_rates import (
    DIGEST,
    breaks_of,
    catalogue_of,
    date_of,
    inherited,
    provenance,
    refuse_changed,
)
from wearcast.errors import UnreadableFile
from wearcast.logbook.book import Logbook
from wearcast.logbook.schema.spelling import listed
from wearcast.told import Problem, with_sources
from wearcast.wear.operators import left_out_operators
from wearcast.wear.pooled import pool_wear
from wearcast.wear.rates import FORMAT, wear_of_rates
from wearcast.wear.records import Wear
from wearcast.wear.respelled import first_spellings, respelled


@dataclass(frozen=True, slots=True, eq=False)
class Learnt:
    """Rates, and what came with them."""

    wear: Wear
    settings: dict[str, str]
    """Those that a proposal takes over."""
    as_of: pd.Timestamp
    """The newest date of the logs."""
    parts: pd.DataFrame | None
    """The catalogue."""
    price_breaks: pd.DataFrame
    """part, from_pieces, price"""
    told: tuple[Problem, ...]
    unread: pd.DataFrame
    """Rows of the logs that were set aside, as in `wearcast.decisions.quoting.missing`."""
    sources: pd.DataFrame
    """A row a log: from, to (dates), edges, hours, machines, sites, operators; of several logs
    also how each one's lives lie against the others (`wearcast.wear.operators.LeftOut`)."""


def learnt_of_log(book: Logbook, wear: Wear, told: Sequence[Problem]) -> Learnt:
    """The rates of one log."""
    sources = pd.DataFrame([provenance(book, wear)])
    return Learnt(
        wear=wear,
        settings=inherited(book.settings),
        as_of=book.as_of,
        parts=book.parts,
        price_breaks=book.price_breaks,
        told=(*with_sources(told, book.tallies), *_of_operators(sources)),
        unread=rows_set_aside(told, UNREAD),
        sources=sources,
    )


def learnt_of_documents(documents: Sequence[dict[str, Any]]) -> Learnt:
    """The rates of one operator or several, from saved documents.

    The catalogue and settings of an earlier document come before a later one's.

    Raises
    ------
    UnreadableFile
        If a document is none of this version, was changed, holds what cannot be, or is given
        twice: the same log would count as two operators who are alike.
    """
    wears = respelled([sound_document(each) for each in documents])
    _refuse_twice(documents)
    every = [(catalogue_of(each), breaks_of(each)) for each in documents]
    priced, strange = in_first_currency(documents, every)
    catalogues = [parts for parts, _ in priced if parts is not None]
    breaks = pd.concat([steps for _, steps in priced], ignore_index=True)
    sources = pd.DataFrame([each["learnt_from"] for each in documents])
    if len(wears) > 1:
        sources = sources.join(pd.DataFrame(left_out_operators(wears)))
    settings: dict[str, str] = {}
    for each in reversed(documents):
        settings |= each["settings"]
    wear = pool_wear(wears)
    return Learnt(
        wear=wear,
        settings=inherited(settings),
        as_of=pd.Series([date_of(each) for each in documents]).max(),
        parts=_first_lines(catalogues, wear.classes),
        price_breaks=breaks.drop_duplicates(["part", "from_pieces"], ignore_index=True),
        told=(*strange, *_of_prices(catalogues), *_of_operators(sources)),
        unread=_set_aside(documents),
        sources=sources,
    )


def sound_document(document: dict[str, Any]) -> Wear:
    """The wear in a document of this version that nobody changed.

    Raises
    ------
    UnreadableFile
    """
    if isinstance(document, dict) and document.get("format") == FORMAT:
        refuse_changed(document)
    return wear_of_rates(document)


def _refuse_twice(documents: Sequence[dict[str, Any]]) -> None:
    if len({each[DIGEST] for each in documents}) < len(documents):
        raise UnreadableFile(
            "The same rates are given twice, and would count as two operators who are alike: give "
            "each operator's file once."
        )


def _first_lines(catalogues: list[pd.DataFrame], classes: Sequence[str]) -> pd.DataFrame | None:
    """The first line of each part, its price from the first catalogue that has one.

    Wear classes are spelled as the rates spell them.
    """
    if not catalogues:
        return None
    both = pd.concat(catalogues, ignore_index=True)
    first = both.drop_duplicates("part", ignore_index=True)
    priced = both.dropna(subset=["price"]).drop_duplicates("part").set_index("part")["price"]
    spelled = first_spellings([*classes, *first["wears_as"]])
    return first.assign(
        price=first["part"].map(priced).astype(float),
        wears_as=[name if name in classes else spelled[name] for name in first["wears_as"]],
    )


def _set_aside(documents: Sequence[dict[str, Any]]) -> pd.DataFrame:
    counts: dict[str, int] = {}
    for each in documents:
        for table, rows in each.get("set_aside", {}).items():
            counts[table] = counts.get(table, 0) + rows
    told = [
        Problem("rates", table, tuple(range(1, rows + 1)), "", "", "set aside", "", "")
        for table, rows in counts.items()
    ]
    return rows_set_aside(told, UNREAD)


def _of_prices(catalogues: list[pd.DataFrame]) -> list[Problem]:
    """Parts that several rates files price differently."""
    if len(catalogues) < 2:
        return []
    prices = pd.concat(catalogues).groupby("part")["price"].nunique()
    odd = sorted(map(str, prices.index[prices > 1]))
    if not odd:
        return []
    return [
        Problem("rates", "parts", (), "price", "", "note",
                f"the rates files price {listed(odd)} differently; the first one's price holds",
                "Write the price that holds into the proposal's parts", float(len(odd)))
    ]  # fmt: skip


def _of_operators(sources: pd.DataFrame) -> list[Problem]:
    """One operator's log says nothing of others."""
    if sources["operators"].sum() > 1:
        return []
    return [
        Problem("rates", "", (), "", "", "note",
                "the rates are of one operator, so they cannot tell how operators differ; a usual "
                "difference is allowed for",
                "Give several operators' rates, each with --rates")
    ]  # fmt: skip
