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

PARTS = "part  price | blade  4"


def past(machines=("M1", "M2")):
    mixes = pd.DataFrame(
        {"machine": list(machines), "since": pd.Timestamp.min, "tile": 0.4, "vinyl": 0.6}
    )
    return replace(history(machines=machines), mixes=mixes, floors=("tile", "vinyl"))


def mixes_of(floors, machines=("M1", "M2"), seed=1):
    logbook = replace(book(PARTS), floors=filled("floors", floors))
    return possible_mixes(logbook, past(machines), seed)


def test_known_shares_make_one_mix():
    (only,) = mixes_of("machine  floor  share | M1  tile  0.4")
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


def drawn_odds(floors):
    return np.array([(mix["tile"] / mix["vinyl"]).iloc[0] for mix in mixes_of(floors, ("M1",))])


def test_a_blank_limit_is_none_at_all():
    up = drawn_odds("machine  floor  share  share_low  share_high | M1  tile  0.4  0.4  -")
    down = drawn_odds("machine  floor  share  share_low  share_high | M1  tile  0.4  -  0.4")
    # One draw in 25 lies in each slice of chance, so the last goes far towards 1, the first to 0;
    # vinyl keeps its 0.6.
    assert up.min() >= 0.4 / 0.6 - 1e-9
    assert 0.8 / 0.6 < up.max() <= 1 / 0.6
    assert down.max() <= 0.4 / 0.6 + 1e-9
    assert 0 <= down.min() < 0.1 / 0.6


def test_a_range_that_the_share_lies_outside_reaches_to_the_share():
    odds = drawn_odds("machine  floor  share  share_low  share_high | M1  tile  0.4  0.5  0.6")
    assert 0.4 / 0.6 - 1e-9 <= odds.min() < 0.5 / 0.6


def test_every_slice_of_chance_is_drawn_once():
    odds = np.sort(drawn_odds(RANGED))
    tile = odds * 0.6
    # The triangle from 0.2 over 0.4 to 0.6, at k / 25 and (k + 1) / 25 (scipy).
    limits = stats.triang.ppf(np.arange(MIXES + 1) / MIXES, 0.5, 0.2, 0.4)
    assert (tile >= limits[:-1] - 1e-9).all()
    assert (tile <= limits[1:] + 1e-9).all()
    assert not np.array_equal(drawn_odds(RANGED), odds)


def test_a_machine_without_a_range_keeps_its_shares():
    drawn = mixes_of(RANGED.replace("M2 ", "M9 "))
    assert all(mix["tile"].iloc[1] == pytest.approx(0.4) for mix in drawn)


def test_a_second_row_of_a_floor_adds_no_range():
    twice = RANGED + "    M1       tile   0.4    0.0        1.0\n"
    assert np.array_equal(drawn_odds(twice), drawn_odds(RANGED))


def test_shares_of_nothing_stay_nothing():
    nothing = past(("M1",))
    nothing = replace(nothing, mixes=nothing.mixes.assign(tile=0.0, vinyl=0.0))
    floors = "machine  floor  share  share_low  share_high\n M1  tile  0  0  0"
    logbook = replace(book(PARTS), floors=filled("floors", floors))
    made = possible_mixes(logbook, nothing, 1)
    assert all(mix[["tile", "vinyl"]].to_numpy() == pytest.approx(0.0, abs=1e-9) for mix in made)


def test_draws_are_dealt_one_after_the_other():
    assert dealt(3, 7).tolist() == [0, 1, 2, 0, 1, 2, 0]
    assert {number: draws.tolist() for number, draws in batches(dealt(3, 7))} == {
        0: [0, 3, 6], 1: [1, 4], 2: [2, 5],
    }  # fmt: skip


@pytest.mark.parametrize(("chance", "value"), [(0.0, 0.2), (0.2, 0.3), (1.0, 0.7)])
def test_the_triangle_begins_peaks_and_ends_where_it_is_said(chance, value):
    # From 0.2 over 0.3 to 0.7: a fifth of the chance lies below the peak.
    three = (np.array(0.2), np.array(0.3), np.array(0.7))
    assert triangular(np.array(chance), *three) == pytest.approx(value)
