"""What is told about the hour meters: one finding a cause, worded for the person."""

from collections.abc import Iterator

import numpy as np
import pandas as pd

from wearcast.history.misreadings import GOES_ON, MARKED, RESET, ROLL_10K, ROLL_100K
from wearcast.history.steps import Bools, dates_of
from wearcast.told import Problem

NEW_METER = "If the meter was replaced, write yes under new_meter; otherwise correct the reading"
STILL_DAYS = 60
"""The same reading for so long, read three times or more, is worth a note."""


def tell_meters(values: pd.DataFrame, kept: Bools, names: pd.Index) -> tuple[Problem, ...]:
    """Findings on misreadings, stitched meters and meters that stood still.

    Parameters
    ----------
    values : DataFrame
        machine (code), day, hours, start, table, source, row; sorted by machine and time.
    kept : array of bool
        False on a value that was set aside.
    """
    values = values.assign(
        kept=kept, name=names.to_numpy()[values["machine"]], date=dates_of(values["day"].to_numpy())
    )
    used = values[values["kept"]]
    told = [*_misread(values), *_stitched(used), *_stood_still(used)]
    return tuple(told)


def day_words(date: pd.Timestamp, beside: pd.Timestamp | None = None) -> str:
    """``2 March``; with the year unless it is that of the date told beside it."""
    month = MONTHS[date.month - 1]
    same_year = beside is not None and date.year == beside.year
    return f"{date.day} {month}" if same_year else f"{date.day} {month} {date.year}"


MONTHS = (
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
)


def _misread(values: pd.DataFrame) -> Iterator[Problem]:
    """One finding for each value that was set aside, with the neighbours that contradict it."""
    by_machine = values["machine"]
    for side, shift in (("before", "ffill"), ("after", "bfill")):
        for name in ("hours", "date"):
            seen = values[name].where(values["kept"]).groupby(by_machine)
            values = values.assign(**{f"{name}_{side}": getattr(seen, shift)()})
    for line in values[~values["kept"]].to_dict("records"):
        on_change = line["table"] == "changes"
        yield Problem(
            source=line["source"],
            table=line["table"],
            rows=(int(line["row"]),),
            column="hours",
            value=f"{line['hours']:.10g}",
            severity="repaired" if on_change else "set aside",
            wrong=_contradiction(line),
            remedy="The change is kept, with the hours of the meter curve; correct it"
            if on_change
            else NEW_METER,
            weight=1.0,
        )


def _contradiction(line: dict[str, object]) -> str:
    """Why a value cannot stand: the neighbours and what they showed."""
    name, date, hours = line["name"], line["date"], float(str(line["hours"]))
    before = _showed(line, "before")
    after = _showed(line, "after")
    if before and hours < float(str(line["hours_before"])):
        return f"below the {before}" + (f" (next: {after})" if after else "")
    if after and hours > float(str(line["hours_after"])):
        return f"above the {after}" + (f" (before: {before})" if before else "")
    if not before and not after:
        return f"another reading of {name} on {day_words(pd.Timestamp(str(date)))} says otherwise"
    return f"more than 24 h a day from the {before or after}" + (
        f" (next: {after})" if before and after else ""
    )


def _showed(line: dict[str, object], side: str) -> str:
    """``1,318.0 h that M014 showed on 2 March``; empty without a neighbour on that side."""
    hours = line[f"hours_{side}"]
    if not isinstance(hours, float) or np.isnan(hours):
        return ""
    day = day_words(pd.Timestamp(str(line[f"date_{side}"])), pd.Timestamp(str(line["date"])))
    return f"{hours:,.1f} h that {line['name']} showed on {day}"


def _stitched(used: pd.DataFrame) -> Iterator[Problem]:
    """One finding for each roll-over and each reset that nobody marked."""
    before = used.shift(1)
    found = ~used["start"].isin([GOES_ON, MARKED])
    lines = used[found].assign(
        hours_before=before["hours"][found], date_before=before["date"][found]
    )
    for line in lines.to_dict("records"):
        wrong, remedy = _start_words(line)
        yield Problem(
            line["source"],
            line["table"],
            (int(line["row"]),),
            "hours",
            f"{line['hours']:.10g}",
            "repaired",
            wrong,
            remedy,
            0.5,
        )


def _start_words(line: dict[str, object]) -> tuple[str, str]:
    before = _showed(line, "before")
    if line["start"] == RESET:
        return (
            f"far from the {before}, but the next readings follow from it: taken for a new or "
            "reset meter, and the gap for the recent rate",
            "If so, write yes under new_meter; otherwise correct the reading",
        )
    top = {ROLL_10K: "9,999", ROLL_100K: "99,999"}[int(str(line["start"]))]
    return f"after the {before}: the meter rolled over at {top}, and the hours go on", ""


def _stood_still(used: pd.DataFrame) -> Iterator[Problem]:
    """One note for each meter that showed the same for months."""
    hours, machine = used["hours"].to_numpy(), used["machine"].to_numpy()
    changed = np.ones(len(used), dtype=bool)
    changed[1:] = (
        (np.diff(hours) != 0) | (np.diff(machine) != 0) | (used["start"].to_numpy()[1:] > 0)
    )
    run = np.cumsum(changed) - 1
    begin = np.flatnonzero(changed)
    end = np.append(begin[1:], len(used)) - 1
    day = used["day"].to_numpy()
    if len(used) == 0:
        return
    long = (day[end] - day[begin] >= STILL_DAYS) & (np.bincount(run) >= 3)
    for start, last in zip(begin[long], end[long], strict=True):
        lines = used.iloc[start : last + 1]
        since = day_words(lines["date"].iloc[0], lines["date"].iloc[-1])
        until = day_words(lines["date"].iloc[-1])
        here = lines[lines["source"].eq(lines["source"].iloc[0]) & lines["table"].eq("readings")]
        here = here if len(here) else lines.iloc[:1]
        yield Problem(
            here["source"].iloc[0],
            here["table"].iloc[0],
            tuple(int(row) for row in here["row"]),
            "hours",
            f"{hours[start]:.10g}",
            "note",
            f"{lines['name'].iloc[0]} showed the same from {since} to {until}",
            "If the machine worked, look at its hour meter",
            0.3,
        )
