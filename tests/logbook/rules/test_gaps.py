"""Set-aside changes leave a gap only where there is something to cut."""

from pathlib import Path

from tests.logbook.rules.test_names import drafts
from tests.logbook.test_frames import change
from wearcast.forecast import forecast
from wearcast.logbook.book import Logbook, read_logbook
from wearcast.logbook.rules.gaps import UNDATED, undated_told
from wearcast.told import Problem

READINGS = "machine,date,hours\nM-1,2026-01-05,100\nM-1,2026-03-05,300\n"
CHANGES = (
    "machine,date,position,action\nM-1,2026-01-05,front blade,fit\n"
    "M-1,2026-02-05,front blade,turn\n"
)


def book_of(folder: Path, row: str) -> Logbook:
    (folder / "readings.csv").write_text(READINGS)
    (folder / "changes.csv").write_text(CHANGES + row + "\n")
    return read_logbook(folder)


def test_a_position_that_only_a_set_aside_change_names_is_none(tmp_path: Path):
    # A spoilt logbook found that the forecast stopped at a part that no table held.
    book = book_of(tmp_path, "M-1,2026-02-20,FALSE,swapped")
    assert set(book.changes["position"]) == {"front blade"}
    assert set(forecast(book, draws=100).due["position"]) == {"front blade"}


def test_only_the_finding_on_an_undated_change_says_what_is_left_out():
    made = drafts(
        changes=[change(), change(day=0, state="set aside"), change(day=9, state="set aside")]
    )

    def about(row, column="date", severity="set aside"):
        return Problem("changes.csv", "changes", (row,), column, "", severity, "odd", "")

    said = (about(3), about(4), about(3, "part"), about(3, "date", "note"))
    object.__setattr__(made["changes"], "told", said)
    told = undated_told(made, {"A"}).told
    assert [one.wrong for one in told] == [f"odd; {UNDATED}", "odd", "odd", "odd"]
