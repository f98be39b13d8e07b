"""Whose changes are written several at a time."""

import pandas as pd
import pytest

from wearcast.logbook.book import read_logbook
from wearcast.logbook.rules.batches import batch_machines


def changes(days, *, twice, hours=float("nan"), cause="damaged"):
    """One turn of a blade on each of some days; on some a second of another cause."""
    dates = pd.date_range("2025-01-31", periods=days, freq="ME")
    one = pd.DataFrame({"machine": "M1", "position": "front blade", "date": dates,
                        "action": "turn", "part": "", "cause": "worn", "hours": hours})  # fmt: skip
    return pd.concat([one, one.head(twice).assign(cause=cause)], ignore_index=True)


def found(written):
    """The machines found; all have one place alone."""
    return batch_machines(written, pd.factorize(written["machine"])[0])


def test_a_machine_with_several_turns_a_day_again_and_again_is_told():
    assert found(changes(20, twice=3)).tolist() == ["M1"]


def test_the_hours_of_the_day_of_writing_are_nobodys_own():
    assert found(changes(20, twice=3, hours=5.0)).tolist() == ["M1"]


@pytest.mark.parametrize(
    "written",
    [
        pytest.param(changes(20, twice=2), id="twice only"),
        pytest.param(changes(90, twice=3), id="seldom"),
        pytest.param(changes(20, twice=9, cause="worn"), id="equal rows may be copies"),
        pytest.param(
            changes(20, twice=9).assign(hours=range(29)), id="their hours tell them apart"
        ),
    ],
)
def test_a_machine_whose_days_may_be_true_is_not(written):
    assert found(written).empty


def test_equal_rows_of_a_machine_written_in_batches_are_as_many_deeds(tmp_path):
    written = pd.concat([changes(20, twice=5), changes(1, twice=0)], ignore_index=True)
    other = changes(2, twice=0).assign(machine="M2")
    rows = pd.concat([written, other, other.head(1)], ignore_index=True)
    rows.to_csv(tmp_path / "changes.csv", index=False)
    readings = pd.DataFrame({"machine": ["M1", "M2"], "date": "2026-12-31", "hours": 900})
    readings.to_csv(tmp_path / "readings.csv", index=False)
    used = read_logbook(tmp_path).changes
    # Of M2, whose days may be true, the equal row is a copy.
    assert used.groupby("machine").size().to_dict() == {"M1": 26, "M2": 2}
