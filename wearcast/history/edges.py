"""Which edge was at work after each written change.

Lines are the changes of one position in the order in which they happened. A *base* is a line
after which the count begins anew: a fit, a removal, the first line, a line that shows that a fit
was not written down, or one that could not be read. After a fit, and on a machine that came with
unused parts, the edge is known: each turn adds one, and a turn past the last edge is taken for a
fit. After another base the edge is unknown until so many turns followed that it can only be the
last.
"""

import numpy as np
import pandas as pd

from wearcast.history.steps import Bools, Ints, last_true, starts_of
from wearcast.logbook.findings.orders import with_columns

ACTIONS = ("turn", "remove", "fit", "")
"""On one day and one meter value: an edge is turned, then taken off, then the new part goes on."""
TURN, REMOVE, FIT, UNREAD = range(4)
"""An action's code, by which lines have it: its place in `ACTIONS`."""

COUNTED = (
    *("part_before", "part", "edges_before", "edge", "ends", "assumed", "missed"),
    *("known_start", "on"),
)
"""The columns that the count gives or fills."""


def count_edges(lines: pd.DataFrame, places: pd.DataFrame, parts: pd.DataFrame) -> pd.DataFrame:
    """Every written line with the part and edge that it leaves at work.

    Parameters
    ----------
    lines : DataFrame
        place (row of places), action (code), part (code; -1 where blank), observed (False: could
        not be read), newcomer (True: the machine had come with unused parts by then); sorted by
        place and time.
    places : DataFrame
        carried (code of the part in the positions table; -1: none), own (the same, else the code
        of the position's own name).
    parts : DataFrame
        edges; a part's code is its row.

    Returns
    -------
    DataFrame, the lines with
        ``part_before`` and ``part`` (codes, before and after the line), ``edges_before`` (of the
        part before it), ``edge`` (after; nan: unknown or nothing there), ``ends`` (a spell ends,
        or would, at this line; False for an end-for-end turn), ``assumed`` (a turn past the last
        edge), ``missed`` (a fit before this line was not written), ``known_start`` (an unused edge
        went to work at this line), ``on`` (a part is there after the line).
    """
    place = lines["place"].to_numpy()
    after, before, named = _parts_at(lines, places)
    edges_of = parts["edges"].to_numpy().astype(np.int32)
    edges = edges_of[after]
    action = lines["action"].to_numpy()
    is_turn, is_fit, is_remove = action == TURN, action == FIT, action == REMOVE
    observed = lines["observed"].to_numpy(dtype=bool)
    first = starts_of(place)
    empty = ~first & np.roll(is_remove & observed, 1)
    after_cut = ~first & ~np.roll(observed, 1)
    other_part = (named >= 0) & (named != before) & ~empty
    missed = observed & ~first & ~after_cut & ~is_fit & (other_part | (is_turn & empty))
    ends = ~is_turn | (edges > 1) | missed | ~observed
    base = first | is_fit | is_remove | ~observed | missed
    turns = _turns_since(base, is_turn & ends, place)
    from_new = first & lines["newcomer"].to_numpy(dtype=bool)
    known = ((is_fit | from_new) & observed)[last_true(base, place)]
    unknown = ~known & (turns < edges - 1)
    on = ~(is_remove & observed)
    assumed = is_turn & ends & ~missed & (turns > 0) & (turns % edges == 0)
    return with_columns(
        lines,
        {
            "part_before": before,
            "part": after,
            "edges_before": edges_of[before],
            "edge": np.where(unknown | ~on, np.nan, turns % edges + 1.0),
            "ends": ends,
            "assumed": assumed,
            "missed": missed,
            "known_start": observed & (is_fit | (is_turn & (edges > 1))),
            "on": on,
        },
    )


def _parts_at(lines: pd.DataFrame, places: pd.DataFrame) -> tuple[Ints, Ints, Ints]:
    """Codes of the part after and before each line, and of the part that it names (-1: none).

    A blank fit takes the position's part, else the last one; a blank turn or removal is of the
    part that is there.
    """
    place, named = lines["place"].to_numpy(), lines["part"].to_numpy()
    first = starts_of(place)
    carried, own = (places[name].to_numpy()[place] for name in ("carried", "own"))
    is_fit = lines["action"].to_numpy() == FIT
    told = np.where((named < 0) & is_fit, carried, named)
    last = last_true(told >= 0, place)
    after = np.where(last >= 0, told[last], own)
    before_first = np.where((named >= 0) & ~is_fit, named, np.where(carried >= 0, carried, after))
    before = np.where(first, before_first, np.roll(after, 1))
    return after, before, named


def _turns_since(base: Bools, turned: Bools, place: Ints) -> Ints:
    """Turns since the base of each line, a base that is itself a turn included."""
    so_far = np.cumsum(turned)
    at = last_true(base, place)
    return np.asarray(so_far - so_far[at] + turned[at], dtype=np.int64)
