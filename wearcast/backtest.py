"""Would it have been right? The same forecast, made from earlier dates, against what happened.

At each date the logbook is cut back to what was known then and everything is learnt anew; plans,
retirements and floor changes dated later are not known. What was used since then is counted in
the whole logbook. Quarters have 91 days, a year has 364.
"""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import pandas as pd

from wearcast.decisions.trust import (
    croston,
    mean_loss,
    moving_average,
    poisson_loss,
    randomised_rank,
    whole_quantiles,
)
from wearcast.errors import NothingToFit
from wearcast.forecast import Fitted, fit
from wearcast.history.story import History, read_history
from wearcast.logbook.book import Logbook, book_as_of
from wearcast.outlook.hours import hours_ahead
from wearcast.outlook.records import Draws
from wearcast.outlook.use import count_pieces
from wearcast.outlook.walk import walk_ahead
from wearcast.wear.streams import machine_stream

QUARTER_DAYS, YEAR_DAYS = 91, 364
LEAST_HISTORY_DAYS = 182
"""No look back to a date with less history than this."""
MOST_DATES = 8
DRAWS = 400
"""Enough for the ranges of a look back, unless more are asked for."""
ALL = "all"
"""The part that stands for every part together."""
COLUMNS = (
    "as_of", "level", "where", "part", "period", "actual", "mean", "p05", "p10", "p90", "p95",
    "loss", "loss_last_year", "loss_moving_average", "loss_croston", "rank",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
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


def backtest(book: Logbook, most_dates: int = MOST_DATES, **asked: object) -> Backtest:
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
    return Backtest(frame, summary, tell_record(summary, frame))


def look_back_dates(truth: History) -> list[pd.Timestamp]:
    """Earlier as-of dates, a quarter apart, newest first; each leaves half a year before it."""
    begin = truth.meters["date"].min()
    dates = [
        truth.as_of - pd.Timedelta(days=QUARTER_DAYS * number)
        for number in range(1, MOST_DATES + 1)
    ]
    return [date for date in dates if (date - begin).days >= LEAST_HISTORY_DAYS]


def _look_back(
    book: Logbook, truth: History, date: pd.Timestamp, asked: dict[str, object]
) -> Iterator[dict[str, object]]:
    """The rows of one earlier date."""
    then = fit(book_as_of(book, date), **_asked_then(asked))
    ahead = (truth.as_of - date).days
    days = YEAR_DAYS if ahead >= YEAR_DAYS else QUARTER_DAYS
    draws = _draw(then, days)
    for period, last_day in (("quarter", QUARTER_DAYS), ("year", YEAR_DAYS)):
        if last_day <= ahead:
            yield from _rows(draws, truth, date, period, last_day, then.choices.seed)


def _asked_then(asked: dict[str, object]) -> dict[str, object]:
    """The options without those that name a date: each look back has its own."""
    given = {name: value for name, value in asked.items() if value is not None}
    return {"draws": DRAWS} | {name: value for name, value in given.items() if name not in _DATED}


_DATED = ("quarter", "order_from", "weeks")


def _draw(then: Fitted, days: int) -> Draws:
    hours = hours_ahead(then.history, then.book.plans, then.choices, days)
    return walk_ahead(then.wear, hours, then.history, then.choices, days, then.book.parts)


def _rows(
    draws: Draws, truth: History, date: pd.Timestamp, period: str, last_day: int, seed: int
) -> Iterator[dict[str, object]]:
    """One row a level, place and part of one date and period."""
    until = date + pd.Timedelta(days=last_day)
    happened = truth.uses[(truth.uses["date"] > date) & (truth.uses["date"] <= until)]
    before = truth.uses[truth.uses["date"] <= date]
    weeks = (date - truth.meters["date"].min()).days // 7
    slots = draws.slots
    for level, where, part in _places(slots, happened):
        sample = count_pieces(draws, _group(slots, level, where, part), 1, last_day)
        drawn = sample[0] if len(sample) else np.zeros(draws.draws)
        actual = float(_of(happened, level, where, part)["pieces"].sum())
        weekly = _weekly(_of(before, level, where, part), date, weeks)
        chance = machine_stream(seed, "", f"rank {date:%Y-%m-%d} {level} {where} {part} {period}")
        yield {
            "as_of": date, "level": level, "where": where, "part": part, "period": period,
            "actual": actual, "mean": float(drawn.mean()),
            **dict(zip(("p05", "p10", "p90", "p95"),
                       whole_quantiles(drawn, np.array([0.05, 0.1, 0.9, 0.95])), strict=True)),
            "loss": mean_loss(actual, drawn),
            **_simple_losses(actual, weekly, last_day / 7),
            "rank": randomised_rank(actual, drawn, chance.random()),
        }  # fmt: skip


def _simple_losses(actual: float, weekly: np.ndarray, weeks: float) -> dict[str, float]:
    """Losses of last year's use, a moving average over a quarter, and Croston's method."""
    return {
        "loss_last_year": poisson_loss(actual, moving_average(weekly, 52) * weeks),
        "loss_moving_average": poisson_loss(actual, moving_average(weekly, 13) * weeks),
        "loss_croston": poisson_loss(actual, croston(weekly) * weeks),
    }


def _places(slots: pd.DataFrame, happened: pd.DataFrame) -> list[tuple[str, str, str]]:
    """Level, place and part of every row: what was carried or used, sorted, ``all`` first."""
    known = pd.concat([slots[["site", "part"]], happened[["site", "part"]]]).drop_duplicates()
    parts = sorted(known["part"].unique())
    fleet = [("fleet", "fleet", part) for part in (ALL, *parts)]
    sites = []
    for site, rows in known.groupby("site"):
        sites += [("site", str(site), part) for part in (ALL, *sorted(rows["part"]))]
    return fleet + sites


def _group(slots: pd.DataFrame, level: str, where: str, part: str) -> np.ndarray:
    inside = np.ones(len(slots), bool) if part == ALL else slots["part"].eq(part).to_numpy()
    if level == "site":
        inside &= slots["site"].eq(where).to_numpy()
    return np.where(inside, 0, -1)


def _of(uses: pd.DataFrame, level: str, where: str, part: str) -> pd.DataFrame:
    inside = pd.Series(True, index=uses.index) if part == ALL else uses["part"].eq(part)
    if level == "site":
        inside &= uses["site"].eq(where)
    return uses[inside]


def _weekly(uses: pd.DataFrame, date: pd.Timestamp, weeks: int) -> np.ndarray:
    """Pieces used in each of the weeks up to a date, oldest first."""
    ago = ((date - uses["date"]).dt.days // 7).to_numpy(int)
    pieces = uses["pieces"].to_numpy(float)
    within = ago < weeks
    return np.bincount(ago[within], pieces[within], minlength=weeks)[::-1]


def summarise(frame: pd.DataFrame) -> pd.DataFrame:
    """The record by period and level, and for the fleet in total: see `Backtest.summary`."""
    total = frame[(frame["level"] == "fleet") & (frame["part"] == ALL)].assign(level="fleet total")
    single = frame[frame["part"] != ALL]
    both = pd.concat([total, single], ignore_index=True)
    both = both.assign(
        inside_80=both["rank"].between(0.1, 0.9), inside_90=both["rank"].between(0.05, 0.95)
    )
    losses = ["loss", "loss_last_year", "loss_moving_average", "loss_croston"]
    groups = both.groupby(["period", "level"])
    summary = groups[["actual", "mean", *losses]].sum()
    summary.insert(0, "forecasts", groups.size())
    summary[["inside_80", "inside_90"]] = groups[["inside_80", "inside_90"]].mean()
    summary["bias"] = summary["mean"] / summary["actual"].where(summary["actual"] > 0) - 1
    return summary.reset_index()


def tell_record(summary: pd.DataFrame, frame: pd.DataFrame) -> tuple[str, ...]:
    """The record in sentences that a clerk understands."""
    words = []
    for period, name in (("quarter", "quarters"), ("year", "years")):
        total = frame[
            (frame["period"] == period) & (frame["level"] == "fleet") & (frame["part"] == ALL)
        ]
        parts = summary[(summary["period"] == period) & (summary["level"] == "fleet")]
        if total.empty:
            continue
        inside = total["actual"].between(total["p05"], total["p95"]).sum()
        words.append(
            f"In {inside} of {len(total)} {name} the fleet's true use lay inside the 90 % range."
        )
        words += [_part_words(line, frame, period) for _, line in parts.T.items()]
    return tuple(words)


def _part_words(line: pd.Series, frame: pd.DataFrame, period: str) -> str:
    """One part at a time: how often the truth lay inside, and how the misses compare."""
    single = frame[
        (frame["period"] == period) & (frame["level"] == "fleet") & (frame["part"] != ALL)
    ]
    inside = single["actual"].between(single["p05"], single["p95"]).sum()
    words = (
        f"Part by part: inside in {inside} of {len(single)} forecasts of a {period} (of 100, "
        "about 90 should be)"
    )
    if line["loss_last_year"] > 0:
        ratio = line["loss"] / line["loss_last_year"]
        side = "smaller" if ratio <= 1 else "larger"
        words += f"; its misses were {abs(1 - ratio):.0%} {side} than those of last year's use"
    return words + "."
