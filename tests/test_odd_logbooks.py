"""Logbooks that can be read but say odd things, from the files to the report; few of many.

All of them: ``python -m tests.studies.odd_logbooks``.
"""

from pathlib import Path

import pytest

from tests.studies.odd_logbooks import outcome

ONCE_STOPPED = {
    1007: "plain likelihood on four weeks: a range of a floor's life beyond all numbers",
    1032: "uncatalogued turns: the likelihood bends the wrong way, and rates ran off",
    1046: "no order line at all",
    1074: "the doubt about the machines' spread took more from a variance than it had",
}


@pytest.mark.parametrize("number", [*ONCE_STOPPED, 2000, 2005])
def test_a_run_on_an_odd_logbook_ends_in_order(number: int, tmp_path: Path):
    assert outcome(number, tmp_path) in ("0", "1", "2")
