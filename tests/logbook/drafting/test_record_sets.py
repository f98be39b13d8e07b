"""Records as sites keep them, drafted, completed and read: the study in a small version."""

from pathlib import Path

import pytest

from tests.studies.records.walk import SETS, walk

FEW = ("sheet_a_machine", "german_weeks", "two_row_headings", "checklist", "day_tabs", "italian")
CANNOT = ("purchases_only", "stacked_blocks", "pairs_of_columns")


@pytest.mark.parametrize(
    "name",
    [
        name if name in FEW else pytest.param(name, marks=pytest.mark.study)
        for name in SETS
        if name not in CANNOT
    ],
)
def test_completed_records_read_as_the_truth(name: str, tmp_path: Path):
    walked = walk(name, tmp_path)
    assert (walked.stopped, walked.unanswered) == ("", ())
    assert (walked.wrong, walked.missing) == (0, 0)


@pytest.mark.parametrize("name", CANNOT)
def test_records_that_cannot_serve_are_refused(name: str, tmp_path: Path):
    assert walk(name, tmp_path).stopped
