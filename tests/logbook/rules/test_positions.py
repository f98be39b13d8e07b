"""One name for several positions."""

import pandas as pd
import pytest

from tests.logbook.rules.test_names import drafts
from wearcast.logbook.rules.gaps import gap_rows
from wearcast.logbook.rules.positions import positions_in, with_positions

BOTH = {"left brush", "right brush", "front blade"}


@pytest.mark.parametrize(
    ("name", "meant"),
    [
        ("left + right brush", ["left brush", "right brush"]),
        ("Left brush and right brush", ["left brush", "right brush"]),
        ("left/right brush", ["left brush", "right brush"]),
        ("front blade, left brush", ["front blade", "left brush"]),
        ("brush", ["left brush", "right brush"]),
        ("blade", []),
        ("left + rear brush", []),
        ("side brush", []),
    ],
)
def test_a_name_may_stand_for_several_positions(name, meant):
    assert positions_in(name, BOTH) == meant


def changes(*rows):
    lines = [
        {"machine": "A", "date": pd.Timestamp(day), "position": position, "action": "fit"}
        for day, position in rows
    ]
    return drafts(changes=lines)


def test_a_row_for_two_brushes_is_set_aside_and_cuts_both_lives():
    made = with_positions(
        changes(
            ("2025-01-06", "left brush"),
            ("2025-01-06", "right brush"),
            ("2025-03-03", "left + right brush"),
        )
    )
    assert made["changes"].frame["state"].tolist() == ["used", "used", "set aside"]
    (problem,) = made["changes"].told
    assert problem.wrong.startswith("stands for left brush and right brush together") or (
        problem.wrong.startswith("stands for left brush, right brush together")
    )
    assert gap_rows(made, {"A"})["position"].tolist() == ["left brush", "right brush"]


def test_a_brush_that_may_be_either_of_two_is_set_aside():
    made = with_positions(
        changes(
            ("2025-01-06", "left brush"), ("2025-01-06", "right brush"), ("2025-03-03", "brush")
        )
    )
    (problem,) = made["changes"].told
    assert (problem.severity, problem.wrong) == ("set aside", "can be left brush or right brush")


def test_a_log_that_always_writes_both_together_has_one_position():
    made = with_positions(changes(("2025-01-06", "left + right brush")))
    assert made["changes"].told == ()
