"""Turns and new parts that nobody writes are told."""

import pandas as pd
import pytest

from wearcast.told import GRAVE
from wearcast.wear.diagnostics.turns import tell_missing_fits, tell_no_turns


def spells(sites, edges=4):
    """By site: how many parts came off and how many edges were turned."""
    rows = [
        (site, ended)
        for site, (parts, turns) in sites.items()
        for ended in ["fit"] * parts + ["turn"] * turns
    ]
    frame = pd.DataFrame(rows, columns=["site", "ended"])
    return frame.assign(wears_as="gum", edges=edges)


@pytest.mark.parametrize(
    ("sites", "where"),
    [
        ({"Quay": (10, 0)}, "any site"),
        ({"Quay": (12, 0), "Hall": (9, 20)}, "Quay"),
        ({"Quay": (12, 0), "Hall": (11, 0), "Yard": (3, 0)}, "Hall, Quay"),
    ],
)
def test_sites_without_a_turn_are_named(sites, where):
    (found,) = tell_no_turns(spells(sites))
    assert found.wrong.startswith(f"no turn of gum is written at {where}, though")


@pytest.mark.parametrize(
    "used",
    [
        pytest.param(spells({"Quay": (9, 0)}), id="too few to say"),
        pytest.param(spells({"Quay": (30, 1)}), id="hardly ever turned"),
        pytest.param(spells({"Quay": (30, 0)}, edges=1), id="one edge"),
    ],
)
def test_nothing_is_said_elsewhere(used):
    assert tell_no_turns(used) == []


def parts_ended(sites):
    """By site: how many parts came off, and how many more were turned after their last edge."""
    frame = pd.concat(
        pd.DataFrame({"site": site, "ended": ["fit"] * fits + ["assumed fit"] * missing})
        for site, (fits, missing) in sites.items()
    )
    return frame.assign(edges=4)


def test_turns_after_the_last_edge_that_are_no_slips_stand_before_any_figure():
    (found,) = tell_missing_fits(parts_ended({"Quay": (76, 4), "Hall": (80, 3), "Yard": (95, 4)}))
    assert "at Quay (4 of 80):" in found.wrong
    assert found.weight >= GRAVE
