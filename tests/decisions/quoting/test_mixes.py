"""Floor mixes drawn between a lowest and a highest share."""

from dataclasses import replace

import numpy as np
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from tests.decisions.makers import book, filled, history
from wearcast.decisions.quoting.mixes import MIXES, batches, dealt, possible_mixes, triangular

PARTS = """
    part   price
    blade  4
"""


def past(machines=("M1", "M2")):
    mixes = pd.DataFrame(
        {"machine": list(machines), "since": pd.Timestamp.min, "tile": 0.4, "vinyl": 0.6}
    )
    return replace(history(machines=machines), mixes=mixes, floors=("tile", "vinyl"))


def mixes_of(floors, machines=("M1", "M2"), seed=1):
    logbook = replace(book(PARTS), floors=filled("floors", floors))
    return possible_mixes(logbook, past(machines), seed)


def test_known_shares_make_one_mix():
    (only,) = mixes_of("""
        machine  floor  share
        M1       tile   0.4
    """)
    assert only.equals(past().mixes)


RANGED = """
    machine  floor  share  share_low  share_high
    M1       tile   0.4    0.2        0.6
    M2       tile   0.4    0.2        0.6
"""


def test_drawn_shares_lie_in_their_range_and_sum_to_one():
    drawn = mixes_of(RANGED)
    assert len(drawn) == MIXES
    for mixes in drawn:
        odds = (mixes["tile"] / mixes["vinyl"]).to_numpy()
        assert (odds >= 0.2 / 0.6 - 1e-9).all()
        assert (odds <= 0.6 / 0.6 + 1e-9).all()
        assert np.allclose(mixes[["tile", "vinyl"]].sum(axis=1), 1)


def test_machines_of_a_site_move_together():
    assert all(mixes["tile"].iloc[0] == mixes["tile"].iloc[1] for mixes in mixes_of(RANGED))


def test_another_machine_leaves_the_drawn_shares_alone():
    alone = [mixes["tile"].iloc[0] for mixes in mixes_of(RANGED, ("M1",))]
    both = [mixes["tile"].iloc[0] for mixes in mixes_of(RANGED)]
    assert alone == both


@given(st.floats(0.01, 0.99))
def test_the_triangular_quantile_agrees_with_a_statistics_library(chance):
    # scipy.stats.triang.ppf with its peak at (0.3 - 0.2) / (0.7 - 0.2).
    ours = triangular(np.array(chance), np.array(0.2), np.array(0.3), np.array(0.7))
    assert ours == pytest.approx(stats.triang.ppf(chance, 0.2, 0.2, 0.5))


def test_a_range_of_no_width_gives_its_only_share():
    assert triangular(np.array(0.7), np.array(0.4), np.array(0.4), np.array(0.4)) == pytest.approx(
        0.4, abs=1e-6
    )


def test_every_draw_takes_one_mix():
    taken = np.concatenate([draws for _, draws in batches(dealt(4, 10))])
    assert sorted(taken.tolist()) == list(range(10))


def test_two_sites_have_chances_of_their_own_and_one_sites_machines_share_them():
    sites = replace(past(("M1", "M2", "M3")))
    sites.machines["site"] = ["north", "south", "north"]
    floors = filled(
        "floors",
        """
        machine  floor  share  share_low  share_high
        M1       tile   0.5    0.2        0.8
        M2       tile   0.5    0.2        0.8
        M3       tile   0.5    0.2        0.8
        """,
    )
    made = possible_mixes(replace(book(PARTS), floors=floors), sites, 1)
    tile = np.array([mix.set_index("machine")["tile"] for mix in made])
    assert np.array_equal(tile[:, 0], tile[:, 2])
    assert abs(np.corrcoef(tile[:, 0], tile[:, 1])[0, 1]) < 0.9
