"""Which edge was at work: examples counted by hand, then a slow second count as referee."""

import math

import numpy as np
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.conftest import table
from tests.history.slow_count import count_by_hand
from wearcast.history.edges import ACTIONS, count_edges

EDGES = {"B2": 2, "B4": 4, "R1": 1}
NAMES = [*EDGES, ""]
"""A part's code is its place; the last one stands for none."""
PARTS = pd.DataFrame({"part": [*EDGES], "edges": [float(edges) for edges in EDGES.values()]})


def code_of(part):
    return NAMES.index(part) if part else -1


def lines_of(written, place=0, newcomer=False):
    """Lines of one place from (action, part)."""
    return pd.DataFrame(
        {
            "action": [ACTIONS.index(action) for action, _ in written],
            "part": [code_of(part) for _, part in written],
            "observed": [action != "" for action, _ in written],
        }
    ).assign(place=place, newcomer=newcomer)


def counted_of(lines, carried=("B4",)):
    """The lines counted, with parts by name; places carry these and are all called R1."""
    places = pd.DataFrame(
        {
            "carried": [code_of(part) for part in carried],
            "own": [code_of(part or "R1") for part in carried],
        }
    )
    frame = count_edges(lines, places, PARTS)
    return frame.assign(part=np.array(NAMES)[frame["part"]])


def counted(text):
    frame = table(text)
    part = frame["part"] if "part" in frame else [""] * len(frame)
    return counted_of(lines_of(list(zip(frame["action"], part, strict=True))))


EXAMPLES = {
    "fit and three turns": ("fit turn turn turn", "1 2 3 4"),
    "a turn past the last edge is taken for a fit": ("fit turn turn turn turn turn", "1 2 3 4 1 2"),
    "a fit before the last edge begins anew": ("fit turn fit turn", "1 2 1 2"),
    "first line a turn: unknown until it can only be the last": ("turn turn turn", "? ? 4"),
    "a turn after that is a fit": ("turn turn turn turn turn", "? ? 4 1 2"),
    "a fit ends what was unknown": ("turn fit turn", "? 1 2"),
    "removed, then fitted": ("fit remove fit turn", "1 - 1 2"),
    "a turn of an empty position: a fit was not written": (
        "fit remove turn turn turn",
        "1 - ? ? 4",
    ),
}


@pytest.mark.parametrize(("actions", "edges"), EXAMPLES.values(), ids=EXAMPLES.keys())
def test_edges_are_counted_as_by_hand(actions, edges):
    lines = lines_of([(action, "") for action in actions.split()])
    assert edge_words(counted_of(lines)) == edges.split()


def test_on_a_machine_that_came_with_unused_parts_the_first_turn_leaves_the_second_edge():
    lines = lines_of([("turn", ""), ("turn", ""), ("turn", ""), ("turn", "")], newcomer=True)
    assert edge_words(counted_of(lines)) == ["2", "3", "4", "1"]


def test_a_first_line_that_could_not_be_read_leaves_the_edge_of_a_new_machine_unknown():
    lines = lines_of([("", ""), ("turn", "")], newcomer=True)
    assert edge_words(counted_of(lines)) == ["?", "?"]


@pytest.mark.parametrize(("actions", "edges"), EXAMPLES.values(), ids=EXAMPLES.keys())
def test_the_referee_counts_the_examples_right(actions, edges):
    by_hand = count_by_hand([(action, "") for action in actions.split()], EDGES, "R1", "B4")
    assert [word_of(edge) for _, edge, _, _ in by_hand] == edges.split()


def edge_words(frame):
    return [
        "-" if not on else word_of(edge)
        for edge, on in zip(frame["edge"], frame["on"], strict=True)
    ]


def word_of(edge):
    if edge is None:
        return "-"
    return "?" if math.isnan(edge) else str(int(edge))


def test_turning_a_part_of_one_edge_ends_no_spell():
    frame = counted("action  part | fit  R1 | turn  R1 | fit  R1")
    assert list(frame["ends"]) == [True, False, True]


def test_a_turn_that_names_another_part_means_that_its_fit_was_not_written():
    frame = counted("action  part | fit  B4 | turn  B2 | turn  B2")
    assert list(frame["missed"]) == [False, True, False]
    assert list(frame["part"]) == ["B4", "B2", "B2"]
    # One turn after an unwritten fit of a part of two edges: it can only be the second.
    assert edge_words(frame) == ["1", "2", "1"]


def test_a_blank_turn_is_of_the_part_that_was_fitted_not_of_the_table():
    frame = counted("action  part | fit  B2 | turn  -")
    assert list(frame["part"]) == ["B2", "B2"]
    assert not frame["missed"].any()


def test_a_blank_fit_takes_the_part_of_the_positions_table():
    frame = counted("action  part | fit  B2 | fit  -")
    assert list(frame["part"]) == ["B2", "B4"]


def test_without_a_positions_table_a_blank_fit_is_of_the_last_part():
    frame = counted_of(lines_of([("fit", "B2"), ("fit", "")]), carried=[""])
    assert list(frame["part"]) == ["B2", "B2"]


def test_after_a_line_that_could_not_be_read_the_edge_is_unknown():
    lines = lines_of([("fit", "B4"), ("", ""), ("turn", "B4"), ("fit", "B4")])
    assert edge_words(counted_of(lines)) == ["1", "?", "?", "1"]


actions = st.sampled_from(["fit", "turn", "turn", "turn", "remove", ""])
parts = st.sampled_from(["", "", "B4", "B2", "R1"])
written = st.lists(st.tuples(actions, parts), min_size=1, max_size=12).map(
    lambda lines: [(action, part if action else "") for action, part in lines]
)


@given(
    st.lists(st.tuples(written, st.sampled_from(["", "B4", "B2", "R1"])), min_size=1, max_size=4)
)
def test_many_positions_at_once_are_counted_as_by_hand(places):
    lines = pd.concat(
        [lines_of(log, place) for place, (log, _) in enumerate(places)], ignore_index=True
    )
    frame = counted_of(lines, [carried for _, carried in places])
    expected = [
        line for log, carried in places for line in count_by_hand(log, EDGES, "R1", carried)
    ]
    actions = np.array(ACTIONS)[frame["action"]]
    ended = np.where(frame["assumed"] | frame["missed"], "assumed fit", actions)
    got = list(
        zip(frame["part"], edge_words(frame), ended, frame["ends"], frame["missed"], strict=True)
    )
    assert got == [
        (part, word_of(edge), "turn" if how is None else how, how is not None, missed)
        for part, edge, how, missed in expected
    ]


@given(written)
def test_an_edge_never_passes_the_edges_of_its_part(log):
    frame = counted_of(lines_of(log))
    known = frame["edge"].notna()
    assert (frame["edge"] <= frame["part"].map(EDGES))[known].all()
    assert (frame["edge"] >= 1)[known].all()
