"""Which edge was at work: examples counted by hand, then a slow second count as referee."""

import math

import numpy as np
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

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


@pytest.mark.parametrize(
    ("actions", "edges"),
    [("turn turn turn turn", "2 3 4 1"), (" turn", "? ?")],
    ids=["the first turn leaves the second edge", "the first line could not be read"],
)
def test_a_machine_may_have_come_with_unused_parts(actions, edges):
    lines = lines_of([(action, "") for action in actions.split(" ")], newcomer=True)
    assert edge_words(counted_of(lines)) == edges.split()


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


NAMED = {
    "turning a part of one edge ends no spell": ("fit R1, turn R1, fit R1", "R1 R1 R1", "1 1 1"),
    # One turn after an unwritten fit of a part of two edges: it can only be the second.
    "another part: its fit was not written": ("fit B4, turn B2, turn B2", "B4 B2 B2", "1 2 1"),
    "a blank turn is of the part that was fitted": ("fit B2, turn ", "B2 B2", "1 2"),
    "a blank fit takes the part of the positions table": ("fit B2, fit ", "B2 B4", "1 1"),
    "after a line that could not be read": (
        "fit B4,  , turn B4, fit B4",
        "B4 B4 B4 B4",
        "1 ? ? 1",
    ),
}


@pytest.mark.parametrize(("written", "parts", "edges"), NAMED.values(), ids=NAMED.keys())
def test_lines_that_name_parts_are_counted_as_by_hand(written, parts, edges):
    lines = [tuple(line.split(" ")) for line in written.split(", ")]
    frame = counted_of(lines_of(lines))
    assert list(frame["part"]) == parts.split()
    assert edge_words(frame) == edges.split()
    # Of the second line, where another part is turned than was fitted.
    assert list(np.flatnonzero(frame["missed"])) == [1] * ("fit B4, turn B2" in written)
    assert list(frame["ends"]) == [line != ("turn", "R1") for line in lines]


def test_without_a_positions_table_a_blank_fit_is_of_the_last_part():
    frame = counted_of(lines_of([("fit", "B2"), ("fit", "")]), carried=[""])
    assert list(frame["part"]) == ["B2", "B2"]


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
