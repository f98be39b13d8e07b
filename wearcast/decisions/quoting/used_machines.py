"""Machines that come with used parts: what a proposal says of them, and what is drawn.

``hours_on`` at a position is the run hours of the edge at work when the contract starts. Without
it a machine that was in service before the contract carries parts of unknown age, as they are met
in the long run; any other machine carries new ones.
"""

from dataclasses import replace

import numpy as np
import pandas as pd

from wearcast.history.story import History
from wearcast.logbook.book import Logbook
from wearcast.outlook.walking.clock import floor_stretches

NEW, USED, UNKNOWN = "new", "used", "used, age unknown"


def with_used_parts(history: History, book: Logbook) -> History:
    """The history, its running positions as the proposal says they are at the start.

    Hours on an edge count on the floors of the machine's mix; which edge of several it is, is
    drawn. Hours are an array (positions, floors).
    """
    running = history.running
    on = _hours_on(running, book)
    serving = running["machine"].map(history.machines["in_service"])
    before = (serving <= history.as_of).to_numpy()
    age = np.select([on == 0, on > 0, before], ["new", "known", "unknown"], running["age"])
    machines = tuple(map(str, history.machines.index))
    mix = floor_stretches(history.mixes, machines, history.floors, history.as_of).mix[:, 0]
    seat = history.machines.index.get_indexer(pd.Index(running["machine"]))
    hours = np.nan_to_num(on)[:, None] * mix[seat]
    exposure = pd.DataFrame(hours, index=running.index, columns=list(history.floors))
    edge = np.where((age == "new") | (running["edges"] == 1), 1.0, np.nan)
    return replace(history, running=running.assign(age=age, edge=edge), running_exposure=exposure)


def carries(history: History) -> pd.Series:
    """What each machine's parts are at the start: new, used, or used and of unknown age."""
    rank = history.running["age"].map({"known": 1, "unknown": 2}).fillna(0)
    worst = rank.groupby(history.running["machine"]).max().reindex(history.machines.index)
    return worst.fillna(0).astype(int).map({0: NEW, 1: USED, 2: UNKNOWN})


def _hours_on(running: pd.DataFrame, book: Logbook) -> np.ndarray:
    """Hours on the edge at each position [h], nan where the proposal does not say; (slots,)."""
    rows = book.positions.drop_duplicates(["machine", "position"])
    said = rows.set_index(["machine", "position"])["hours_on"].astype(float)
    keys = pd.MultiIndex.from_frame(running[["machine", "position"]])
    return np.asarray(said.reindex(keys).to_numpy(float))
