"""What is due for a turn or a change, and when: one row a machine and position.

Dates are read off the draws: ``due_p10`` is the first day by which the next turn or change has
come in at least one draw of ten. A date that lies beyond the walk is left blank.
"""

import numpy as np
import pandas as pd

from wearcast.history.story import History
from wearcast.logbook.choices import Choices
from wearcast.outlook.records import Draws
from wearcast.outlook.use import sorted_quantile

OVERRUN = 3.0
"""Wear so far, in median lives, from where the log has most likely missed a change."""


def due_dates(
    draws: Draws,
    history: History,
    choices: Choices,  # noqa: ARG001 - every step of the story takes the same three
) -> pd.DataFrame:
    """The due list, soonest first; every position carried has a row.

    Returns
    -------
    DataFrame
        machine, site, position, part, edge (nan: unknown), edges, wear (0 new, 1 median life),
        next_action (turn, change, fit an empty position, look where the log cannot tell), due_p10,
        due_p50, due_p90 (next turn or change), replace_p50 (next change); NaT beyond the walk.
    """
    slots, days = draws.slots, _due_days(draws)
    frame = pd.DataFrame(
        {
            **{name: slots[name] for name in ("machine", "site", "position", "part")},
            "edge": history.running["edge"].to_numpy(dtype=float),
            "edges": slots["edges"],
            "wear": draws.wear_now,
            "next_action": next_actions(draws, history.running),
            "due_p10": _dates(draws.as_of, days["p10"]),
            "due_p50": _dates(draws.as_of, days["p50"]),
            "due_p90": _dates(draws.as_of, days["p90"]),
            "replace_p50": _dates(draws.as_of, days["change"]),
        }
    )
    soonest = ["due_p50", "due_p10", "machine", "position"]
    return frame.sort_values(soonest, na_position="last", ignore_index=True)


def _due_days(draws: Draws) -> dict[str, np.ndarray]:
    """Day of the next turn or change (p10, p50, p90) and of the next change; arrays (slots,)."""
    days: dict[str, list[np.ndarray]] = {"p10": [], "p50": [], "p90": [], "change": []}
    for block in draws.blocks:
        ordered = np.sort(block.next_day, axis=1)
        for name, chance in (("p10", 0.1), ("p50", 0.5), ("p90", 0.9)):
            days[name].append(sorted_quantile(ordered, chance))
        days["change"].append(sorted_quantile(np.sort(block.change_day, axis=1), 0.5))
    return {name: np.concatenate(each) for name, each in days.items()}


def next_actions(draws: Draws, running: pd.DataFrame) -> np.ndarray:
    """What comes next, array (slots,) of labels: ``turn``, ``change``, ``fit`` or ``look``."""
    age = running["age"].to_numpy(dtype=str)
    edge_unknown = running["edge"].isna().to_numpy() & (draws.slots["edges"].to_numpy() > 1)
    comes = np.concatenate([(one.next_end != 0).sum(axis=1) for one in draws.blocks])
    changes = np.concatenate([(one.next_end < 0).sum(axis=1) for one in draws.blocks])
    at_last = running["edge"].to_numpy(dtype=float) >= draws.slots["edges"].to_numpy()
    change = np.where(comes > 0, 2 * changes > comes, at_last | (age == "empty"))
    action = np.where(change, "change", "turn")
    action = np.where(
        (age == "unknown") | edge_unknown | (draws.wear_now > OVERRUN), "look", action
    )
    return np.where(age == "empty", "fit", action)


def _dates(as_of: pd.Timestamp, days: np.ndarray) -> pd.DatetimeIndex:
    """Days after as-of as dates; inf is NaT."""
    whole = np.where(np.isfinite(days), days, np.nan)
    return pd.DatetimeIndex(as_of + pd.to_timedelta(whole, unit="D"))
