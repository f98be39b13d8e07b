"""Stretches of the log that are missing are found, and no life goes on through them."""

from dataclasses import replace

import numpy as np
import pandas as pd
import pytest

from wearcast.history.holes import cut_at_holes, find_holes, silent_as_ever
from wearcast.history.story import read_history
from wearcast.logbook.book import Logbook
from wearcast.told import GRAVE
from wearcast.wear.diagnostics.doubts import tell_holes

DAYS = pd.date_range("2025-01-06", "2025-12-29", freq="7D")
MISSING = (DAYS > "2025-06-01") & (DAYS < "2025-08-20")


def history(rows, *, stood_still=False, machines=("M1", "M2")):
    """Two machines of 20 h a week; both change a blade on these of their Mondays."""
    weeks = np.arange(len(DAYS), dtype=float)
    run = 20 * (np.cumsum(~MISSING) if stood_still else weeks)
    at = {"machine": np.repeat(machines, len(DAYS)), "date": np.tile(DAYS, len(machines))}
    readings = pd.DataFrame({**at, "hours": np.tile(run, len(machines))})
    changes = readings[np.tile(rows, len(machines))].assign(
        position="blade", action="fit", part="GB"
    )
    parts = pd.DataFrame({"part": ["GB"], "kind": ["blade"], "price": [8.0], "edges": [1]})
    machine = pd.DataFrame({"machine": machines, "site": [f"Site {one}" for one in machines]})
    book = Logbook.from_frames(
        machines=machine, readings=readings, changes=changes, parts=parts, as_of="2025-12-29"
    )
    return read_history(book)


def test_lives_are_cut_where_the_hole_begins():
    known = history(~MISSING)
    holes = find_holes(known)
    assert [(f"{one.begin:%d %m}", f"{one.end:%d %m}") for one in holes] == [("26 05", "25 08")]
    cut = cut_at_holes(known, holes)
    through = known.spells["hours"].gt(100)
    assert through.sum() == 2
    assert cut.spells.loc[through, "cause"].tolist() == ["running", "running"]
    # The life began on the day of the last change before the hole.
    assert cut.exposure[through].to_numpy().sum() == pytest.approx(0, abs=0.1)
    assert cut.exposure[~through].equals(known.exposure[~through])
    (told,) = tell_holes(holes)
    assert told.wrong.startswith(
        "no change is written between 26 May 2025 and 25 August 2025 at Site M1, Site M2, though"
    )
    assert told.weight >= GRAVE


@pytest.mark.parametrize(
    "known",
    [
        pytest.param(history(~MISSING, stood_still=True), id="nothing ran meanwhile"),
        pytest.param(history(np.arange(len(DAYS)) % 12 == 0), id="all is changed once a quarter"),
        pytest.param(history(np.arange(len(DAYS)) < 30), id="the log's end is another finding"),
    ],
)
def test_a_log_without_a_hole_is_left_alone(known):
    assert find_holes(known) == []


def test_who_comes_once_a_quarter_is_silent_in_between():
    quarterly = history(np.arange(len(DAYS)) % 12 == 0)
    assert silent_as_ever(quarterly, ["Site M1"]) == ["Site M1"]
    assert silent_as_ever(history(np.arange(len(DAYS)) < 40), ["Site M1"]) == []


def test_hours_between_far_readings_are_run_on_all_days_between():
    known = history(np.ones(len(DAYS), bool))
    meters = known.meters
    seldom = meters["machine"].eq("M2") & ~meters["date"].isin(DAYS[[0, -3]])
    assert find_holes(replace(known, meters=meters[~seldom])) == []
