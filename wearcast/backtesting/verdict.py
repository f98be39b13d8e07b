"""Should this forecast be believed at all? What looking back says against it, site by site.

Ranges that held the truth implausibly seldom, or misses larger than those of last year's use, mean
that the fleet does something that the forecast does not know of. That belongs on top, before any
figure.
"""

import pandas as pd
from scipy.special import bdtr, bdtrc

from wearcast.backtesting.summary import ALL
from wearcast.told import Problem

FEWEST = 8
"""Forecasts of one site or part below which nothing is said."""
IMPLAUSIBLE = 0.001
"""Chance of a cover so low by bad luck, over all sites and parts that are asked."""
WORSE = 1.1
"""Misses at least this many times those of last year's use."""
SURE = 0.01
"""Chance that so many single forecasts miss more than last year's use, were both alike. All four
are chosen here."""
WEIGHT = 1000.0
"""Before everything else that is told."""


def verdict(frame: pd.DataFrame) -> tuple[Problem, ...]:
    """Findings about what earlier forecasts were wrong in, heaviest first.

    Parameters
    ----------
    frame : DataFrame
        As `wearcast.backtesting.backtest.Backtest.frame`: level, where, part, period, rank, loss,
        loss_last_year and the rest, a row a forecast.
    """
    single = frame[
        frame["level"].eq("site") & frame["part"].ne(ALL) & frame["period"].eq("quarter")
    ]
    groups = [
        (f"{word} {name}", rows)
        for column, word in (("where", "at"), ("part", "of"))
        for name, rows in single.groupby(column, sort=True)
        if len(rows) >= FEWEST
    ]
    seldom = [(name, rows) for name, rows in groups if _seldom(rows, len(groups))]
    worse = [(name, rows) for name, rows in groups if _worse(rows)]
    return (
        *(_note(name, rows, _seldom_words(rows)) for name, rows in seldom),
        *(_note(name, rows, _worse_words(rows)) for name, rows in worse),
    )


def _inside(rows: pd.DataFrame) -> int:
    """How many forecasts held the truth in their 90 % range."""
    return int(rows["rank"].between(0.05, 0.95).sum())


def _seldom(rows: pd.DataFrame, groups: int) -> bool:
    """Whether the truth lay inside too seldom for bad luck."""
    return bool(bdtr(_inside(rows), len(rows), 0.9) < IMPLAUSIBLE / groups)


def _worse(rows: pd.DataFrame) -> bool:
    """Whether last year's use would surely have been better."""
    missed_more = int((rows["loss"] > rows["loss_last_year"]).sum())
    much = rows["loss"].sum() > WORSE * rows["loss_last_year"].sum()
    return bool(much and bdtrc(missed_more - 1, len(rows), 0.5) < SURE)


def _seldom_words(rows: pd.DataFrame) -> str:
    return (
        f"only {_inside(rows)} held the true use in their range (about {0.9 * len(rows):.0f} "
        f"should), so the ranges are too narrow there"
    )


def _worse_words(rows: pd.DataFrame) -> str:
    ratio = rows["loss"].sum() / rows["loss_last_year"].sum()
    return f"last year's use would have been nearer (the misses were {ratio:.1f} times as large)"


def _note(name: str, rows: pd.DataFrame, wrong: str) -> Problem:
    return Problem(
        "",
        "changes",
        (),
        "",
        "",
        "note",
        f"do not rely on the forecast {name}: looking back, of {len(rows)} forecasts of a quarter, "
        f"{wrong}",
        "Look what is done differently there, and order by last year's use until it is clear",
        WEIGHT,
    )
