"""Laws of the walk, and what it does in single cases that can be reckoned by hand."""

import dataclasses

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.outlook.makers import ALWAYS, AS_OF, history_of, positions, same_wear, steady_hours
from wearcast.outlook.records import Draws, HoursDraws
from wearcast.outlook.use import count_pieces
from wearcast.outlook.walk import walk_slots

# A shape this large makes every life the same to a fraction of a percent: dates by hand.
FIXED = 5000.0


def walked(
    rows: list[dict[str, object]],
    weekly: float | np.ndarray = 35.0,
    draws: int = 50,
    weeks: int = 8,
    seed: int = 1,
    days: int | None = None,
    exposure: np.ndarray | None = None,
    machines: tuple[str, ...] = ("M1",),
    **wear: float,
) -> Draws:
    running = positions(rows)
    return walk_slots(
        same_wear(len(rows), draws, **wear),
        steady_hours(weekly, draws, weeks, machines),
        history_of(running, exposure=exposure),
        seed=seed,
        days=days or 7 * weeks,
    )


LIFE, OFTEN = {"rate": 1 / 52, "shape": FIXED}, {"off_shape": FIXED, "replaced": (0.0, 0.0, 0.0)}
STRESS = {"weeks": 20, "stress": [1.2, 1.0]}
BY_HAND = {
    # 5 h a day, life 52 h: ends at 10.4 and 20.8 days, that is on days 11 and 21.
    "a fixed life": ({}, LIFE | {"days": 28}, {"day": {11, 21}}),
    # 22 h left at 5 h a day.
    "wear so far": (
        {"age": "known"},
        LIFE | {"exposure": np.array([[30.0]]), "days": 7},
        {"change_day": {5}},
    ),
    # 4 x 52 h at 5 h a day: 41.6 days.
    "turned three times before it is changed": (
        {"edges": 4},
        LIFE | {"days": 45},
        {"next_day": {11}, "change_day": {42}},
    ),
    "a habit of throwing away loses the edges that were left": (
        {"edges": 4},
        LIFE | {"days": 12, "replaced": (1.0, 0.0, 1.0)},
        {"next_day": {11}, "change_day": {11}, "edges_lost": {3}},
    ),
    # Four edges of 52 h at 5 h a day: turned on day 11, off on day 42.
    "taken off and turned where that is the habit": (
        {"edges": 4},
        OFTEN | {"rate": 1e-9, "removal": 1 / 52, "days": 45},
        {"next_day": {11}, "change_day": {42}},
    ),
    # Edges that would last 200 h are turned at 62; this one has run 20 of them: 42 h at 5 a day,
    # and two edges more: 166 h.
    "a schedule is kept by the hours an edge has run": (
        {"age": "known", "edges": 4, "edge": 2.0},
        OFTEN
        | {"exposure": np.array([[20.0]]), "rate": 1 / 200, "shape": FIXED}
        | {"removal": 1 / 62},
        {"next_day": {9}, "change_day": {34}},
    ),
    "a schedule does not end edges that wear out before": (
        {},
        LIFE | {"removal": 1 / 60, "off_shape": FIXED, "days": 28},
        {"cause": {0}},
    ),
    # 35 h a week felt as 42: 5 h a day are 6. Life 52 h: day 9 instead of 11.
    "a quarter of stress": ({}, LIFE | STRESS | {"days": 18}, {"day": {9, 18}}),
    # 13 weeks at 42 h and then 35: 620 h are 546 in the quarter and 74 of 5 h a day after it.
    "stress ends with its quarter": (
        {},
        STRESS | {"rate": 1 / 620, "shape": FIXED, "days": 140},
        {"day": {91 + 15}},
    ),
    "a pause of three weeks": (
        {},
        LIFE | {"weekly": np.array([0.0] * 3 + [35.0] * 5), "days": 35},
        {"change_day": {32}},
    ),
    "a machine that the hours do not know": ({"machine": "M9"}, {"rate": 1.0}, {"day": set()}),
}


@pytest.mark.parametrize(("row", "how", "found"), BY_HAND.values(), ids=BY_HAND.keys())
def test_single_cases_are_as_reckoned_by_hand(row, how, found):
    draws = walked([row], **how)
    assert {name: set(getattr(draws, name).ravel()) for name in found} == found


def test_no_drawn_life_is_so_short_that_changes_never_end():
    # A rate of 1,000,000 an hour: without a limit, half a million changes in 8 h a week.
    draws = walked([{}], weekly=8.0, weeks=52, rate=1e6, draws=3)
    # One part is on at as-of; then four a day at most.
    assert np.bincount(draws.draw).tolist() == [4 * 364 + 1] * 3


def test_a_longer_look_ahead_leaves_the_first_year_as_it_was():
    near, far = (walked([{}], weeks=weeks, rate=3.0, damage=0.1, days=364) for weeks in (52, 80))
    assert near.day.tolist() == far.day.tolist()


def test_an_edge_taken_off_takes_the_part_with_it_where_that_is_the_habit():
    draws = walked([{"edges": 4}], rate=1e-9, removal=0.2, draws=200, weeks=2)
    assert set(draws.cause) == {2}
    assert np.array_equal(draws.next_day, draws.change_day)


def twins(draws=8000, **wear):
    """Two positions that are handled together, and what became of them."""
    return walked([{}, {"position": "rear blade"}], draws=draws, twin=[-1, 0], **wear)


def test_twins_end_on_the_same_day():
    # Worn here, taken off there, alike: each hazard is that of the partner's other end.
    draws = twins(200, rate=1 / 60, shape=1.0, removal=1 / 60)
    assert np.array_equal(draws.next_day[0], draws.next_day[1])


def test_where_one_twin_wears_out_the_other_is_taken_off():
    draws = twins(200, rate=1 / 60, shape=1.0, removal=1 / 60)
    first = {slot: np.flatnonzero(draws.slot == slot) for slot in (0, 1)}
    causes = [
        draws.cause[at][np.unique(draws.draw[at], return_index=True)[1]] for at in first.values()
    ]
    assert set(causes[0]) == {0, 2}
    assert (causes[0] + causes[1] == 2).all()


def test_each_twin_keeps_the_law_of_an_edge_alone():
    wear = {"rate": 1 / 60, "shape": 2.0, "removal": 1 / 90, "damage": 1 / 300}
    alone = walked([{"position": "rear blade"}], draws=8000, **wear)
    together = twins(**wear)
    for day in (5, 12, 20):
        shares = [(d.next_day[slot] <= day).mean() for d, slot in ((alone, 0), (together, 1))]
        # 8,000 draws each: four standard errors of a difference of shares.
        assert shares[0] == pytest.approx(shares[1], abs=4 * np.sqrt(0.5 / 8000))


def test_stress_leaves_the_hours_as_they_are():
    plain, stressed = (walked([{}], weeks=20, stress=stress) for stress in (1.0, [1.3, 0.8]))
    assert np.array_equal(plain.hours, stressed.hours)
    assert np.array_equal(plain.weekly_hours, stressed.weekly_hours)


def test_an_empty_position_is_refitted_the_next_day_and_uses_pieces():
    draws = walked([{"age": "empty", "pieces": 2.0}], rate=1e-9)
    assert set(draws.day) == {1}
    assert set(draws.cause) == {3}
    assert (count_pieces(draws, np.array([0]), 1, 1) == 2.0).all()


def test_standing_still_costs_nothing():
    draws = walked([{}, {"position": "rear blade"}], weekly=0.0, rate=1.0, damage=1.0, removal=1.0)
    assert len(draws.day) == 0
    assert np.isinf(draws.next_day).all()


def test_a_rougher_floor_from_a_date_on_bends_the_wear():
    # 10 days of vinyl at 5 h a day use 50/105 of the edge; tile then uses the rest twice as fast:
    # 55 h of vinyl left are 27.5 h of tile, 5.5 days more.
    floors = ("quarry tile", "vinyl")
    since = AS_OF + pd.Timedelta(days=11)
    mixes = pd.DataFrame(
        [["M1", ALWAYS, 0.0, 1.0], ["M1", since, 1.0, 0.0]], columns=["machine", "since", *floors]
    )
    history = history_of(positions([{}]), mixes, floors=floors)
    wear = same_wear(1, 5, rate=[2 / 105, 1 / 105], shape=FIXED)
    draws = walk_slots(wear, steady_hours(35.0, 5, 8), history, seed=1, days=56)
    assert set(draws.change_day[0]) == {16.0}
    assert draws.wear_share[0] == pytest.approx([2 * 46 / (2 * 46 + 10), 10 / (2 * 46 + 10)])


def test_nothing_carried_gives_no_uses():
    history = dataclasses.replace(history_of(positions([{}])), running=positions([{}]).iloc[:0])
    history = dataclasses.replace(history, running_exposure=history.running_exposure.iloc[:0])
    draws = walk_slots(same_wear(0, 10), steady_hours(30.0, 10, 4), history, seed=1, days=28)
    assert len(draws.day) == 0
    assert draws.next_day.shape == (0, 10)


def test_the_same_seed_gives_the_same_bytes():
    rows = [{"edges": 4}, {"position": "rear blade", "age": "unknown", "edges": 4}]
    one, two = (walked(rows, rate=0.05, damage=0.002, removal=0.001, seed=9) for _ in range(2))
    for name in ("slot", "draw", "day", "cause", "edges_lost", "next_day", "change_day"):
        assert getattr(one, name).tobytes() == getattr(two, name).tobytes()


def test_another_seed_gives_other_draws():
    one, two = (walked([{}], rate=0.05, seed=seed) for seed in (1, 2))
    assert not np.array_equal(one.next_day, two.next_day)


@settings(max_examples=15, deadline=None)
@given(st.lists(st.sampled_from(["M0", "M2", "M3"]), unique=True, min_size=1), st.integers(1, 9))
def test_adding_machines_leaves_the_draws_of_the_others_alone(others: list[str], seed: int):
    wear = {"rate": 0.04, "damage": 0.003, "removal": 0.001, "replaced": (0.3, 0.0, 1.0)}
    row = {"edges": 4, "age": "unknown", "edge": np.nan}
    alone = walked([row], seed=seed, **wear)
    names = tuple(sorted(["M1", *others]))
    fleet = walked([row | {"machine": name} for name in names], seed=seed, machines=names, **wear)
    place = names.index("M1")
    assert np.array_equal(alone.next_day[0], fleet.next_day[place])
    assert np.array_equal(alone.day, fleet.day[fleet.slot == place])


@settings(max_examples=15, deadline=None)
@given(st.integers(1, 30), st.integers(1, 25), st.integers(1, 9))
def test_more_days_never_mean_fewer_changes_and_leave_the_first_ones_alone(
    days: int, more: int, seed: int
):
    wear = {"rate": 0.05, "damage": 0.004, "seed": seed}
    short = walked([{"edges": 2}], days=days, weeks=5, **wear)
    long = walked([{"edges": 2}], days=days + more, weeks=9, **wear)
    assert np.array_equal(short.day, long.day[long.day <= days])


@settings(max_examples=15, deadline=None)
@given(st.integers(1, 6), st.integers(1, 9))
def test_hours_in_other_units_leave_every_date_alone(power: int, seed: int):
    # A power of two, so that single precision rounds alike.
    unit = 2.0**power
    plain = walked([{}], weekly=16.0, rate=1 / 32, damage=1 / 512, removal=1 / 1024, seed=seed)
    other = walked(
        [{}],
        weekly=16.0 * unit,
        rate=1 / 32 / unit,
        damage=1 / 512 / unit,
        removal=1 / 1024 / unit,
        seed=seed,
    )
    assert np.array_equal(plain.day, other.day)


def test_pieces_scale_the_use_and_nothing_else():
    one, four = (walked([{"pieces": pieces}], rate=0.05) for pieces in (1.0, 4.0))
    counted = [count_pieces(draws, np.array([0]), 1, 56) for draws in (one, four)]
    assert np.array_equal(4.0 * counted[0], counted[1])


def test_walking_in_chunks_changes_nothing(monkeypatch: pytest.MonkeyPatch):
    rows = [{"position": f"pad {n}", "edges": 2} for n in range(7)]
    whole = walked(rows, rate=0.06)
    monkeypatch.setattr("wearcast.outlook.walk.ROWS_AT_ONCE", 100)
    cut = walked(rows, rate=0.06)
    assert np.array_equal(whole.day, cut.day)
    assert np.array_equal(whole.slot, cut.slot)


def test_uses_are_sorted_by_slot_draw_and_day():
    rows = [{"position": f"pad {n}"} for n in range(5)]
    draws = walked(rows, rate=0.2)
    order = np.lexsort((draws.day, draws.draw, draws.slot))
    assert np.array_equal(order, np.arange(len(order)))


def test_hours_of_the_coming_year_are_added_up():
    hours = HoursDraws(("M1",), np.full((1, 3, 60), 10.0, dtype=np.float32), {})
    draws = walk_slots(same_wear(1, 3), hours, history_of(positions([{}])), seed=1, days=400)
    assert draws.hours == pytest.approx(520.0)
