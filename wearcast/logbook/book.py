"""The logbook as checked tables.

`read_logbook` is the one way in. What comes out is clean: names are one spelling, dates are
midnight timestamps, numbers are floats, rows that could not be used are gone and told.
"""

from dataclasses import dataclass

import pandas as pd

from wearcast.told import Problem, Tally


@dataclass(frozen=True, slots=True)
class Logbook:
    """One frame a table, cleaned and canonically sorted (see `wearcast.logbook.tables`).

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
    - ``stock``, ``on_order``: depot filled.
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
    plans: pd.DataFrame
    settings: dict[str, str]
    """Settings as written, checked; only those given."""
    as_of: pd.Timestamp
    sources: tuple[str, ...]
    told: tuple[Problem, ...] = ()
    tallies: tuple[Tally, ...] = ()
    proposal: bool = False
    """True for a proposed fleet: no readings, no changes; see `wearcast.decisions.quotes`."""
