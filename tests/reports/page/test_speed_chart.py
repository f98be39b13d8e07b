"""The machines that changed, as the page shows them."""

from types import SimpleNamespace

import pandas as pd
import pytest

from tests.wear.diagnostics.test_speed_changes import TURN, fleet
from wearcast.reports.page.speed_chart import MOST, speed_chart, sure_changes
from wearcast.wear.diagnostics.speed_over_time import speed_over_time


@pytest.fixture(scope="module")
def world():
    history, wear = fleet(8, seed=6, faster=1.8)
    names = sorted(history.spells["machine"].unique())
    history.machines = pd.DataFrame({"site": ["A"] * 2 + ["B"] * 6}, index=names)
    return history, wear


@pytest.mark.parametrize(("site", "machines"), [(None, 8), ("A", 2)])
def test_machines_that_changed_are_told_of_the_site_asked_for(world, site: str, machines: int):
    history, wear = world
    choices = SimpleNamespace(seed=1, site=site)
    found = sure_changes(SimpleNamespace(history=history, wear=wear, choices=choices))
    assert 0 < len(found) <= machines
    assert found["chance"].is_monotonic_increasing
    assert found["times"].gt(1).all()


def test_each_machine_that_changed_has_a_panel_up_to_a_sheet_full(world):
    names = [f"M{number:03d}" for number in range(8)]
    speeds = speed_over_time(*world, names)
    changes = pd.DataFrame({"machine": names, "since": TURN})
    drawn = speed_chart(changes, speeds)
    assert [name for name in names if f">{name}<" in drawn] == names[:MOST]
    assert speed_chart(changes[:0], speeds) == ""
