"""From the options of a command to a forecast."""

from collections.abc import Sequence
from datetime import date
from typing import cast

import pandas as pd

from wearcast.cli.telling import Progress
from wearcast.forecast import Forecast, forecast
from wearcast.logbook.book import Logbook, read_logbook
from wearcast.logbook.choices import Asked

TIMES_READING = 25.0
"""So many times as long as the reading the rest takes: 30 in the sample, 18 at 20,000 machines."""


def read(
    logbooks: Sequence[str], as_of: date | None, dates: str | None, *, proposal: bool = False
) -> Logbook:
    """The logbooks, read, joined and checked."""
    return read_logbook(*logbooks, as_of=stamp(as_of), dates=dates, proposal=proposal)


def ask(
    logbooks: Sequence[str],
    as_of: date | None,
    dates: str | None,
    progress: Progress,
    **asked: object,
) -> Forecast:
    """The forecast that the options ask for; an option that was not given is left out."""
    progress("Reading the logbook")
    return foretell(read(logbooks, as_of, dates), progress, **asked)


def foretell(book: Logbook, progress: Progress, **asked: object) -> Forecast:
    """The forecast for a logbook that was read."""
    progress("Fitting the wear and drawing the coming changes", TIMES_READING)
    return forecast(book, **given(asked))


def given(asked: dict[str, object]) -> Asked:
    """The options that were given; click made their types."""
    return cast(Asked, {name: value for name, value in asked.items() if value is not None})


def stamp(day: date | None) -> pd.Timestamp | None:
    """The day as a midnight time stamp."""
    return None if day is None else pd.Timestamp(day)
