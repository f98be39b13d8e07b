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

from wearcast.history.steps import Bools, Ints, codes_of, last_true, starts_of
from wearcast.logbook.findings.orders import with_columns

ACTION_ORDER = {"turn": 0, "remove": 1, "fit": 2, "": 3}
"""On one day and one meter value: an edge is turned, then taken off, then the new part goes on."""

COUNTED = (
    *("part_before", "part", "edges", "edges_before", "edge", "ends", "assumed", "missed"),
    *("known_start", "on"),
)
"""The columns that the count gives or fills."""


def count_edges(lines: pd.DataFrame, parts: pd.DataFrame) -> pd.DataFrame:
    """Every written line with the part and edge that it leaves at work.

    Parameters
    ----------
    lines : DataFrame
        place (code of machine and position), position, action, part ("" where blank), carried
        (part of the positions table, "" where none), observed (False: could not be read), newcomer
        (True: the machine had come with unused parts by then); sorted by place and time.
    parts : DataFrame
        part (sorted), edges.

    Returns
    -------
    DataFrame, the lines with
        ``part_before``, ``edges_before`` and ``part``, ``edges`` (before and after the line),
        ``edge`` (after; nan: unknown or nothing there), ``ends`` (a spell ends, or would, at this
        line; False for an end-for-end turn), ``assumed`` (a turn past the last edge), ``missed``
        (a fit before this line was not written), ``known_start`` (an unused edge went to work at
        this line), ``on`` (a part is there after the line).
    """
    place = lines["place"].to_numpy()
    after, before, named = _parts_at(lines, parts["part"])
    edges = parts["edges"].to_numpy(dtype=float)[after].astype(np.int64)
    action = lines["action"].to_numpy(dtype=object)
    is_turn, is_fit, is_remove = action == "turn", action == "fit", action == "remove"
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
    name, count = parts["part"].to_numpy(dtype=object), parts["edges"].to_numpy(dtype=float)
    return with_columns(
        lines,
        {
            "part_before": name[before],
            "part": name[after],
            "edges": edges,
            "edges_before": count[before].astype(np.int64),
            "edge": np.where(unknown | ~on, np.nan, turns % edges + 1.0),
            "ends": ends,
            "assumed": assumed,
            "missed": missed,
            "known_start": observed & (is_fit | (is_turn & (edges > 1))),
            "on": on,
        },
    )


def _parts_at(lines: pd.DataFrame, part_names: pd.Series) -> tuple[Ints, Ints, Ints]:
    """Codes of the part after and before each line, and of the part that it names (-1: none).

    A blank fit takes the position's part, else the last one; a blank turn or removal is of the
    part that is there.
    """
    place = lines["place"].to_numpy()
    known = pd.Index(part_names)
    named = codes_of(lines["part"], known)
    # What its table and its name say of a place is the same on all its lines.
    first = starts_of(place)
    carried, position = (
        codes_of(lines[name][first], known)[np.cumsum(first) - 1]
        for name in ("carried", "position")
    )
    own = np.where(carried >= 0, carried, position)
    is_fit = lines["action"].eq("fit").to_numpy()
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
