"""What is told about the hour meters: one finding a cause, worded for the person.

Meter values are rows of one frame: name, date, hours, machine (code), day, table, source, row;
sorted by machine and time.
"""

from collections.abc import Iterator
from itertools import groupby
from operator import attrgetter
from typing import NamedTuple

import numpy as np
import pandas as pd

from wearcast.history.readings.misreadings import GOES_ON, MARKED, RESET, ROLL_10K, could_go_on
from wearcast.history.steps import Bools, Ints, ends_of, last_true
from wearcast.history.words import day_words, rows_by_source
from wearcast.told import Problem, Severity

NEW_METER = "If the meter was replaced, write yes under new_meter; otherwise correct the reading"
ON_A_CHANGE = "The change is kept, at the hours of the meter curve; correct its hours"
A_HABIT = 3
"""So many changes of one machine with wrong hours have one cause; chosen here, as is the next."""
STILL_DAYS = 60
"""The same reading for so long, read three times or more, is worth a note."""


def tell_meters(values: pd.DataFrame, agreed: Bools, kept: Bools, start: Ints) -> list[Problem]:
    """Findings on misreadings, stitched meters and meters that stood still.

    Parameters
    ----------
    values : DataFrame
        Every meter value.
    agreed, kept : arrays of bool (values,)
        False in `agreed`: another value of that day says otherwise; False in `kept`: set aside.
    start : array (values,)
        How each kept value follows the one before it.
    """
    wrong = [*_two_on_a_day(values, agreed, kept), *_misread(values, agreed & ~kept, kept)]
    used = values if kept.all() else values[kept]
    return [
        *_by_machine(wrong, values),
        *_stitched(used, start[kept]),
        *_marked_again(used, start[kept]),
        *_marked_for_nothing(used, start[kept]),
        *_stood_still(used, start[kept]),
    ]


def _two_on_a_day(values: pd.DataFrame, agreed: Bools, kept: Bools) -> Iterator[Problem]:
    """One finding for the values of a machine and day that contradict each other."""
    if agreed.all():
        return
    days = values.loc[~agreed, ["machine", "day"]].drop_duplicates()
    everything = values.assign(kept=kept, agreed=agreed).merge(days, on=["machine", "day"])
    shown: dict[tuple[int, int], list[_Shown]] = {}
    columns = (everything[name] for name in ("machine", "day", *_Shown._fields))
    for machine, day, *value in zip(*columns, strict=True):
        shown.setdefault((machine, day), []).append(_Shown(*value))
    for of_day in shown.values():
        words = _day_in_words(of_day)
        wrong = sorted(value for value in of_day if not value.agreed)
        for (source, table), here in groupby(wrong, key=attrgetter("source", "table")):
            yield _of_a_day(source, table, list(here), words)


class _Shown(NamedTuple):
    """What a meter showed, as a row of the logbook has it."""

    source: str
    table: str
    row: int
    name: str
    date: pd.Timestamp
    hours: float
    agreed: bool
    kept: bool


def _day_in_words(of_day: list[_Shown]) -> str:
    """What a meter showed on one day, and what its other readings make of it."""
    both = " and ".join(f"{hours:,.1f} h" for hours in sorted({one.hours for one in of_day}))
    words = f"{of_day[0].name} shows {both} on {day_words(of_day[0].date)}"
    kept = [one.hours for one in of_day if one.kept]
    if not kept:
        return f"{words}, and its other readings do not tell which is right"
    return f"{words}, and its other readings bear out {max(kept):,.1f} h"


def _of_a_day(source: str, table: str, here: list[_Shown], words: str) -> Problem:
    on_change = table == "changes"
    return Problem(
        source,
        table,
        tuple(one.row for one in here),
        "hours",
        ", ".join(f"{hours:.10g}" for hours in sorted({one.hours for one in here})),
        "repaired" if on_change else "set aside",
        words,
        ON_A_CHANGE if on_change else "Correct or remove the wrong one",
        1.0,
    )


def _misread(values: pd.DataFrame, wrong: Bools, kept: Bools) -> Iterator[Problem]:
    """One finding for the values between the same neighbours that contradict them alike."""
    rows = np.flatnonzero(wrong)
    machine = values["machine"].to_numpy()
    before = last_true(kept, machine)[rows]
    after = _next_true(kept, machine)[rows]
    lines = values.iloc[rows].assign(
        machine=machine[rows],
        before=before,
        after=after,
        hours_before=_hours_at(values, before),
        hours_after=_hours_at(values, after),
    )
    below = lines["hours"] < lines["hours_before"]
    lines["way"] = np.where(below, -1, np.where(lines["hours"] > lines["hours_after"], 1, 0))
    alike = ["machine", "before", "after", "way", "source", "table"]
    first = lines[~lines.duplicated(alike)]
    words = [
        _contradiction(*showed)
        for showed in zip(
            first["way"],
            _showed(values, first["before"].to_numpy(), first["date"]),
            _showed(values, first["after"].to_numpy(), first["date"]),
            strict=True,
        )
    ]
    groups = lines.groupby(alike, sort=False)
    for (key, here), why in zip(groups, words, strict=True):
        on_change = key[-1] == "changes"
        yield Problem(
            str(key[-2]),
            str(key[-1]),
            tuple(sorted(int(row) for row in here["row"])),
            "hours",
            _some(here["hours"]),
            "repaired" if on_change else "set aside",
            why,
            ON_A_CHANGE if on_change else NEW_METER,
            1.0,
        )


def _by_machine(found: list[Problem], values: pd.DataFrame) -> Iterator[Problem]:
    """The findings; those on the changes of one machine, if they are many, as one: a habit."""
    of_changes = [each for each in found if each.table == "changes"]
    yield from (each for each in found if each.table != "changes")
    lines = values[values["table"].eq("changes")] if of_changes else values[:0]
    name_at = dict(zip(zip(lines["source"], lines["row"], strict=True), lines["name"], strict=True))
    groups: dict[tuple[str, str], list[Problem]] = {}
    for each in of_changes:
        groups.setdefault((each.source, name_at[each.source, each.rows[0]]), []).append(each)
    for (_, name), alike in groups.items():
        if len(alike) < A_HABIT:
            yield from alike
            continue
        more = f"; {len(alike) - 1} more changes of {name} are like this one"
        yield alike[0]._replace(
            rows=tuple(sorted(row for each in alike for row in each.rows)),
            value=_joined([each.value for each in alike]),
            wrong=alike[0].wrong + more,
        )


def _some(hours: pd.Series) -> str:
    return _joined([f"{value:.10g}" for value in hours])


def _joined(values: list[str]) -> str:
    """The first three different values."""
    shown = list(dict.fromkeys(values))
    return ", ".join(shown[:3]) + (" ..." if len(shown) > 3 else "")


def _contradiction(way: int, before: str, after: str) -> str:
    """Why a value cannot stand between its neighbours ("" where there is none).

    ``way`` is -1 for a value below the one before, 1 for one above the one after, else 0.
    """
    if way < 0:
        return f"below the {before}" + (f"; next came {after}" if after else "")
    if way > 0:
        return f"above the {after}" + (f"; before that came {before}" if before else "")
    if before:
        return f"more than 24 h a day after the {before}" + (
            f"; next came {after}" if after else ""
        )
    if after:
        return f"more than 24 h a day before the {after}"
    return "no other reading of the machine agrees with it"


def _next_true(flag: Bools, group: Ints) -> Ints:
    """Row of the first True at or after each row of its group; -1 where there is none."""
    back = last_true(flag[::-1], group[::-1])[::-1]
    return np.where(back >= 0, len(flag) - 1 - back, -1)


def _hours_at(values: pd.DataFrame, at: Ints) -> np.ndarray:
    return np.where(at >= 0, values["hours"].to_numpy()[at], np.nan)


def _showed(values: pd.DataFrame, at: Ints, beside: pd.Series) -> list[str]:
    """``1,318.0 h that M014 showed on 2 March`` for each row; "" for a row of -1."""
    lines = values.iloc[at]
    columns = (lines[name] for name in ("hours", "name", "date"))
    return [
        f"{hours:,.1f} h that {name} showed on {day_words(date, near)}" if place >= 0 else ""
        for place, near, hours, name, date in zip(at, beside, *columns, strict=True)
    ]


def _stitched(used: pd.DataFrame, start: Ints) -> Iterator[Problem]:
    """One finding for each roll-over and each reset that nobody marked."""
    at = np.flatnonzero((start != GOES_ON) & (start != MARKED))
    lines = used.iloc[at]
    before = _showed(used, at - 1, lines["date"])
    columns = (lines[name] for name in ("source", "table", "row", "hours"))
    for source, table, row, hours, shown, sort in zip(*columns, before, start[at], strict=True):
        if sort == RESET:
            wrong = (
                f"does not follow from the {shown}, but the next readings follow from it: taken "
                "for a new or reset meter, and the gap for the recent rate"
            )
            remedy = "If so, write yes under new_meter; otherwise correct the readings"
        else:
            top = "9,999" if sort == ROLL_10K else "99,999"
            wrong = f"after the {shown}: the meter rolled over at {top} h, and the hours go on"
            remedy = ""
        value = f"{hours:.10g}"
        yield Problem(source, table, (int(row),), "hours", value, "repaired", wrong, remedy, 0.5)


def _marked_again(used: pd.DataFrame, start: Ints) -> Iterator[Problem]:
    """One finding for each machine with marks on readings beside a new meter's first."""
    beside = used["marked"].to_numpy() & (start == GOES_ON)
    next_begins = np.append((start == MARKED)[1:], False)
    early = beside & next_begins & ~ends_of(used["machine"].to_numpy())
    wrong = "{name} had the new meter before, and this goes on from it: the mark does not count"
    remedy = "Mark the first reading of a new meter alone"
    yield from _on_marks(used[beside & ~early], wrong, "repaired", remedy)
    wrong = "this goes on from the old meter of {name}: the mark counts at the next reading"
    yield from _on_marks(used[early], wrong, "repaired", remedy)


def _marked_for_nothing(used: pd.DataFrame, start: Ints) -> Iterator[Problem]:
    """One note for each machine with a new meter that goes on where the old one was."""
    columns = (used[name].to_numpy() for name in ("machine", "hours", "day"))
    lines = used[(start == MARKED) & could_go_on(*columns)]
    wrong = "marked as a new meter of {name}, yet it goes on from the old one: the hours between "
    wrong += "are those of the recent rate"
    yield from _on_marks(lines, wrong, "note", "If the meter was not replaced, clear new_meter")


def _on_marks(
    lines: pd.DataFrame, wrong: str, severity: Severity, remedy: str
) -> Iterator[Problem]:
    for name, here in lines.groupby("name"):
        for source, table, rows in rows_by_source(here):
            said = wrong.format(name=name)
            yield Problem(source, table, rows, "new_meter", "yes", severity, said, remedy, 0.5)


def _stood_still(used: pd.DataFrame, start: Ints) -> Iterator[Problem]:
    """One note for each meter that showed the same for months."""
    hours, machine, day = (used[name].to_numpy() for name in ("hours", "machine", "day"))
    begins = np.ones(len(used), dtype=bool)
    begins[1:] = (np.diff(hours) != 0) | (np.diff(machine) != 0) | (start[1:] != GOES_ON)
    begin = np.flatnonzero(begins)
    beyond = np.append(begin[1:], len(used))[: len(begin)]
    long = (day[beyond - 1] - day[begin] >= STILL_DAYS) & (beyond - begin >= 3)
    for first, stop in zip(begin[long], beyond[long], strict=True):
        lines = used.iloc[first:stop]
        until = lines["date"].iloc[-1]
        since = day_words(lines["date"].iloc[0], until)
        for source, table, rows in rows_by_source(lines):
            yield Problem(
                source,
                table,
                rows,
                "hours",
                f"{hours[first]:.10g}",
                "note",
                f"{lines['name'].iloc[0]} shows the same from {since} to {day_words(until)}",
                "If the machine worked, look at its hour meter",
                0.3,
            )
