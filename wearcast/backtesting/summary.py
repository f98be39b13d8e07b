"""The record of earlier forecasts: coverage and losses by period, and the same in sentences."""

import pandas as pd

ALL = "all"
"""The part that stands for every part together."""


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


def record_words(summary: pd.DataFrame, frame: pd.DataFrame) -> tuple[str, ...]:
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
        looked = name if len(total) > 1 else period
        words.append(
            f"In {inside} of {len(total)} {looked} the fleet's true use lay inside the 90 % range."
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
        words += (
            f"; its misses were {100 * abs(1 - ratio):.0f} % {side} than those of last year's use"
        )
    return words + "."
