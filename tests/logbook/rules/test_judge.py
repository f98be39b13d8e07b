"""What stops the run once every rule has been asked, and on which day a proposal stands."""

import pandas as pd
import pytest

from tests.logbook.rules.test_names import READ, drafts
from wearcast.errors import NothingToFit, NothingWritten
from wearcast.logbook.findings.drafts import Finding, settle
from wearcast.logbook.rules.judge import checked
from wearcast.logbook.sheets.reading import empty_draft

CHANGE = {"machine": "A", "date": "2026-01-05", "position": "front", "action": "fit"}
CURE = "; write down the machine, the date and what was read or done, a row each, then run again."


def refused(given=None, **tables):
    with pytest.raises(NothingToFit) as stopped:
        checked(drafts(**tables), (), given, proposal=False)
    return str(stopped.value).removesuffix(CURE)


def test_a_logbook_whose_rows_are_all_passed_over_says_nothing():
    with pytest.raises(NothingWritten, match="nothing is written in the logbook yet"):
        checked(drafts(readings=[{"machine": "A", "state": "ignored"}]), (), None, proposal=False)


def test_readings_and_changes_need_a_row_each():
    assert refused(readings=[{"machine": "A", **READ}]) == "changes: the table has no rows"
    assert refused(changes=[CHANGE]) == "readings: the table has no rows"


def test_a_day_that_was_asked_for_is_named_where_no_row_is_left():
    tables = {"readings": [{"machine": "A", **READ}], "changes": [CHANGE]}
    asked = pd.Timestamp("2026-01-04")
    wrong = "readings: the table has no row that can be used up to 2026-01-04"
    assert refused(asked, **tables) == wrong
    # A table without rows has none on any day.
    assert refused(asked, changes=[CHANGE]) == "readings: the table has no rows"


def test_the_commonest_fault_is_named_where_every_row_was_set_aside():
    made = drafts(readings=[{"machine": "A", "hours": float(at)} for at in range(3)])
    made["changes"] = drafts(changes=[CHANGE])["changes"]
    found = [
        Finding([0], "date", "set aside", "row", "not a date", "", "soon"),
        Finding([1, 2], "date", "set aside", "row", "date is blank", "", ""),
    ]
    made["readings"] = settle(made["readings"], found)
    with pytest.raises(NothingToFit) as stopped:
        checked(made, (), None, proposal=False)
    assert str(stopped.value) == (
        f"readings: the table has no row that can be used (rows 3-4, date: date is blank){CURE}"
    )
    made["readings"] = settle(drafts(readings=[{"machine": "A"}])["readings"], found[:1])
    with pytest.raises(NothingToFit, match=r'\(row 2, date "soon": not a date\)'):
        checked(made, (), None, proposal=False)


def test_a_proposal_stands_on_the_day_its_first_plan_starts():
    plans = [{"machine": "A", "start": day, "hours_per_week": 5.0}
             for day in ("2026-07-06", "2026-04-06")]  # fmt: skip
    made = drafts(machines=[{"machine": "A"}], plans=plans)
    _, day, told = checked(made, (), None, proposal=True)
    assert (day, told) == (pd.Timestamp("2026-04-06"), [])
    assert pd.isna(checked(drafts(machines=[{"machine": "A"}]), (), None, proposal=True)[1])
    asked = pd.Timestamp("2026-05-01")
    assert checked(made, (), asked, proposal=True)[1] == asked


def test_no_row_at_all_is_nothing_written():
    made = drafts()
    assert made["readings"].frame.equals(empty_draft(made["readings"].table).frame)
    with pytest.raises(NothingWritten):
        checked(made, (), None, proposal=False)


def test_each_rule_has_its_turn():
    found, as_of, _ = checked(
        drafts(
            machines=[{"machine": "A", "in_service": "2026-01-05", "retired": "2026-01-01"}],
            readings=[{"machine": "B", **READ}, {"machine": "b", **READ}],
            changes=[{**CHANGE, "machine": "B"}],
            parts=[{"part": "GB", "replaced_by": "GB"}],
            plans=[{"machine": "B", "start": "2026-02-05", "end": "2026-01-05"}],
            floors=[{"machine": "B", "floor": "tile", "share": 0.5}],
        ),
        (), None, proposal=False,
    )  # fmt: skip
    assert as_of == pd.Timestamp("2026-01-05")
    states = {name: draft.frame["state"].tolist() for name, draft in found.items()}
    assert states["machines"] == ["set aside"]
    assert states["readings"] == ["used", "ignored"]
    assert states["plans"] == ["set aside"]
    assert states["floors"] == ["set aside"]
    assert found["parts"].frame["replaced_by"].tolist() == [""]
