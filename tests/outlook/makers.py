"""Small hand-built histories, hours and wear for the tests of the outlook."""

import numpy as np
import pandas as pd

from wearcast.history.story import History
from wearcast.outlook.records import HoursDraws
from wearcast.wear.records import WearDraws

AS_OF = pd.Timestamp(2026, 10, 31)
ALWAYS = pd.Timestamp.min.ceil("D")


def positions(rows: list[dict[str, object]]) -> pd.DataFrame:
    """Running positions; what a row does not say is a new one-edged part of one piece."""
    usual = {
        "machine": "M1",
        "site": "north",
        "depot": "main",
        "position": "front blade",
        "part": "blade",
        "wears_as": "blade",
        "kind": "blade",
        "edges": 1,
        "edge": 1.0,
        "pieces": 1.0,
        "age": "new",
        "last_position_date": pd.NaT,
    }
    return pd.DataFrame([usual | row for row in rows])


def history_of(
    running: pd.DataFrame,
    mixes: pd.DataFrame | None = None,
    exposure: np.ndarray | None = None,
    floors: tuple[str, ...] = ("vinyl",),
    meters: pd.DataFrame | None = None,
    machines: pd.DataFrame | None = None,
) -> History:
    """A history that carries these positions, on the first floor unless said otherwise."""
    empty = pd.DataFrame()
    if mixes is None:
        names = sorted(set(running["machine"])) if len(running) else []
        mixes = pd.DataFrame({"machine": names, "since": ALWAYS})
        for floor in floors:
            mixes[floor] = float(floor == floors[0])
    if exposure is None:
        exposure = np.zeros((len(running), len(floors)))
    return History(
        as_of=AS_OF,
        meters=empty if meters is None else meters,
        machines=empty if machines is None else machines,
        spells=empty,
        exposure=empty,
        end_mix=empty,
        running=running,
        running_exposure=pd.DataFrame(exposure, columns=list(floors)),
        mixes=mixes,
        uses=empty,
        floors=floors,
    )


def steady_hours(
    hours: float | np.ndarray, draws: int, weeks: int, machines: tuple[str, ...] = ("M1",)
) -> HoursDraws:
    """The same hours a week in every draw; an array gives the hours week by week."""
    weekly = np.broadcast_to(np.asarray(hours, dtype=np.float32), (len(machines), draws, weeks))
    return HoursDraws(machines, np.array(weekly), {})


def same_wear(
    slots: int,
    draws: int,
    rate: float | list[float] = 0.01,
    shape: float = 2.0,
    pace: float = 1.0,
    damage: float | list[float] = 0.0,
    removal: float = 0.0,
    off_shape: float = 1.0,
    replaced: tuple[float, float, float] = (0.0, 0.0, 1.0),
    stress: float | list[float] = 1.0,
    twin: list[int] | None = None,
) -> WearDraws:
    """Wear that is known exactly: the same parameters in every slot and draw.

    ``removal`` and ``off_shape`` are rate and shape of being taken off, ``replaced`` the chances
    that a worn, torn or taken off edge takes the part with it, ``stress`` factors by quarter.
    """
    rates, damages = np.atleast_1d(rate), np.atleast_1d(damage)
    floors = max(len(rates), len(damages))
    early = np.array(replaced)[None, :, None, None]
    return WearDraws(
        rate=np.broadcast_to(rates, (slots, draws, floors)).astype(float),
        shape=np.full((slots, draws), shape),
        pace=np.full((slots, draws), pace),
        damage=np.broadcast_to(damages, (slots, draws, floors)).astype(float),
        off_rate=np.full((slots, draws), removal),
        off_shape=np.full((slots, draws), off_shape),
        habit=np.broadcast_to(early, (1, 3, 4, draws)).astype(float),
        habit_of=np.zeros(slots, dtype=np.int64),
        stress=np.broadcast_to(np.atleast_1d(stress), (1, draws, np.size(stress))).astype(float),
        site_lift=np.zeros((slots, draws)),
        machine_lift=np.zeros((slots, draws)),
        twin=np.full(slots, -1) if twin is None else np.array(twin),
    )
