"""Changes written together are spread over the hours since the change before."""

import pandas as pd
import pytest

from tests.history.books import logbook
from wearcast.history.story import read_history

READINGS = """
    machine  date        hours
    M1       2025-12-31  0
    M1       2026-04-30  120
"""
MONTHS = ["2026-01-31", "2026-02-28", "2026-03-31"]


def together(hours=""):
    """Three turns of a blade at each month's end but in March, when it is turned and replaced."""
    rows = [("turn", "worn"), ("turn", "damaged"), ("turn", "worn")]
    deeds = [(date, *deed) for date in MONTHS[:2] for deed in rows]
    deeds += [(MONTHS[2], "turn", "worn"), (MONTHS[2], "fit", "damaged")]
    frame = pd.DataFrame(deeds, columns=["date", "action", "cause"])
    frame["date"] = pd.to_datetime(frame["date"])
    part = frame["action"].map({"turn": "", "fit": "B4"})
    return frame.assign(machine="M1", position="front blade", part=part, hours=hours)


def lives(changes):
    spells = read_history(logbook(readings=READINGS, changes=changes)).spells
    return spells.loc[spells["ended"].ne("running"), "hours"].round(1).tolist()


def test_ends_of_one_day_share_the_hours_since_the_change_before():
    # One hour a day: 31 until January's end, 28 more, then 31 for two.
    got = lives(together(float("nan")))
    assert got == pytest.approx([31 / 3] * 3 + [28 / 3] * 3 + [31 / 2] * 2, abs=0.06)


def test_all_pieces_are_counted_on_their_written_day():
    uses = read_history(logbook(readings=READINGS, changes=together(float("nan")))).uses
    assert uses["date"].dt.strftime("%Y-%m-%d").isin(MONTHS).all()


def test_it_is_told_once_with_all_its_rows():
    told = read_history(logbook(readings=READINGS, changes=together(float("nan")))).told
    found = [problem for problem in told if "as if written down together" in problem.wrong]
    assert [problem.rows for problem in found] == [tuple(range(2, 10))]
    assert found[0].severity == "repaired"
    assert not any("each counts" in p.wrong and "on that day" in p.wrong for p in told)
