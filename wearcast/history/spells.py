"""One row an edge at work, from when it went to the floor until it was turned or last seen.

Spells are [start, end) in run hours. The first spell of a position, of which only the end was
written, has no start and counts from the machine's first reading, of which only a part may have
been watched; on a machine that came with unused parts it starts with the machine. A spell without
a start and every one around a line that could not be read stay out of the fit.
"""

from dataclasses import dataclass

import numpy as np
import pandas as pd

from wearcast.history.edges import ACTIONS, FIT, REMOVE, UNREAD
from wearcast.history.steps import Bools, Ints, ends_of, placed, starts_of
from wearcast.logbook.findings.orders import with_columns

ENDS = (*ACTIONS, "assumed fit", "retired", "running")
"""How spells end: by the action of a line, or so."""
ASSUMED, RETIRED, RUNNING = range(len(ACTIONS), len(ENDS))
"""The end's code: its place in `ENDS`."""
HANDLED = (*ACTIONS[:UNREAD], "assumed fit")
"""Ends at which somebody saw to the edge."""
REPLACES = (FIT, REMOVE, ASSUMED)
"""Ends after which the part is off."""


def cut_spells(
    counted: pd.DataFrame, first_seen: pd.DataFrame, last_seen: pd.DataFrame
) -> pd.DataFrame:
    """Spells of every place with a written line, in order of place and time.

    Parameters
    ----------
    counted : DataFrame
        Lines as `wearcast.history.edges.count_edges` leaves them, with day, run (hours),
        on_curve (bool) and outfit (bool: an initial outfit).
    first_seen : DataFrame, index: place
        How each place begins: day, run (nan: never watched), new (bool).
    last_seen : DataFrame, index: place
        How each place ends: day, run, on_curve, retired (bool).

    Returns
    -------
    DataFrame
        place, part (code), edge, start_day and end_day (start: from when it was watched), begin
        and finish (run hours), watched (run hours from when it was), ended (code, see `ENDS`),
        end_turns, known_start, in_fit, forward, change (of the line that began the spell, or ended
        it where none did), end_change (of the one that ended it; -1: none).
    """
    lines = _spell_lines(counted)
    begun = _begun(lines, counted, first_seen)
    whole = _with_ends(begun, lines, counted, last_seen)
    added = {"in_fit": _in_fit(whole), "forward": _forward(whole)}
    return with_columns(whole, added).drop(columns=["sure", "sure_end", "same_part", "unbegun"])


@dataclass(frozen=True, slots=True)
class _Lines:
    """Which lines each spell stands between; arrays (spells,)."""

    line: Ints
    """Row of the line that began it or, where none did, of the first line of its place."""
    unbegun: Bools
    """True where it ran when the log of its place began."""
    end: Ints
    """Row of the line that ended it; -1: none did."""


def _spell_lines(counted: pd.DataFrame) -> _Lines:
    """The spells in order of place and time: one before the first line of a place, one after each.

    A place whose log began with its outfit has none before; nor is there one while it was empty.
    """
    place = counted["place"].to_numpy()
    first = np.flatnonzero(starts_of(place) & ~counted["outfit"].to_numpy(dtype=bool))
    ends = np.flatnonzero(counted["ends"])
    line, unbegun = np.append(first, ends), np.arange(len(first) + len(ends)) < len(first)
    order = np.argsort(place[line], kind="stable")
    line, unbegun = line[order], unbegun[order]
    end = np.append(line[1:], -1)[: len(line)]
    end[ends_of(place[line])] = -1
    there = unbegun | counted["on"].to_numpy(dtype=bool)[line]
    return _Lines(line[there], unbegun[there], end[there])


def _begun(lines: _Lines, counted: pd.DataFrame, first_seen: pd.DataFrame) -> pd.DataFrame:
    """How each spell began: the state that its line left, or that was there before the first."""
    line, unbegun = lines.line, lines.unbegun
    at = np.flatnonzero(unbegun)
    columns = {
        name: counted[of].to_numpy()[line]
        for name, of in (
            *((one, one) for one in ("place", "part", "edge", "known_start", "change")),
            *(("start_day", "day"), ("begin", "run"), ("sure", "on_curve")),
        )
    }
    columns["start_day"] = columns["start_day"].astype(float)
    columns["watched"] = columns["begin"].copy()
    seen = first_seen.loc[columns["place"][at]]
    new, run = (seen[name].to_numpy() for name in ("new", "run"))
    one_edge = counted["edges_before"].to_numpy()[line[at]] == 1
    for name, before in (
        ("part", counted["part_before"].to_numpy()[line[at]]),
        ("edge", np.where(one_edge | new, 1.0, np.nan)),
        ("start_day", seen["day"].to_numpy()),
        ("begin", np.where(new, run, 0.0)),
        ("watched", run),
        ("known_start", new),
        ("sure", True),
    ):
        columns[name][at] = before
    return pd.DataFrame({**columns, "unbegun": unbegun}, copy=False)


def _with_ends(
    begun: pd.DataFrame, lines: _Lines, counted: pd.DataFrame, last_seen: pd.DataFrame
) -> pd.DataFrame:
    """Each spell with the line that ended it, or with where its place was last seen."""
    at = lines.end
    goes_on = at >= 0
    last = np.flatnonzero(~goes_on)
    seen = last_seen.loc[begun["place"].to_numpy()[last]]
    pick = {name: counted[name].to_numpy()[at] for name in ("day", "run", "on_curve")}
    for name, column in pick.items():
        column[last] = seen[name]
    observed = placed(counted["observed"], at, True)
    missed = placed(counted["missed"], at, False)
    assumed = missed | placed(counted["assumed"], at, False)
    ended = np.where(assumed, ASSUMED, placed(counted["action"], at, UNREAD)).astype(np.int8)
    ended[~observed] = UNREAD
    ended[last] = np.where(seen["retired"], RETIRED, RUNNING)
    finish = np.maximum(pick["run"], begun["begin"].to_numpy())
    sure_end = pick["on_curve"].astype(bool) & observed & ~missed
    ended_line = {
        "start_day": np.fmin(begun["start_day"].to_numpy(), pick["day"]).astype(np.int32),
        "end_day": pick["day"].astype(np.int32),
        "finish": finish,
        # What nobody watched before its end was seen for no time at all.
        "watched": np.fmin(begun["watched"].to_numpy(), finish),
        "ended": ended,
        "end_change": placed(counted["change"], at, -1),
        "sure": begun["sure"].to_numpy() & sure_end,
        "sure_end": sure_end & goes_on,
        "same_part": placed(counted["part"], at, -1) == begun["part"].to_numpy(),
        "end_turns": _end_turns(lines, counted),
    }
    return with_columns(begun, ended_line)


def _end_turns(lines: _Lines, counted: pd.DataFrame) -> Ints:
    """End-for-end turns during each spell."""
    place, turned = counted["place"].to_numpy(), ~counted["ends"].to_numpy(dtype=bool)
    so_far = np.cumsum(turned)
    last = np.flatnonzero(ends_of(place))
    end = lines.end.copy()
    goes_on = end < 0
    end[goes_on] = last[np.searchsorted(last, lines.line[goes_on])]
    before = so_far[lines.line] - (lines.unbegun & turned[lines.line])
    return np.asarray(so_far[end] - before)


def _in_fit(whole: pd.DataFrame) -> pd.Series:
    """A spell teaches wear if both its ends are sure and it ran at all."""
    ran = whole["finish"].sub(whole["begin"]).gt(0)
    return whole["known_start"] & whole["sure"] & ran


def _forward(whole: pd.DataFrame) -> pd.Series:
    """Whether a spell of unknown start was watched to a sure end.

    Which part it was is taken for known if the same one was there after its end.
    """
    first = whole["unbegun"] & ~whole["known_start"]
    ran = whole["finish"].sub(whole["watched"]).gt(0)
    return first & whole["sure_end"] & whole["same_part"] & ran
