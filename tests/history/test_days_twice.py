"""Two lines on one day at one place: each counts unless only one order makes sense of them."""

import pytest

from tests.conftest import assert_table
from tests.history.books import history, told

READINGS = "machine  date  hours | M1  2026-01-05  1000.0 | M1  2026-03-30  1240.0"
LINES = """
    machine  date        position  action  part  cause
    M1       2026-01-05  front     fit     B2    -
    M1       2026-02-02  front     turn    B2    worn"""
BOTH = """
    M1  2026-03-02  front  turn  B2  damaged
    M1  2026-03-02  front  fit   B2  worn
"""


def test_two_fits_on_a_day_both_count_and_are_told():
    twice = "M1 2026-03-02 front fit B2 {}".replace(" ", "  ")
    past = history(
        readings=READINGS,
        changes=LINES + "\n    " + twice.format("worn") + "\n    " + twice.format("damaged") + "\n",
    )
    assert past.uses["pieces"].sum() == 2
    assert told(past) == [
        'changes.csv, rows 4-5, action "fit": M1 front was fitted 2 times on that day; each counts.'
        " If it was done once, delete the other row."
    ]


@pytest.mark.parametrize(
    ("first", "second", "findings"),
    [
        ("worn     1120", "damaged  1122", 0),
        ("worn     1120", "worn     1122", 1),
        ("worn     1120", "damaged  1120", 1),
        ("worn     -", "damaged  -", 1),
    ],
)
def test_lines_that_differ_in_hours_and_cause_are_two_deeds(first, second, findings):
    lines = f"""
        machine  date        position  action  part  cause   hours
        M1       2026-01-05  front     fit     B2    -       -
        M1       2026-02-16  front     fit     B2    {first}
        M1       2026-02-16  front     fit     B2    {second}
    """
    past = history(readings=READINGS, changes=lines)
    assert past.uses["pieces"].sum() == 2
    assert len(past.told) == findings


def test_a_turn_with_no_edge_left_comes_after_the_fit_of_its_day():
    past = history(readings=READINGS, changes=LINES + BOTH)
    assert_table(
        past.spells,
        """
        part  edge  end         ended    cause
        B2    1     2026-02-02  turn     worn
        B2    2     2026-03-02  fit      worn
        B2    1     2026-03-02  turn     damaged
        B2    2     2026-03-30  running  running
        """,
    )
    assert past.uses["pieces"].sum() == 1
    assert told(past) == [
        'changes.csv, row 4, action "turn": M1 front had no edge left to turn to, so the fit of'
        " that day is taken to have come first. If a new part went on and was not turned, delete"
        " this row. Repaired."
    ]


def test_a_turn_that_has_an_edge_left_comes_before_the_fit_of_its_day():
    past = history(
        readings=READINGS,
        changes=LINES.replace("M1       2026-02-02  front     turn    B2    worn", "").rstrip()
        + BOTH,
    )
    assert list(past.spells["ended"]) == ["turn", "fit", "running"]
    assert told(past) == []
