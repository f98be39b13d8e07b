"""What the person chose: settings of the logbook, overruled by the command line.

One frozen record travels through every room, so that no function takes ten options.
"""

from dataclasses import dataclass

import pandas as pd


@dataclass(frozen=True, slots=True)
class Choices:
    """Everything that steers a run. Dates are midnight timestamps; windows are inclusive."""

    as_of: pd.Timestamp
    order_from: pd.Timestamp
    """First day of the window ordered for."""
    order_to: pd.Timestamp
    """Last day of the window ordered for."""
    currency: str = ""
    service_level: float = 0.95
    review_weeks: float = 13.0
    price_growth: float = 0.0
    """A year; 0.03 = 3 %."""
    lead_days: float = 14.0
    fit: str = "blended"
    """``blended`` or ``data only``."""
    pace: str = "machine"
    """``machine`` or ``off``."""
    seed: int = 1
    draws: int = 1000
    due_weeks: float = 6.0
    gather_days: float = 14.0
    closed_days: tuple[pd.Timestamp, ...] = ()
    speed_km_h: float | None = None
    work_share: float | None = None
    labour_rate: float | None = None
    site: str | None = None
    """Only this site is shown (``--site``); everything is computed all the same."""
