"""Changes dated in January or February of the year that has just ended.

Such a row has the meter of this year and the date of a year before: the curve would stand still for
that year, and half of what is used would be forecast.
"""

from dataclasses import replace

import numpy as np
import pandas as pd

from wearcast.logbook.findings.drafts import Draft, Drafts, Finding, settle

LAST_MONTH = 2
"""Until then last year's number is still written."""
NEAR = 60
"""Days within which a reading tells a meter."""
OFF = 24.0
"""Hours by which a meter that fits may be off. All three are chosen here."""


def in_the_right_year(drafts: Drafts) -> Drafts:
    """The drafts with such changes a year later, where the readings of then bear them out."""
    changes, readings = drafts["changes"], drafts["readings"]
    rows = changes.frame
    some = changes.used_rows & rows["hours"].notna() & rows["date"].dt.month.le(LAST_MONTH)
    if not some.any() or readings.used.empty:
        return drafts
    written = rows[some]
    later = written["date"] + pd.DateOffset(years=1)
    told_then = _fits(readings, written, written["date"])
    told_later = _fits(readings, written, later)
    slips = written.index[(told_then != 1) & (told_later == 1)]
    if slips.empty:
        return drafts
    years = ", ".join(sorted({f"{year}" for year in later[slips].dt.year}))
    wrong = f"the hours are those of the next January or February: read as of {years}"
    changes = settle(
        changes, [Finding(slips, "date", "repaired", "kept", wrong, "Correct the year")]
    )
    dates = rows["date"].copy()
    dates[slips] = later[slips]
    return {**drafts, "changes": replace(changes, frame=changes.frame.assign(date=dates))}


def _fits(readings: Draft, changes: pd.DataFrame, dates: pd.Series) -> np.ndarray:
    """Whether the meter of each change fits its machine's readings around a date.

    Array (changes,): 1 yes, -1 no, 0 where no reading is near on both sides.
    """
    used = readings.used
    used = used[used["hours"].notna() & used["date"].notna() & ~used["run"].astype(bool)]
    names = pd.Index(pd.unique(used["machine"]))
    shown = pd.DataFrame(
        {
            "key": names.get_indexer(pd.Index(used["machine"])) * 10**6 + _days(used["date"]),
            "hours": used["hours"].to_numpy(float),
        }
    ).sort_values("key", kind="stable")
    key, hours = shown["key"].to_numpy(), shown["hours"].to_numpy()
    machine = names.get_indexer(pd.Index(changes["machine"]))
    wanted = machine * 10**6 + _days(dates)
    meter = changes["hours"].to_numpy(float)
    before = np.searchsorted(key, wanted, side="right") - 1
    after = np.searchsorted(key, wanted, side="left")
    near = [
        (at >= 0) & (at < len(key)) & (np.abs(key[at.clip(0, len(key) - 1)] - wanted) <= NEAR)
        for at in (before, after)
    ]
    low, high = (hours[at.clip(0, len(key) - 1)] for at in (before, after))
    fits = (meter >= low - OFF) & (meter <= high + OFF)
    known = near[0] & near[1] & (machine >= 0)
    return np.where(known, np.where(fits, 1, -1), 0)


def _days(dates: pd.Series) -> np.ndarray:
    return dates.to_numpy("datetime64[D]").astype(np.int64)
