"""What happened, as one record: `read_history` tells the story of this room.

Run hours count from a machine's first reading (a machine's curve starts at 0 there, or later
than 0 if the first row is an hours value on a change). A date means the end of that day; spells
are [start, end).
"""

from dataclasses import dataclass, field

import numpy as np
import pandas as pd

from wearcast.history.exposure import mix_table, read_mixes
from wearcast.history.meters import day_number, read_meters
from wearcast.history.much_aside import tell_much_aside
from wearcast.history.places.change_findings import tell_changes
from wearcast.history.places.lines import (
    count_lines,
    order_lines,
    part_lines,
    read_places,
    with_parts,
)
from wearcast.history.places.newcomers import new_since
from wearcast.history.places.running import running_places
from wearcast.history.places.stations import read_stations
from wearcast.history.places.together import spread_together
from wearcast.history.places.uses import count_uses
from wearcast.history.places.watched import (
    days_written,
    first_seen,
    last_seen,
    running_until_silence,
    spells_until_silence,
)
from wearcast.history.quarters import spell_quarters
from wearcast.history.readings.curve import REACH_DAYS
from wearcast.history.shown import (
    machine_table,
    meter_table,
    running_exposure,
    running_table,
    spell_end_mix,
    spell_exposure,
    spell_table,
)
from wearcast.history.silence import tell_silence
from wearcast.history.spells import cut_spells
from wearcast.logbook.book import Logbook
from wearcast.logbook.findings.orders import with_columns
from wearcast.told import Problem


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class History:
    """What the logbook tells about the past, up to and including ``as_of``."""

    as_of: pd.Timestamp
    meters: pd.DataFrame
    """One row a knot of a machine's curve: machine, date, hours (run hours, never falling), read
    (bool: False on a knot at the recent rate, beyond the readings); sorted by machine, date,
    hours. The last knot of a machine stands at as-of or, for a machine silent for more than 60
    days, 60 days after its last reading; of a retired one, no later than the day it retired."""
    machines: pd.DataFrame
    """One row a machine (index: machine, sorted): site, depot (at as-of), hours (run hours at
    as-of), hours_per_week (recent rate; nan: never seen to run), first_date, last_date (of
    readings or changes; NaT without any), silent_days (from the last meter value to as-of or the
    day it retired; nan: none), in_service, retired (NaT: none), m2_per_hour, width_cm."""
    spells: pd.DataFrame
    """One row an edge at work, running ones too: machine, site (at its end), position, part,
    wears_as, kind, edge (float, nan: unknown), edges, start, end (NaT start: unknown), hours,
    cause (worn, damaged, planned, other, unknown, running; the last for a retired machine too),
    ended (see ``tables.ENDED``), replaced (bool: the part came off at the end of this spell),
    pieces, end_turns (end-for-end turns during the spell), in_fit (bool), forward (bool),
    silent_since (the last change that its site has written; NaT: none), source and row (of the
    change that began it, or ended it where none did), end_quarter (0: the 91 days that end with
    as-of, 1: the 91 before, ...), by and shift (of the change that ended it, as written), partner
    (bool: an edge at another position of the same machine and kind ended on the same day).

    A spell cut at a set-aside change has cause and ended "". A running spell ends at as-of or, on
    a machine whose meter is silent, where its curve does. The first spell of a position has a
    start, and edge 1, only on a machine that came with unused parts. Else it has the hours from the
    machine's first meter value on. It is watched from then or from the site's first change, if
    that came later than can be luck (60 days at most), and ``forward`` where watched hours ran to
    a sure end of a part that is known: the rest of a life met at a time without meaning."""
    exposure: pd.DataFrame
    """Same index as spells, one column a floor (sorted): hours of the spell on that floor [h]; of
    a first spell without a start only those watched."""
    end_mix: pd.DataFrame
    """Same index and columns: share of each floor in force when the spell ended (sums to 1). Only
    fitting asks for it: in a `Fit` it has no rows, nor has `spell_quarters`."""
    running: pd.DataFrame
    """One row a position carried at as-of (index 0..n-1, sorted by machine, position): machine,
    site, depot, position, part, wears_as, kind, edges, edge (float, nan: unknown), pieces, age
    (``known``: exposure so far is known; ``new``: starts unused at as-of or at in_service;
    ``unknown``: draw from the long-run age distribution; ``empty``: removed, refitted the next
    day, which uses pieces), last_position_date, silent_since (as for spells). Retired machines
    have no rows."""
    running_exposure: pd.DataFrame
    """Same index as running, one column a floor: hours so far on the edge now at work [h]. Where
    no end at the position was ever written and its age is unknown, the hours watched without one;
    where none of its sites ever wrote a change, watching begins with the log's first one."""
    mixes: pd.DataFrame
    """Floor shares by machine and since: machine, since (NaT-free; -inf is pd.Timestamp.min), then
    one column a floor, rows sum to 1. Every machine has at least one row."""
    uses: pd.DataFrame
    """One row a use of pieces: machine, site, depot, position, part, date, pieces, cause. A fit
    that replaces a part (an assumed one too); an initial outfit is not use."""
    floors: tuple[str, ...]
    """The floor names, sorted: the columns of exposure, end_mix and mixes."""
    told: tuple[Problem, ...] = ()
    since_read: pd.DataFrame = field(default_factory=pd.DataFrame)
    """Rows that differ from those of exposure, the same columns: hours watched or not. With them
    in place (`instead`) they add up to the hours of spells; they differ only where a site wrote
    its first change long after its first reading."""
    until_silence: pd.DataFrame = field(default_factory=pd.DataFrame)
    """Rows that differ from those of exposure, the same columns: hours up to ``silent_since`` of
    spells at work to the last (``ended`` running or retired) [h]."""
    running_until_silence: pd.DataFrame = field(default_factory=pd.DataFrame)
    """Same index and columns as running_exposure: the hours of it up to ``silent_since`` [h]; 0
    at a site that never wrote a change."""
    spell_quarters: pd.DataFrame = field(default_factory=pd.DataFrame)
    """One row a spell and quarter in which it ran: spell (label in spells), quarter (as
    end_quarter), hours [h]; those of a spell add up to its exposure."""

    def __repr__(self) -> str:
        """How much happened, and until when."""
        return (
            f"<History of {len(self.machines)} machines until {self.as_of:%Y-%m-%d}:"
            f" {len(self.spells)} spells, {len(self.told)} findings>"
        )


def read_history(book: Logbook) -> History:
    """What happened up to as-of: run hours, edges at work, pieces used.

    Everything follows from the tables; nothing depends on the order of their rows.
    """
    as_of = day_number(book.as_of)
    stations = read_stations(book)
    meters = read_meters(
        book,
        stations.names,
        stations.of_reading,
        stations.of_change,
        np.where(stations.retired <= as_of, stations.retired, np.nan),
    )
    mix = read_mixes(book.floors, meters.curve)
    places, of_change = read_places(book, stations)
    parts = part_lines(book, places)
    places = with_parts(places, parts)
    new = new_since(book, meters, stations, as_of)
    # Of a large fleet each table of lines or spells is a tenth of memory: none outlives its use.
    written = count_lines(order_lines(book, parts, of_change, meters, stations, new), places, parts)
    counted = spread_together(written)
    wrote = days_written(counted, stations)
    begun = first_seen(counted, wrote, places, meters, stations, new, as_of)
    unclear = pd.Index(np.unique(of_change[book.changes["date"].isna()]))
    told = tell_changes(written, book.changes, places, parts, stations.names, unclear)
    del written
    cut = cut_spells(counted, begun, last_seen(counted, places, meters, stations, as_of))
    cut = spells_until_silence(cut, wrote, places, meters, stations)
    clear = ~cut["place"].isin(unclear)
    cut = with_columns(cut, {name: cut[name] & clear for name in ("in_fit", "forward")})
    carried = running_places(places, counted, parts, begun, unclear, stations, new, as_of)
    carried = running_until_silence(carried, wrote, meters, stations, as_of)
    uses = count_uses(counted, book.changes, places, parts, stations)
    del counted, of_change
    machines = machine_table(book, meters, stations, as_of)
    quarters = spell_quarters(cut, places, meters.curve, as_of)
    knots = meter_table(meters.curve)
    silent = (machines["silent_days"] > REACH_DAYS).to_numpy()
    gone = np.asarray(stations.retired <= as_of)
    told = [
        *meters.told,
        *told,
        *tell_silence(book, meters, silent & ~gone, gone),
    ]
    del meters
    watched, since_read, until_silence = spell_exposure(cut, places, mix)
    cut = cut.drop(columns=["watched", "heard"])
    return History(
        as_of=book.as_of,
        meters=knots,
        machines=machines,
        spells=spell_table(cut, book.changes, wrote, places, parts, stations, as_of),
        exposure=watched,
        end_mix=spell_end_mix(cut, places, mix),
        running=running_table(carried, parts, stations, as_of),
        running_exposure=running_exposure(carried, mix),
        mixes=mix_table(mix, stations.names),
        uses=uses,
        floors=mix.floors,
        since_read=since_read,
        until_silence=until_silence,
        running_until_silence=running_exposure(carried, mix, "heard"),
        spell_quarters=quarters,
        told=(*tell_much_aside(book.tallies, told), *told),
    )
