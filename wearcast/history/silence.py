"""Machines whose meters have not been read for so long that nobody knows what they run."""

from collections.abc import Iterator

import numpy as np
import pandas as pd

from wearcast.history.meters import Meters
from wearcast.history.readings.curve import REACH_DAYS
from wearcast.history.steps import Bools, dates_of
from wearcast.history.words import day_words, names_words
from wearcast.logbook.book import Logbook
from wearcast.told import GRAVE, Problem

FEWEST, MANY = 2, 0.1
"""So many silent machines, and such a share of those not retired, stand before any figure; chosen
here."""


def tell_silence(book: Logbook, meters: Meters, silent: Bools, gone: Bools) -> Iterator[Problem]:
    """One finding a file on the silent machines, at the row of each machine's last value.

    `silent` and `gone` (retired by as-of) are arrays (machines,).

    Where later values were set aside, or where no rate was ever seen, another finding says it.
    """
    silent = silent & (meters.last_shown <= meters.last_read) & ~np.isnan(meters.rate)
    if not silent.any():
        return
    at_work = len(silent) - int(gone.sum())
    many = silent.sum() >= max(FEWEST, MANY * at_work)
    counts = f" ({silent.sum()} of {at_work} machines: gone ones are forecast for nothing)"
    names = meters.curve.names[silent]
    last = pd.DataFrame({"machine": names, "date": _dates_read(meters, silent)})
    for table, frame in (("readings", book.readings), ("changes", book.changes)):
        found = frame[frame["hours"].notna()].merge(last, on=["machine", "date"])
        found = found.sort_values(["machine", "row"], kind="stable").drop_duplicates("machine")
        last = last[~last["machine"].isin(found["machine"])]
        for source, here in found.groupby("source"):
            shown = [
                f"{machine} (last on {day_words(date)})"
                for machine, date in zip(here["machine"], here["date"], strict=True)
            ]
            yield Problem(
                str(source),
                table,
                tuple(sorted(int(row) for row in here["row"])),
                "date",
                "",
                "note",
                f"no meter value in the {REACH_DAYS} days before as-of: {names_words(shown)}; "
                f"hours ahead stay as they were{counts if many else ''}",
                "Add readings, or the day it retired under machines",
                GRAVE if many else 3.0,
            )


def _dates_read(meters: Meters, silent: Bools) -> np.ndarray:
    return dates_of(meters.last_read[silent].astype(np.int64))
