"""The look back, made beside the forecast in a process of its own.

The two need nothing of each other and most machines have two cores. Should the process fail, the
look back is made here instead: it is the same function of the same logbook, so the result is the
same too. A process whose parent is gone ends as soon as it wants to answer.
"""

import os
import sys
import warnings
from collections.abc import Callable
from multiprocessing import get_context
from multiprocessing.connection import Connection
from typing import Any, Literal

from wearcast.backtesting.backtest import Backtest, backtest_of, seed_of, some_sites
from wearcast.errors import NothingToFit
from wearcast.logbook.book import Logbook
from wearcast.logbook.choices import Asked

Sample = tuple[Logbook, tuple[str, ...]]
"""The sites of a logbook that are looked back on, and what is told of their choice."""
WAY: Literal["fork", "spawn"] = "fork" if sys.platform == "linux" else "spawn"
"""A copy of this process has all imports done, which are more than half a second of a spawned
one's time. It is taken right after the reading, before any linear algebra has begun a thread that
a copy would miss; other systems' own threads forbid it."""
WORTH_DAYS = 365
"""A shorter log has so little to look back on that a second process costs more than it saves."""


def begin(book: Logbook, dates: int, asked: Asked) -> Callable[[], Backtest | None]:
    """Begin to forecast from earlier dates; the function returned waits for the result.

    Parameters
    ----------
    book : Logbook
    dates : how many earlier dates at most
    asked : options, as for `wearcast.forecast.fit`

    Returns
    -------
    callable
        Gives the Backtest, or None where the log is too short or no dates are asked for.
    """
    if not dates:
        return lambda: None
    # Only what is looked back on goes to the process: a large fleet's logbook fills the memory.
    sample = some_sites(book, seed_of(book, asked))
    if not _is_worth_it(book):
        return lambda: look_back(sample, dates, asked)
    way: Any = get_context(WAY)  # the kinds of context have no common type with a Process
    ours, theirs = way.Pipe(duplex=False)
    # A copy has our end too, and would never see that we are gone.
    close = ours if WAY == "fork" else None
    process = way.Process(target=_answer, args=(theirs, close, sample, dates, asked), daemon=True)
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", DeprecationWarning)  # of threads, see `WAY`
            process.start()
    except OSError:
        return lambda: look_back(sample, dates, asked)
    theirs.close()  # else the end of the process would not be seen at our end

    def result() -> Backtest | None:
        try:
            made: Backtest | None = ours.recv()
        except (EOFError, OSError):
            return look_back(sample, dates, asked)
        return made

    return result


def look_back(sample: Sample, dates: int, asked: Asked) -> Backtest | None:
    """Forecasts from earlier dates; None where the log is too short."""
    try:
        return backtest_of(*sample, dates, **asked)
    except NothingToFit:
        return None


def _answer(
    theirs: Connection, close: Connection | None, sample: Sample, dates: int, asked: Asked
) -> None:
    """What the process does; an error ends it silently, and is met again where it is told."""
    try:
        if close is not None:
            close.close()
        theirs.send(look_back(sample, dates, asked))
    except BaseException:
        os._exit(1)  # no traceback: nobody asked this process anything


def _is_worth_it(book: Logbook) -> bool:
    """Whether there is a second core, and a long enough log."""
    cores = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count()
    first = book.readings["date"].min()
    return (cores or 1) > 1 and (book.as_of - first).days >= WORTH_DAYS
