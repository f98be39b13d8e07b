"""How sharp and how honest the forecast is: ``python -m tests.studies.forecasts.sharpness``.

Prints, a story: the pinball loss of pieces used per site (each part by itself, and all parts
together) over the oracle's and over last year's use, and the oracle's over that of last year's use;
cover of the 90 % interval; how even the integral transform is (chi-square of ten equal bins); mean
bias.
"""

import argparse
from pathlib import Path

import numpy as np
import pandas as pd
from scipy import stats

from tests.fleets import STORIES, make_fleet
from tests.studies.forecasts.judging import forecast_of, judge


def study(story: str, seeds: range, draws: int) -> pd.DataFrame:
    """Every row of every fleet of a story."""
    rows = []
    for seed in seeds:
        fleet = make_fleet(seed, story)
        rows.append(judge(fleet, forecast_of(fleet, draws=draws)))
    return pd.concat(rows, ignore_index=True).assign(story=story)


def summary(rows: pd.DataFrame) -> pd.DataFrame:
    """One row a story, level, parts (``each`` or ``all``) and period."""
    parts = np.where(rows["part"] == "all", "all", "each")
    keys = [
        rows["story"],
        rows["level"],
        pd.Series(parts, rows.index, name="parts"),
        rows["period"],
    ]
    return rows.groupby(keys).apply(_scored, include_groups=False)


def _scored(rows):
    big = rows[rows["best_mean"] >= 20]
    inside = big["pit"].between(0.05, 0.95)
    bins = np.histogram(rows["pit"], 10, (0, 1))[0]
    return pd.Series(
        {
            "rows": len(rows),
            "over_oracle": rows["loss"].sum() / rows["loss_oracle"].sum(),
            "over_last_year": rows["loss"].sum() / rows["loss_last_year"].sum(),
            "oracle_over_last_year": rows["loss_oracle"].sum() / rows["loss_last_year"].sum(),
            "cover_90": inside.mean(),
            "oracle_90": big["best_pit"].between(0.05, 0.95).mean(),
            "pit_mean": rows["pit"].mean(),
            "pit_even": stats.chisquare(bins).pvalue,
            "bias": rows["mean"].sum() / rows["actual"].sum() - 1,
            "oracle_bias": rows["best_mean"].sum() / rows["actual"].sum() - 1,
            "spread": np.sqrt((rows["spread"] ** 2).sum() / (rows["best_spread"] ** 2).sum()),
        }
    )


def main() -> None:
    """The table, and on request its rows as CSV."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--story", choices=(*STORIES, "all"), default="all")
    parser.add_argument("--fleets", type=int, default=30)
    parser.add_argument("--first", type=int, default=0, help="seed of the first fleet")
    parser.add_argument("--draws", type=int, default=500)
    parser.add_argument("--rows", type=Path, help="folder for the rows, one CSV a story")
    asked = parser.parse_args()
    seeds = range(asked.first, asked.first + asked.fleets)
    for story in STORIES if asked.story == "all" else (asked.story,):
        rows = study(story, seeds, asked.draws)
        if asked.rows:
            asked.rows.mkdir(parents=True, exist_ok=True)
            rows.to_csv(asked.rows / f"{story}.csv", index=False)
        print(summary(rows).round(3).to_string(), flush=True)  # noqa: T201


if __name__ == "__main__":
    main()
