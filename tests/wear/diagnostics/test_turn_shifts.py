"""Habits of turning that changed are told, and forecast as they are now."""

import numpy as np
import pandas as pd
import pytest

from wearcast.told import GRAVE
from wearcast.wear.diagnostics.turn_shifts import as_now, tell_turn_shifts, turn_shifts

AS_OF = pd.Timestamp("2026-06-30")


def ends(site, early, *, months=12, each=10, at_once=False):
    """So many ends a month, of which so many are early, the newest month first."""
    rows = []
    for month in range(months):
        share = early[month] if month < len(early) else early[-1]
        rows += [
            (site, AS_OF - pd.Timedelta(days=30 * month + day), number * 7 % 10 < 10 * share)
            for number, day in enumerate([15] * each if at_once else np.arange(each) * 30 // each)
        ]
    frame = pd.DataFrame(rows, columns=["site", "end", "replaced"])
    return frame.assign(wears_as="gum", edge=1.0, edges=4, cause="worn",
                        ended=np.where(frame["replaced"], "fit", "turn"))  # fmt: skip


def test_a_site_that_turns_no_more_is_named_and_only_its_newest_ends_tell_its_habit():
    used = pd.concat([ends("Hall", [0.9] * 3 + [0.2]), ends("Quay", [0.2])], ignore_index=True)
    shifts = turn_shifts(used, AS_OF)
    assert [one.sites for one in shifts] == [("Hall",)]
    assert (shifts[0].before, shifts[0].after) == pytest.approx((0.2, 0.9), abs=0.03)
    now = as_now(used, shifts, AS_OF)
    assert now.groupby("site")["replaced"].mean()["Hall"] == pytest.approx(0.9, abs=0.03)
    assert now["site"].eq("Quay").sum() == 120
    (found,) = tell_turn_shifts(shifts, AS_OF)
    assert (
        "gum with edges left is replaced, not turned, more often than it was, at Hall (90% since"
        in found.wrong
    )
    assert found.weight >= GRAVE


def test_sites_of_few_ends_each_are_told_together():
    few = [ends(f"S{n}", [1.0] * 3 + [0.0], each=2) for n in range(12)]
    (shift,) = turn_shifts(pd.concat(few, ignore_index=True), AS_OF)
    assert len(shift.sites) == 12


@pytest.mark.parametrize(
    "used",
    [
        pytest.param(ends("Hall", [0.3]), id="as ever"),
        pytest.param(ends("Hall", [0.3] * 3 + [0.2], each=60), id="a little"),
        pytest.param(ends("Hall", [0.9] * 3 + [0.2], each=2), id="too few to say"),
        pytest.param(
            ends("Hall", [0] * 23 + [0.5], months=24), id="a few parts where else there is none"
        ),
        # A campaign replaces all of a site at once: one deed, not so many.
        pytest.param(
            ends("Hall", [0.5, 0, 0.5, 0, 0, 0.5, 0, 0, 0.5, 0], each=30, at_once=True),
            id="campaigns",
        ),
    ],
)
def test_nothing_is_told_of_a_habit_that_stays(used):
    assert turn_shifts(used, AS_OF) == []


def test_exactly_three_edges_are_a_habit_and_no_change():
    # The log begins with new parts, so third edges come later.
    used = ends("Hall", [1.0] * 5 + [0.0])
    assert turn_shifts(used.assign(edge=np.where(used["replaced"], 3.0, 1.0)), AS_OF) == []
