"""Which meter readings can stand together, and where the meter began anew.

Readings are sorted by machine, day and, on one day, by size. A step between two readings of a
machine is possible if it neither falls nor runs more than 24 h a day. An impossible step is
explained, in this order, by a roll-over, by one misreading, by a meter that was reset (at
least two later readings confirm it); else its later reading is set aside. All machines are
worked on at once, round after round, until every step is possible.
"""

from typing import NamedTuple

import numpy as np

from wearcast.history.steps import Bools, Floats, Ints, starts_of

GOES_ON, MARKED, ROLL_10K, ROLL_100K, RESET = range(5)
"""How a reading follows the one before: on the same meter, or after a start of this sort."""
MODULUS = np.array([0.0, 0.0, 10_000.0, 100_000.0, 0.0])
"""Hours added to a step by its start [h]."""

ROLL_REACH = 500.0
"""A meter may roll over from so far under its last figure to so far over zero [h]."""
LIKELY = 3.0
"""A meter that runs up to so many times faster or slower than before goes on as before. Both are
chosen here."""
ROUNDS = 60
NEAR = 3
"""Impossible steps this many readings apart are judged together, one a round."""


class Shown(NamedTuple):
    """Meter readings as arrays of one length, sorted by machine, day and size."""

    machine: Ints
    day: Ints
    hours: Floats
    start: Ints
    """`GOES_ON` or `MARKED` at first; the other sorts are found here."""


def possible(hours: Floats, days: Ints | Floats) -> Bools:
    """Whether so many hours [h] can be run in so many days; readings of one day may be 24 h apart.

    Arrays of any shape, alike.
    """
    return np.asarray((hours >= 0) & (hours <= 24.0 * np.maximum(days, 1) + 1e-9))


def could_go_on(machine: Ints, hours: Floats, day: Ints) -> Bools:
    """Whether each reading may go on from the one before it, of the same machine.

    Arrays (readings,), by machine and in order: machine code, hours [h], day number.
    """
    follows = np.diff(machine, prepend=-1) == 0
    return np.asarray(follows & possible(np.diff(hours, prepend=0), np.diff(day, prepend=0)))


def step_possible(shown: Shown, before: Ints, after: Ints) -> Bools:
    """Whether one reading can follow another; a reading that starts a meter follows any."""
    hours = shown.hours[after] - shown.hours[before]
    days = shown.day[after] - shown.day[before]
    return np.asarray(possible(hours, days) | (shown.start[after] != GOES_ON))


def repair(shown: Shown, kept: Bools) -> tuple[Bools, Ints]:
    """Set readings aside, and find the starts, until every step is possible.

    Returns
    -------
    kept : array of bool (readings,)
    start : array (readings,)
        How each kept reading follows the one before it.
    """
    kept, start = kept.copy(), shown.start.copy()
    live = np.flatnonzero(kept)
    for _ in range(ROUNDS):
        bad = _impossible_steps(shown._replace(start=start), live)
        if len(bad) == 0:
            return _without_excursions(shown, kept, start)
        live = live[np.isin(shown.machine[live], shown.machine[live[bad]])]
        bad = _impossible_steps(shown._replace(start=start), live)
        _explain(_Window(shown._replace(start=start), live, bad), kept, start)
        live = live[kept[live]]
    return _without_excursions(shown, *_give_up(shown, live, kept, start))


def first_marks(shown: Shown) -> Ints:
    """The starts without the marks on readings that go on, of a meter that began beside them.

    A mark on every reading of a new meter counts at the first; one that stands a reading early
    or late counts where the meter falls.
    """
    marked = shown.start == MARKED
    goes_on = could_go_on(shown.machine, shown.hours, shown.day)
    begins = starts_of(shown.machine)
    falls = ~begins & (np.diff(shown.hours, prepend=0) < 0)
    # The reading after the fall is borne out by the one behind it, if there is one.
    early = marked & goes_on & np.roll(falls, -1) & np.roll(goes_on | begins, -2)
    late = marked & goes_on & np.roll(falls, 1) & ~np.roll(marked, 1)
    again = marked & np.roll(marked, 1) & goes_on
    start = np.where(again | early | late, GOES_ON, shown.start)
    start[np.flatnonzero(early) + 1] = MARKED
    start[np.flatnonzero(late) - 1] = MARKED
    return start


def _without_excursions(shown: Shown, kept: Bools, start: Ints) -> tuple[Bools, Ints]:
    """Set aside what lies between two resets where the meter then goes on as before the first.

    Two resets that end where none would have ended are misreadings in a row.
    """
    live = np.flatnonzero(kept)
    new = np.flatnonzero((start[live] != GOES_ON) | starts_of(shown.machine[live]))
    of_reset = start[live[new]] == RESET
    out, back = new[:-1], new[1:]
    before, after = live[np.maximum(out - 1, 0)], live[back]
    pair = of_reset[:-1] & of_reset[1:] & (shown.machine[before] == shown.machine[after])
    hours, days = shown.hours[after] - shown.hours[before], shown.day[after] - shown.day[before]
    # The rate of the meter before it was left, else of the one it came back to.
    begin = live[np.append(0, new[:-1])[: len(out)]]
    end = live[np.append(new[2:], len(live))[: len(out)] - 1]
    rate = _rate(shown, begin, before)
    rate = np.where(np.isnan(rate), _rate(shown, after, end), rate)
    likely = (hours >= rate * days / LIKELY) & (hours <= rate * days * LIKELY)
    found = np.flatnonzero(pair & possible(hours, days) & likely)
    found = found[np.diff(found, prepend=-2) > 1]
    for place in found:
        kept[live[out[place] : back[place]]] = False
        start[live[back[place]]] = GOES_ON
    return kept, start


def _rate(shown: Shown, begin: Ints, end: Ints) -> Floats:
    """Hours a day from one reading to another; nan where no day lies between."""
    days = (shown.day[end] - shown.day[begin]).astype(float)
    hours = shown.hours[end] - shown.hours[begin]
    return np.asarray(np.divide(hours, days, out=np.full(len(days), np.nan), where=days > 0))


def _impossible_steps(shown: Shown, live: Ints) -> Ints:
    """Places in `live` whose step to the next is impossible."""
    same = shown.machine[live[1:]] == shown.machine[live[:-1]]
    return np.flatnonzero(same & ~step_possible(shown, live[:-1], live[1:]))


def _give_up(shown: Shown, live: Ints, kept: Bools, start: Ints) -> tuple[Bools, Ints]:
    """Set aside both ends of whatever is still impossible: the log of that meter is a riddle."""
    while len(bad := _impossible_steps(shown._replace(start=start), live)):
        kept[live[bad]] = kept[live[bad + 1]] = False
        live = live[kept[live]]
    return kept, start


class _Window:
    """The six readings around each impossible step: places -2 to 3; the step is from 0 to 1."""

    def __init__(self, shown: Shown, live: Ints, bad: Ints) -> None:
        place = bad[:, None] + np.arange(-2, 4)
        inside = (place >= 0) & (place < len(live))
        self.row = live[np.clip(place, 0, len(live) - 1)]
        machine = shown.machine[self.row]
        self._there = inside & (machine == machine[:, [2]])
        self.shown = shown
        self.bad = bad

    def there(self, place: int) -> Bools:
        """Whether the machine has a reading at that place."""
        return np.asarray(self._there[:, place + 2])

    def rows(self, place: int) -> Ints:
        return np.asarray(self.row[:, place + 2])

    def hours(self, place: int) -> Floats:
        return np.asarray(self.shown.hours[self.rows(place)])

    def day(self, place: int) -> Ints:
        return np.asarray(self.shown.day[self.rows(place)])

    def follows(self, before: int, after: int) -> Bools:
        """Whether both readings are there and the later can follow the earlier."""
        can = step_possible(self.shown, self.rows(before), self.rows(after))
        return np.asarray(can & self.there(before) & self.there(after))


def _explain(window: _Window, kept: Bools, start: Ints) -> None:
    """Settle one impossible step in each run of near ones; writes into `kept` and `start`."""
    roll = _roll_over(window)
    first_wrong, second_wrong = _one_misreading(window)
    reset = _confirmed_reset(window)
    rolled = roll != GOES_ON
    misread = first_wrong | second_wrong
    settled = rolled | misread | reset
    chosen = _one_a_run(window, settled)
    first = chosen & ~rolled & first_wrong
    found_start = np.where(rolled, roll, np.where(reset & ~misread, RESET, GOES_ON))
    starts = chosen & (found_start != GOES_ON)
    start[window.rows(1)[starts]] = found_start[starts]
    second = chosen & ~first & ~starts
    # A mark outlives the misread figure beside it: the next reading is the new meter's first.
    carries = first & (start[window.rows(0)] != GOES_ON)
    start[window.rows(1)[carries]] = start[window.rows(0)[carries]]
    kept[window.rows(0)[first]] = False
    kept[window.rows(1)[second]] = False


def _one_a_run(window: _Window, settled: Bools) -> Bools:
    """In each run of near impossible steps the first that has an explanation, else the first."""
    machine = window.shown.machine[window.rows(0)]
    begins = starts_of(machine)
    begins[1:] |= np.diff(window.bad) > NEAR
    run = np.cumsum(begins) - 1
    order = np.lexsort((window.bad, ~settled, run))
    chosen = np.zeros(len(run), dtype=bool)
    chosen[order[starts_of(run[order])]] = True
    return chosen


def _roll_over(window: _Window) -> Ints:
    """The sort of roll-over that explains a step, or `GOES_ON`."""
    before, after = window.hours(0), window.hours(1)
    days = window.day(1) - window.day(0)
    borne_out = ~window.there(2) | window.follows(1, 2)
    sort = np.full(len(before), GOES_ON)
    for roll in (ROLL_10K, ROLL_100K):
        top = MODULUS[roll]
        near = (before >= top - ROLL_REACH) & (before < top) & (after < ROLL_REACH)
        sort[near & possible(after + top - before, days) & borne_out] = roll
    return sort


def _one_misreading(window: _Window) -> tuple[Bools, Bools]:
    """Whether the step heals without its first reading, or without its second."""
    carried = window.shown.start[window.rows(0)] != GOES_ON
    into_second = ~window.there(-1) | window.follows(-1, 1) | carried
    out_of_second = ~window.there(2) | window.follows(1, 2)
    first = into_second & out_of_second & (window.there(-1) | window.there(2))
    second = ~window.there(2) | window.follows(0, 2)
    blame_first = first & (~second | _first_is_farther(window))
    return np.asarray(blame_first), np.asarray(second & ~blame_first)


def _first_is_farther(window: _Window) -> Bools:
    """Whether the first reading lies farther than the second from the line of the others."""
    far = np.zeros(len(window.bad), dtype=bool)
    # What was before the first reading of a meter says nothing of it.
    begins = window.shown.start[window.rows(0)] != GOES_ON
    for left, right in ((-1, 2), (2, 3), (-2, -1)):
        usable = window.there(left) & window.there(right) & (window.day(right) > window.day(left))
        if left == 2:
            usable &= begins | ~window.there(-1)
        else:
            usable &= ~begins & ~((left == -2) & window.there(2))
        days = np.where(usable, window.day(right) - window.day(left), 1)
        slope = (window.hours(right) - window.hours(left)) / days
        off = [
            np.abs(
                window.hours(at) - window.hours(left) - slope * (window.day(at) - window.day(left))
            )
            for at in (0, 1)
        ]
        far |= usable & (off[0] > off[1])
    return far


def _confirmed_reset(window: _Window) -> Bools:
    """Whether two later readings follow from the second, and those before agree with the first."""
    settled_before = (~window.there(-1) | window.follows(-1, 0)) & (
        ~window.there(-2) | window.follows(-2, -1)
    )
    return np.asarray(settled_before & window.follows(1, 2) & window.follows(2, 3))
