"""One row an edge at work. Readings rise by 20 h a week unless the log says otherwise."""

import numpy as np
import pandas as pd
import pytest

from tests.conftest import assert_table
from tests.history.books import deeds, history, logbook, meter, told
from wearcast.history.story import read_history

WEEKS = pd.date_range("2026-01-05", periods=13, freq="7D")


def steady(*machines, until="2026-03-30"):
    """Weekly readings from 1,000 h on, 20 h a week, from 5 January on."""
    read = pd.DataFrame({"date": WEEKS, "hours": 1000.0 + 20.0 * np.arange(len(WEEKS))})
    read = read[read["date"] <= until]
    return pd.concat([read.assign(machine=name) for name in machines])


def past_of(*lines, as_of=None, **tables):
    return history(as_of, readings=steady("M1"), changes=deeds(*lines), **tables)


def spells_of(*lines, **tables):
    return past_of(*lines, **tables).spells


def test_a_turn_ends_one_spell_and_starts_the_next_edge():
    past = history(
        readings=meter("M001 03-02 225"),
        changes="""
            machine  position     date        hours  action  part  cause
            M001     front blade  2026-01-05  100.0  fit     B4    -
            M001     front blade  2026-02-02  180.0  turn    -     worn
        """,
    )
    assert_table(
        past.spells,
        """
        machine  position     edge  hours  cause    ended
        M001     front blade  1     80.0   worn     turn
        M001     front blade  2     45.0   running  running
        """,
    )


SPELLS = {
    "the cause of an edge's end is on the line that ended it": (
        "01-05 fit B4 planned, 02-02 turn B4 damaged, 03-02 fit B4 other",
        """
        edge  hours  cause    ended    replaced
        1     80     damaged  turn     False
        2     80     other    fit      True
        1     80     running  running  False
        """,
    ),
    "an end-for-end turn ends no spell and is counted": (
        "brush 01-05 fit R1, brush 01-19 turn R1, brush 02-02 turn R1, brush 03-02 fit R1, "
        "brush 03-09 turn R1",
        "edge  hours  ended  end_turns | 1  160  fit  2 | 1  80  running  1",
    ),
    "the first spell of unknown start is kept out of the fit": (
        "02-02 turn B4, 03-02 turn B4",
        """
        edge  start       hours  ended    in_fit
        -     -           80     turn     False
        -     2026-02-02  80     turn     True
        -     2026-03-02  80     running  True
        """,
    ),
    "a later first fit ends the spell that was running when the log began": (
        "02-02 fit B4",
        """
        edge  start       hours  ended    replaced  in_fit
        -     -           80     fit      True      False
        1     2026-02-02  160    running  False     True
        """,
    ),
    "an emptied position has no spell until the next fit": (
        "01-05 fit B4, 02-02 remove B4, 03-02 fit B4",
        "edge  hours  ended  replaced | 1  80  remove  True | 1  80  running  False",
    ),
    "a line that could not be read cuts the spell around it": (
        "01-05 fit B4, 01-19 unread, 02-02 turn B4, 03-02 fit B4",
        """
        edge  start       hours  cause    ended    in_fit
        1     2026-01-05  40     -        -        False
        -     -           40     worn     turn     False
        -     2026-02-02  80     worn     fit      True
        1     2026-03-02  80     running  running  True
        """,
    ),
    "on one day a removal comes before a fit": (
        "01-05 fit B4, 02-02 fit B4, 02-02 remove B4",
        "ended | remove | running",
    ),
    "several changes of a day follow their hours": (
        "01-05 fit B4, 02-03 turn B4 damaged at 1085, 02-03 fit B4 worn at 1081",
        "edge  hours  cause | 1  81  worn | 1  4  damaged | 2  155  running",
    ),
    "hours that ran in no time teach nothing, and one position has no partner": (
        "01-05 fit B4, 02-02 turn B4, 02-02 fit B4",
        "in_fit  partner | True  False | False  False | True  False",
    ),
    "an end of unknown cause is an end like any other": (
        "01-05 fit B4, 02-02 fit B4 unknown",
        "hours  cause  ended  in_fit | 80  unknown  fit  True | 160  running  running  True",
    ),
}


@pytest.mark.parametrize(("lines", "expected"), SPELLS.values(), ids=SPELLS.keys())
def test_the_lines_of_a_position_make_its_spells(lines, expected):
    assert_table(spells_of(*lines.split(", ")), expected)


MISSED = "one is counted here, and the spell before it is kept out of the fit."
TOLD = {
    "a turn past the last edge is an assumed fit": (
        "01-05 fit B2, 01-19 turn B2, 02-02 turn B2",
        """
        edge  hours  ended        replaced  in_fit
        1     40     turn         False     True
        2     40     assumed fit  True      True
        1     160    running      False     True
        """,
        'changes.csv, row 4, action "turn": M1 front was on the last of the 2 edges of B2, so this '
        "turn is taken for a fit of a new one. Write fit, or add the fit that is missing. "
        "Repaired.",
    ),
    "a turn that names another part is a missed fit": (
        "01-05 fit B4, 02-02 turn B2, 03-02 fit B2",
        """
        part  edge  hours  ended        replaced  in_fit
        B4    1     80     assumed fit  True      False
        B2    2     80     fit          True      True
        B2    1     80     running      False     True
        """,
        'changes.csv, row 3, part "B2": M1 front carried B4, so a fit of B2 was not written: '
        f"{MISSED} Add the fit that is missing, or correct the part. Repaired.",
    ),
    "a turn on an emptied position is a missed fit": (
        "01-05 fit B4, 02-02 remove B4, 03-02 turn B4",
        "edge  start  hours  ended | 1  2026-01-05  80  remove | -  2026-03-02  80  running",
        'changes.csv, row 4, action "turn": M1 front was empty, so a fit before this line was not '
        f"written: {MISSED} Write fit, or add the fit that is missing. Repaired.",
    ),
    "a removal of nothing is a note": (
        "01-05 fit B4, 02-02 remove B4, 03-02 remove B4",
        "edge  hours  ended | 1  80  remove",
        'changes.csv, row 4, action "remove": M1 front was already empty. Add the fit that is '
        "missing, if any.",
    ),
}


@pytest.mark.parametrize(("lines", "expected", "words"), TOLD.values(), ids=TOLD.keys())
def test_lines_that_cannot_be_right_are_told(lines, expected, words):
    past = past_of(*lines.split(", "))
    assert_table(past.spells, expected)
    assert told(past) == [words]


def test_an_initial_outfit_ends_no_spell():
    spells = spells_of("01-05 fit B4", "rear 03-02 fit B4")
    assert_table(
        spells[spells["position"].eq("front")],
        "edge  start  hours  ended | 1  2026-01-05  240  running",
    )


def test_a_part_that_the_positions_table_does_not_know_there_is_a_note():
    past = past_of(
        "01-05 fit B2",
        "02-02 fit B2",
        positions="machine  position  part | M1  front  B4",
    )
    assert told(past) == [
        'changes.csv, rows 2-3, part "B2": the positions table says B4 on M1 front. Correct the '
        "part, or the positions table if it changed for good."
    ]


def test_a_line_without_a_readable_date_keeps_its_position_out_of_the_fit_and_no_other():
    past = history(
        readings=steady("M1", "M2"),
        changes=deeds(
            "01-05 fit B4", "undated unread", "02-02 turn B4", "M2 01-05 fit B4", "M2 02-02 turn B4"
        ),
    )
    assert_table(
        past.spells,
        """
        machine  edge  hours  in_fit
        M1       1     80     False
        M1       2     160    False
        M2       1     80     True
        M2       2     160    True
        """,
    )


def test_a_retired_machine_ends_its_spells_as_retired():
    past = history(
        "2026-02-16",
        readings=steady("M1", until="2026-02-02"),
        machines="machine  site  retired | M1  hall  2026-02-09",
        changes=deeds("01-05 fit B4"),
    )
    assert_table(
        past.spells,
        """
        end         hours  cause    ended    replaced  in_fit
        2026-02-09  100    running  retired  False     True
        """,
    )
    assert past.running.empty


def test_a_retirement_after_as_of_ends_nothing_yet():
    past = past_of(
        "01-05 fit B4",
        as_of="2026-03-30",
        machines="machine  site  retired | M1  hall  2026-04-20",
    )
    assert list(past.spells["ended"]) == ["running"]
    assert len(past.running) == 1


SITES = "machine  site | M1  hall | M2  hall | M3  yard"


@pytest.mark.parametrize(
    ("as_of", "end"),
    [("2026-03-30", "2026-03-30"), ("2026-05-29", "2026-05-29"), ("2026-08-01", "2026-05-29")],
    ids=["meter just read", "read 60 days before", "silent for long"],
)
def test_a_running_edge_goes_on_to_as_of_as_far_as_its_meter_tells(as_of, end):
    past = history(
        as_of,
        readings=steady("M1", "M2", "M3"),
        machines=SITES,
        changes=deeds("01-05 fit B4", "M2 03-02 fit B4", "M3 03-30 fit B4"),
    )
    assert past.spells["end"].iloc[0] == pd.Timestamp(end)
    # What is on the floor now goes on to as-of all the same.
    hours = past.running_exposure.sum(axis=1)
    assert hours.iloc[0] == pytest.approx(past.machines.loc["M1", "hours"])


def test_the_site_of_a_spell_is_where_it_ended():
    spells = spells_of(
        "01-05 fit B4",
        "02-02 turn B4",
        "03-02 turn B4",
        machines="machine  site  since | M1  hall  - | M1  yard  2026-02-16",
    )
    assert list(spells["site"]) == ["hall", "yard", "yard"]


def test_a_part_without_a_catalogue_line_has_the_kind_of_its_words():
    changes = "position  date  action  part | squeegee, rear  2026-01-05  fit  - | "
    changes += "left roller  2026-01-05  fit  XX-17 pad | seal  2026-01-05  fit  -"
    spells = history(readings=steady("M1"), changes=changes).spells
    assert_table(
        spells,
        """
        position        part            kind   wears_as        edges
        left roller     XX-17 pad       pad    XX-17 pad       2
        seal            seal            other  seal            1
        squeegee, rear  squeegee, rear  blade  squeegee, rear  4
        """,
    )


def test_a_machine_without_a_meter_keeps_its_spells_but_teaches_nothing():
    past = past_of("M2 01-05 fit B4", "M2 02-02 turn B4")
    assert list(past.spells["in_fit"]) == [False, False]
    assert list(past.running["age"]) == ["unknown"]


def test_a_logbook_without_changes_has_no_spells():
    assert read_history(logbook(readings=steady("M1"))).spells.empty


def test_edges_of_one_kind_handled_on_one_day_are_partners():
    spells = spells_of(
        "brush 01-05 fit R1",
        "brush 02-02 fit R1",
        "01-05 fit B4",
        "02-02 turn B4",
        "03-02 turn B4",
        "rear 01-05 fit B2",
        "rear 02-02 fit B2",
        "M2 03-02 turn B4",
    )
    assert_table(
        spells[spells["partner"]],
        "machine  position  end  ended | M1  front  2026-02-02  turn | M1  rear  2026-02-02  fit",
    )
