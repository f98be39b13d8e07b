"""The logbook as checked tables.

`read_logbook` is the one way in. What comes out is clean: names are one spelling, dates are
midnight timestamps, numbers are floats, rows that could not be used are gone and told.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, fields, replace
from pathlib import Path
from typing import NamedTuple

import pandas as pd

from wearcast.errors import UnknownChoice
from wearcast.logbook.findings.drafts import Drafts, tallies
from wearcast.logbook.frames import FRAMES, clean_frames
from wearcast.logbook.layout import Laid, lay_out_all
from wearcast.logbook.mapping import own_headings, read_mapping
from wearcast.logbook.reshape.reshape import headings_of, reshape
from wearcast.logbook.rules.judge import checked
from wearcast.logbook.rules.unknown_kinds import tell_unknown_kinds
from wearcast.logbook.sheets.dates import Order, order_named, read_date
from wearcast.logbook.sources.files import read_sheets
from wearcast.logbook.sources.frames import sheet_of
from wearcast.logbook.sources.sheet import Sheet
from wearcast.told import Problem, Tally, under_headings


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Logbook:
    """One frame a table, cleaned and canonically sorted (see `wearcast.logbook.schema.tables`).

    Every frame has exactly the declared columns, in that order, then ``source`` (str) and
    ``row`` (int, as the spreadsheet shows it). An absent table is an empty frame with those
    columns and dtypes: names and texts are str objects with "" for blank, numbers and counts
    are float64 with nan for blank, dates datetime64[ns] with NaT, yes_no bool.

    What the reader has already settled:

    - ``machines``: one row a machine and ``since``; every known machine is there (also one that
      only readings name), site and depot filled (``main`` where blank).
    - ``changes``: cause filled (blank is worn), part "" where blank, ``observed`` (bool) False on
      a row that stands for a set-aside change: machine and position (and date or NaT) are known
      but nothing else, so the spell around it must be cut there and kept out of the fit.
    - ``floors``: shares of one machine and ``since`` sum to 1; the first set extends back (NaT).
      A machine without rows has none here (its floor is ``unknown``).
    - ``parts``: one row a part, also parts without a catalogue line (``catalogued`` bool False);
      kind, wears_as, edges, pack (1) and min_order (0) filled; price is the one-piece price.
    - ``price_breaks``: part, from_pieces, price; one row a break, the one-piece price included.
    - ``stock``, ``on_order``: depot filled. An order that came has ``arrived`` (bool) True;
      ``received`` is NaT where only yes was written.
    """

    machines: pd.DataFrame
    readings: pd.DataFrame
    changes: pd.DataFrame
    floors: pd.DataFrame
    parts: pd.DataFrame
    price_breaks: pd.DataFrame
    positions: pd.DataFrame
    stock: pd.DataFrame
    on_order: pd.DataFrame
    suppliers: pd.DataFrame
    plans: pd.DataFrame
    depots: pd.DataFrame
    settings: dict[str, str]
    """Settings as written, checked; only those given."""
    as_of: pd.Timestamp
    sources: tuple[str, ...]
    told: tuple[Problem, ...] = ()
    tallies: tuple[Tally, ...] = ()
    headings: dict[tuple[str, str, str], str] = field(default_factory=dict)
    """Source, table and column -> the heading of the person's own, where a mapping read it."""
    proposal: bool = False
    """True for a proposed fleet: no readings, no changes; see `wearcast.decisions.quotes`."""

    @classmethod
    def from_frames(
        cls,
        *,
        as_of: object = None,
        dates: str | None = None,
        proposal: bool = False,
        **tables: pd.DataFrame,
    ) -> "Logbook":
        """One checked logbook from pandas tables.

        Parameters
        ----------
        as_of, dates, proposal
            As for `read_logbook`.
        **tables : DataFrame
            By the table's name (``readings``, ``changes``, ``machines`` ...), with its columns as
            in a file; findings count rows from 2, as a spreadsheet would show them.

        Raises
        ------
        UnknownChoice
            If a name is none of a table; else as for `read_logbook`.
        """
        sheets = [sheet_of(name, frame) for name, frame in tables.items()]
        return _judged(_laid_out(sheets, [], dates, proposal), as_of, proposal)

    def __repr__(self) -> str:
        """How many rows of which tables, and until when."""
        held = {each.name: getattr(self, each.name) for each in fields(self)}
        tables = {name: one for name, one in held.items() if isinstance(one, pd.DataFrame)}
        words = ", ".join(f"{len(one)} {name}" for name, one in tables.items() if len(one))
        return f"<Logbook as of {self.as_of:%Y-%m-%d}: {words}; {len(self.told)} findings>"


def read_logbook(
    *paths: str | Path | Iterable[str | Path],
    as_of: object = None,
    dates: str | None = None,
    proposal: bool = False,
) -> Logbook:
    """One checked logbook from one or several workbooks, folders, CSV or database files.

    Parameters
    ----------
    *paths
        Where the tables are; several logbooks are joined.
    as_of : date or text, optional
        The day the forecast stands on; rows later than it are passed over.
    dates : {"day first", "month first"}, optional
        How dates with two readings are meant.
    proposal : bool
        True for a fleet that nobody has measured: readings and changes may be missing.

    Raises
    ------
    UnreadableFile, UnusableTable, UnknownChoice, NothingToFit
        If no forecast can come of it; the message says why and what to do.
    """
    # The sheets are gone before the tables of them are judged: of a large fleet a tenth of memory.
    return _judged(_laid_out(*read_sheets(_each_once(paths)), dates, proposal), as_of, proposal)


class _Tables(NamedTuple):
    """What the sheets became, before the rules."""

    laid: Laid
    mapped: Drafts
    told: tuple[Problem, ...]
    headings: dict[tuple[str, str, str], str]


def _laid_out(
    sheets: Sequence[Sheet], told: Sequence[Problem], dates: str | None, proposal: bool
) -> _Tables:
    """The first half of the story: the mapping, the sheets through it, and tables of them."""
    setting = _order(dates)
    mapping, mapped = read_mapping(sheets)
    made, undecided = reshape(sheets, mapping)
    laid = lay_out_all(made, own_headings(mapping), setting, proposal)
    return _Tables(laid, mapped, (*told, *undecided), headings_of(made))


def _judged(tables: _Tables, as_of: object, proposal: bool) -> Logbook:
    """The second half: what the rules leave of the tables."""
    laid = tables.laid
    refused = {tally.table for tally in laid.left_out}
    given = _given_day(as_of, laid.settings.get("as_of"))
    drafts, day, passed = checked(laid.drafts, refused, given, proposal)
    told = (*tables.told, *passed)
    return _as_logbook(drafts | tables.mapped, laid, day, told, proposal, tables.headings)


def _order(asked: str | None) -> Order | None:
    if asked is None:
        return None
    order = order_named(asked)
    if order is None:
        raise UnknownChoice(f'dates "{asked}": write day first or month first.')
    return order


def _each_once(paths: Iterable[str | Path | Iterable[str | Path]]) -> list[str | Path]:
    """The paths in one list, each place on the disk once."""
    once: dict[Path, str | Path] = {}
    for given in paths:
        for path in (given,) if isinstance(given, (str, Path)) else given:
            once.setdefault(Path(path).absolute(), path)
    return list(once.values())


def _given_day(asked: object, setting: str | None) -> pd.Timestamp | None:
    """The as-of date that was asked for, if any."""
    if asked is None:
        return pd.Timestamp(setting) if setting else None
    dated = read_date(asked)
    if dated.day is None or dated.serial:
        raise UnknownChoice(f'as-of "{asked}": write the day as year-month-day, 2026-11-30.')
    return pd.Timestamp(dated.day)


def _as_logbook(
    drafts: Drafts,
    laid: Laid,
    as_of: pd.Timestamp,
    told: tuple[Problem, ...],
    proposal: bool,
    headings: dict[tuple[str, str, str], str],
) -> Logbook:
    """The drafts as the record that the other rooms read."""
    frames = clean_frames(drafts, proposal)
    found = [*told, *laid.told, *(problem for one in drafts.values() for problem in one.told)]
    found += tell_unknown_kinds(frames["parts"], frames["changes"])
    counts = [*laid.left_out, *(tally for one in drafts.values() for tally in tallies(one))]
    return Logbook(
        **{name: frames[name] for name in FRAMES},
        settings=laid.settings,
        as_of=as_of,
        sources=tuple(sorted({laid.files[tally.source] for tally in counts})),
        told=by_weight(under_headings(found, headings)),
        tallies=tuple(sorted(counts, key=lambda one: (one.source, one.table))),
        headings=headings,
        proposal=proposal,
    )


def by_weight(found: Iterable[Problem]) -> tuple[Problem, ...]:
    """Findings in the order of what they do to the order and the price."""
    gravest_first = ("set aside", "repaired", "note")
    return tuple(
        sorted(found, key=lambda one: (-one.weight, gravest_first.index(one.severity), one))
    )


def book_as_of(book: Logbook, date: pd.Timestamp) -> Logbook:
    """The logbook as it stood at the end of an earlier day.

    Gone are readings, changes and counts after it; plans, moves and floor changes that begin
    after it; retirements after it; machines first seen after it; and, as nobody wrote down when
    they were placed, the open orders. Positions and catalogue are taken as they are.

    Raises
    ------
    ValueError
        If the day is later than the logbook's own as-of.
    """
    if date > book.as_of:
        raise ValueError(f"{date:%Y-%m-%d} is later than the logbook's {book.as_of:%Y-%m-%d}")
    if date == book.as_of:
        return book
    kept = {
        "readings": book.readings[book.readings["date"].le(date)],
        "changes": book.changes[~book.changes["date"].gt(date)],
        "floors": book.floors[~book.floors["since"].gt(date)],
        "stock": book.stock[book.stock["counted"].le(date)],
        "on_order": book.on_order[:0],
        "plans": book.plans[book.plans["start"].le(date)],
        "positions": book.positions,
    }
    machines = _machines_then(book, date)
    here = set(machines["machine"])
    kept = {
        name: rows[rows["machine"].isin(here)] if "machine" in rows else rows
        for name, rows in kept.items()
    }
    named = {*kept["changes"]["part"], *kept["positions"]["part"], *kept["changes"]["position"]}
    kept["parts"] = book.parts[book.parts["catalogued"] | book.parts["part"].isin(named)]
    kept = {name: rows.reset_index(drop=True) for name, rows in kept.items()}
    settings = {name: value for name, value in book.settings.items() if name != "as_of"}
    return replace(
        book,
        machines=machines,
        readings=kept["readings"],
        changes=kept["changes"],
        floors=kept["floors"],
        parts=kept["parts"],
        positions=kept["positions"],
        stock=kept["stock"],
        on_order=kept["on_order"],
        plans=kept["plans"],
        settings=settings,
        as_of=date,
    )


def _machines_then(book: Logbook, date: pd.Timestamp) -> pd.DataFrame:
    """The machines that were there: in service by then, or seen by then, or never seen at all."""
    machines = book.machines
    seen = pd.concat([book.readings[["machine", "date"]], book.changes[["machine", "date"]]])
    first_seen = machines["machine"].map(seen.groupby("machine")["date"].min())
    first_day = machines[["in_service"]].assign(seen=first_seen).min(axis=1)
    moved = machines["since"].gt(date)
    only = ~machines["machine"].isin(machines.loc[~moved, "machine"])
    there = machines[~first_day.gt(date) & (~moved | only)]
    retired = there["retired"].where(there["retired"].le(date))
    return there.assign(retired=retired).reset_index(drop=True)
