"""Whose need old stock serves, and in which order parts are looked at."""

import numpy as np
import pandas as pd
from hypothesis import given
from hypothesis import strategies as st

from wearcast.decisions.ordering.replaced import chain_of, predecessors_first, share_out, successors
from wearcast.decisions.ordering.runout import missing_pieces

DAILY = st.lists(st.tuples(*[st.integers(0, 4)] * 3), min_size=1, max_size=20)


@given(DAILY, st.integers(0, 40))
def test_the_parts_own_machines_are_served_before_those_that_carry_its_successor(daily, stock):
    # Held against a plain loop, day by day.
    left, lacking = stock, np.zeros((len(daily) + 1, 3))
    for day, wanted in enumerate(daily, start=1):
        lacking[day] = lacking[day - 1]
        for place, pieces in enumerate(wanted):
            served = min(left, pieces)
            left -= served
            lacking[day, place] += pieces - served
    needs = [np.cumsum([[0, *column]], axis=1) for column in zip(*daily, strict=True)]
    beyond = missing_pieces(sum(needs), stock, np.zeros(len(daily) + 1))
    shares = share_out(beyond, needs)
    assert np.array_equal(np.concatenate(shares), lacking.T)


@given(DAILY, st.integers(0, 40), st.integers(0, 20), st.integers(0, 20))
def test_what_is_lacking_is_shared_out_in_full_and_to_those_who_need_it(daily, stock, pieces, day):
    delivered = np.where(np.arange(len(daily) + 1) >= day, pieces, 0)
    needs = [np.cumsum([[0, *column]], axis=1) for column in zip(*daily, strict=True)]
    beyond = np.maximum.accumulate(missing_pieces(sum(needs), stock, delivered), axis=1)
    shares = share_out(beyond, needs)
    assert np.array_equal(sum(shares), beyond)
    assert all((share <= need).all() for share, need in zip(shares, needs, strict=True))
    assert all((np.diff(share, axis=1) >= 0).all() for share in shares)


def parts(**replaced_by):
    return pd.DataFrame({"part": list(replaced_by), "replaced_by": list(replaced_by.values())})


def test_a_chain_ends_at_the_part_that_nothing_replaces():
    after = successors(parts(a="b", b="c", c=""))
    assert chain_of("a", after) == ["a", "b", "c"]


def test_a_ring_and_an_unknown_successor_replace_nothing():
    assert successors(parts(a="b", b="a", c="nowhere", d="e", e="")) == {"d": "e"}


@given(st.lists(st.tuples(st.sampled_from("abcdef"), st.sampled_from("abcdef")), max_size=6))
def test_a_part_stands_before_the_one_that_replaces_it(pairs):
    named = dict.fromkeys("abcdef", "") | dict(pairs)
    after = successors(parts(**named))
    order = predecessors_first({part: {"main"} for part in named}, after)
    assert all(order.index(old) < order.index(new) for old, new in after.items())


def test_a_chain_of_thousands_is_followed():
    after = {f"p{number:04d}": f"p{number + 1:04d}" for number in range(3000)}
    named = {part: {"main"} for part in [*after, "p3000"]}
    assert predecessors_first(named, after) == sorted(named)
