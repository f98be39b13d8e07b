"""Would it have been right? The same forecast, made from earlier dates, against what happened.

At each date the logbook is cut back to what was known then and everything is learnt anew; plans,
retirements and floor changes dated later are not known. What was used since then is counted in
the whole logbook. Quarters have 91 days, a year has 364.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Unpack, cast

import numpy as np
import pandas as pd

from wearcast.backtesting.part import without
from wearcast.backtesting.scores import (
    croston,
    mean_loss,
    moving_average,
    poisson_loss,
    randomised_rank,
    whole_quantiles,
)
from wearcast.backtesting.summary import ALL, record_words, summarise
from wearcast.errors import NothingToFit
from wearcast.forecast import Fit, fit
from wearcast.history.quarters import QUARTER_DAYS, YEAR_DAYS
from wearcast.history.story import History, read_history
from wearcast.logbook.book import Logbook, book_as_of
from wearcast.logbook.choices import Asked
from wearcast.outlook.hours import learn_hours_ahead
from wearcast.outlook.records import Draws
from wearcast.outlook.use import count_pieces
from wearcast.outlook.walk import walk_ahead
from wearcast.wear.streams import machine_stream

LEAST_HISTORY_DAYS = 182
"""No look back to a date with less history than this."""
MOST_DATES = 8
MOST_MACHINES, LEAST_SITES = 100, 2
"""Machines from which some sites stand for all."""
DRAWS = 200
"""Enough for the ranges of a look back, unless more are asked for."""
_CELL = ["site", "part"]
COLUMNS = (
    "as_of", "level", "where", "part", "period", "actual", "mean", "p05", "p10", "p90", "p95",
    "loss", "loss_last_year", "loss_moving_average", "loss_croston", "rank",
)  # fmt: skip


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Backtest:
    """How well earlier forecasts did."""

    frame: pd.DataFrame
    """One row an earlier date, level (fleet, site), place, part (``all``: every part together)
    and period (quarter, year): as_of, actual and forecast pieces, mean pinball losses of the
    forecast and of three simple methods, and rank (where the truth lay in the forecast, 0 to 1;
    see `randomised_rank`)."""
    summary: pd.DataFrame
    """One row a period and level: forecasts, inside_80, inside_90 (shares, by rank), loss and the
    simple methods' losses (sums), bias (forecast over actual, less 1)."""
    words: tuple[str, ...]
    """The same in sentences."""

    def __repr__(self) -> str:
        """From how many dates, and the record in words."""
        return f"<Backtest from {self.frame['as_of'].nunique()} dates: {' '.join(self.words)}>"


def backtest(book: Logbook, most_dates: int = MOST_DATES, **asked: Unpack[Asked]) -> Backtest:
    """Forecast from earlier dates of a logbook and compare with what happened since.

    Parameters
    ----------
    book : Logbook
    most_dates : number of earlier dates at most, newest first
    **asked
        Options as for `wearcast.forecast.fit`.

    Raises
    ------
    NothingToFit
        If the logbook is too short to look back.
    """
    return backtest_of(*some_sites(book, seed_of(book, asked)), most_dates, **asked)


def seed_of(book: Logbook, asked: Asked) -> int:
    """The seed asked for, else the logbook's."""
    return int(asked.get("seed") or book.settings.get("seed") or 1)


def backtest_of(
    book: Logbook, told: tuple[str, ...], most_dates: int, **asked: Unpack[Asked]
) -> Backtest:
    """The same of sites that have been chosen, with what is told of them; see `some_sites`."""
    truth = read_history(book)
    dates = look_back_dates(truth)[:most_dates]
    if not dates:
        raise NothingToFit(
            "the logbook is too short to look back: it takes half a year of history and a quarter "
            "after it"
        )
    rows = [row for date in dates for row in _look_back(book, truth, date, asked)]
    frame = pd.DataFrame(rows, columns=list(COLUMNS))
    summary = summarise(frame)
    return Backtest(frame, summary, (*told, *record_words(summary, frame)))


def some_sites(book: Logbook, seed: int) -> tuple[Logbook, tuple[str, ...]]:
    """The logbook, of a large fleet some sites taken at random, and what is told of that.

    How well forecasts did is known well enough from a hundred machines.
    """
    sizes = book.machines.groupby("site")["machine"].nunique().sort_index()
    if sizes.sum() <= MOST_MACHINES or len(sizes) < LEAST_SITES:
        return book, ()
    order = machine_stream(seed, "", "sites looked back on").permutation(len(sizes))
    mixed = sizes.iloc[order]
    number = max(LEAST_SITES, int((mixed.cumsum() <= MOST_MACHINES).sum()))
    kept = set(mixed.index[:number])
    out = book.machines.loc[~book.machines["site"].isin(kept), "machine"]
    words = f"Looked back on {number} of {len(sizes)} sites, taken at random; fleet means these."
    return without(book, pd.Index(out.unique())), (words,)


def look_back_dates(truth: History) -> list[pd.Timestamp]:
    """Earlier as-of dates, a quarter apart, newest first; each leaves half a year before it."""
    begin = truth.meters["date"].min()
    dates = [
        truth.as_of - pd.Timedelta(days=QUARTER_DAYS * number)
        for number in range(1, MOST_DATES + 1)
    ]
    return [date for date in dates if (date - begin).days >= LEAST_HISTORY_DAYS]


def _look_back(
    book: Logbook, truth: History, date: pd.Timestamp, asked: Asked
) -> Iterator[dict[str, object]]:
    """The rows of one earlier date."""
    then = fit(book_as_of(book, date), **_asked_then(asked))
    ahead = (truth.as_of - date).days
    days = YEAR_DAYS if ahead >= YEAR_DAYS else QUARTER_DAYS
    draws = _draw(then, days)
    for period, last_day in (("quarter", QUARTER_DAYS), ("year", YEAR_DAYS)):
        if last_day <= ahead:
            yield from _rows(draws, truth, date, period, last_day, then.choices.seed)


def _asked_then(asked: Asked) -> Asked:
    """The options without those that speak of the time ahead: each look back has its own."""
    given = {name: value for name, value in asked.items() if value is not None}
    kept = {name: value for name, value in given.items() if name not in _DATED}
    return cast(Asked, {"draws": DRAWS, **kept})


_DATED = ("quarter", "order_from", "weeks", "hours_factor")


def _draw(then: Fit, days: int) -> Draws:
    hours = learn_hours_ahead(then.history, then.book.plans, then.choices, days)
    return walk_ahead(then.wear, hours, then.history, then.choices, days, then.book.parts)


def _rows(
    draws: Draws, truth: History, date: pd.Timestamp, period: str, last_day: int, seed: int
) -> Iterator[dict[str, object]]:
    """One row a level, place and part of one date and period."""
    uses = truth.uses
    until = date + pd.Timedelta(days=last_day)
    weeks = (date - truth.meters["date"].min()).days // 7
    happened = uses[(uses["date"] > date) & (uses["date"] <= until)]
    cells = pd.MultiIndex.from_frame(
        pd.concat([draws.slots[_CELL], happened[_CELL]]).astype(str).drop_duplicates()
    ).sort_values()
    drawn = _drawn(draws, cells, last_day)
    actual = np.bincount(_cell_of(happened, cells), happened["pieces"].to_numpy(float), len(cells))
    weekly = _weekly(uses[uses["date"] <= date], cells, date, weeks)
    for (level, where, part), mine in _places(cells):
        stream = machine_stream(seed, "", f"rank {date:%Y-%m-%d} {level} {where} {part} {period}")
        yield {
            "as_of": date, "level": level, "where": where, "part": part, "period": period,
            **_scores(float(actual[mine].sum()), drawn[mine].sum(axis=0), stream.random()),
            **_simple_losses(float(actual[mine].sum()), weekly[mine].sum(axis=0), last_day / 7),
        }  # fmt: skip


def _scores(actual: float, drawn: np.ndarray, chance: float) -> dict[str, float]:
    """Forecast and truth of one row."""
    p05, p10, p90, p95 = whole_quantiles(drawn, np.array([0.05, 0.1, 0.9, 0.95]))
    return {
        "actual": actual,
        "mean": float(drawn.mean()),
        "p05": p05,
        "p10": p10,
        "p90": p90,
        "p95": p95,
        "loss": mean_loss(actual, drawn),
        "rank": randomised_rank(actual, drawn, chance),
    }


def _simple_losses(actual: float, weekly: np.ndarray, weeks: float) -> dict[str, float]:
    """Losses of last year's use, a moving average over a quarter, and Croston's method."""
    return {
        "loss_last_year": poisson_loss(actual, moving_average(weekly, 52) * weeks),
        "loss_moving_average": poisson_loss(actual, moving_average(weekly, 13) * weeks),
        "loss_croston": poisson_loss(actual, croston(weekly) * weeks),
    }


def _cell_of(rows: pd.DataFrame, cells: pd.MultiIndex) -> np.ndarray:
    """Number of each row's site and part; -1 where it is none of the cells."""
    return cells.get_indexer(pd.MultiIndex.from_frame(rows[_CELL].astype(str)))


def _drawn(draws: Draws, cells: pd.MultiIndex, last_day: int) -> np.ndarray:
    """Pieces drawn for each cell; array (cells, draws)."""
    counted = np.zeros((len(cells), draws.draws))
    found = count_pieces(draws, _cell_of(draws.slots, cells), 1, last_day)
    counted[: len(found)] = found
    return counted


def _weekly(uses: pd.DataFrame, cells: pd.MultiIndex, date: pd.Timestamp, weeks: int) -> np.ndarray:
    """Pieces used in each of the weeks up to a date, oldest first; array (cells, weeks)."""
    ago = ((date - uses["date"]).dt.days // 7).to_numpy(int)
    cell = _cell_of(uses, cells)
    inside = (ago < weeks) & (cell >= 0)
    place = cell[inside] * weeks + weeks - 1 - ago[inside]
    pieces = uses["pieces"].to_numpy(float)[inside]
    return np.bincount(place, pieces, len(cells) * weeks).reshape(len(cells), weeks)


def _places(cells: pd.MultiIndex) -> Iterator[tuple[tuple[str, str, str], np.ndarray]]:
    """Level, place and part of every row, with its cells; ``all`` before the single parts."""
    sites, parts = (cells.get_level_values(name).to_numpy(str) for name in _CELL)
    everywhere = np.ones(len(cells), bool)
    groups = [("fleet", "fleet", everywhere)]
    groups += [("site", str(site), sites == site) for site in np.unique(sites)]
    for level, where, here in groups:
        yield (level, where, ALL), here
        for part in np.unique(parts[here]):
            yield (level, where, str(part)), here & (parts == part)
