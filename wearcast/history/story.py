"""What happened, as one record: `read_history` tells the story of this room.

Run hours count from a machine's first reading (a machine's curve starts at 0 there, or later
than 0 if the first row is an hours value on a change). A date means the end of that day; spells
are [start, end).
"""

from dataclasses import dataclass

import pandas as pd

from wearcast.told import Problem


@dataclass(frozen=True, slots=True)
class History:
    """What the logbook tells about the past, up to and including ``as_of``."""

    as_of: pd.Timestamp
    meters: pd.DataFrame
    """One row a knot of a machine's curve: machine, date, hours (run hours, never falling);
    sorted by machine, date, hours. The last knot of a machine stands at as-of or, for a machine
    silent for more than 60 days, 60 days after its last reading."""
    machines: pd.DataFrame
    """One row a machine (index: machine, sorted): site, depot (at as-of), hours (run hours at
    as-of), hours_per_week (recent rate), first_date, last_date (of readings or changes; NaT
    without any), silent_days, in_service, retired (NaT: none), m2_per_hour, width_cm."""
    spells: pd.DataFrame
    """One row an edge at work, running ones too: machine, site (at its end), position, part,
    wears_as, kind, edge (float, nan: unknown), edges, start, end (NaT start: unknown), hours,
    cause (worn, damaged, planned, other, running), ended (see ``tables.ENDED``), replaced (bool:
    the part came off at the end of this spell), pieces, end_turns (end-for-end turns during the
    spell), rate_end (name of no floor: the floor mix at the end is in `end_mix`), in_fit (bool)."""
    exposure: pd.DataFrame
    """Same index as spells, one column a floor (sorted): hours of the spell on that floor [h]."""
    end_mix: pd.DataFrame
    """Same index and columns: share of each floor in force when the spell ended (sums to 1)."""
    running: pd.DataFrame
    """One row a position carried at as-of (index 0..n-1, sorted by machine, position): machine,
    site, depot, position, part, wears_as, kind, edges, edge (float, nan: unknown), pieces, age
    (``known``: exposure so far is known; ``new``: starts unused at as-of or at in_service;
    ``unknown``: draw from the long-run age distribution; ``empty``: removed, refitted the next
    day, which uses pieces), last_position_date. Retired machines have no rows."""
    running_exposure: pd.DataFrame
    """Same index as running, one column a floor: hours so far on the edge now at work [h]."""
    mixes: pd.DataFrame
    """Floor shares by machine and since: machine, since (NaT-free; -inf is pd.Timestamp.min), then
    one column a floor, rows sum to 1. Every machine has at least one row."""
    uses: pd.DataFrame
    """One row a use of pieces: machine, site, depot, position, part, date, pieces, cause. A fit
    that replaces a part (an assumed one too); an initial outfit is not use."""
    floors: tuple[str, ...]
    """The floor names, sorted: the columns of exposure, end_mix and mixes."""
    told: tuple[Problem, ...] = ()
