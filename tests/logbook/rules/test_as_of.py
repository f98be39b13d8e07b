"""The day the forecast stands on; 92 days is the contract's, dates are invented."""

from pathlib import Path

import pandas as pd
import pytest

from tests.logbook.makers import SOUND, changed, read_tables, told_of
from wearcast.errors import NothingToFit


def rows(*lines: tuple[str, str]) -> dict[str, str]:
    """Readings of those machines and days, and a first fit."""
    body = "".join(f"{name},{day},{at}\n" for at, (name, day) in enumerate(lines, start=100))
    name, day = lines[0]
    return {
        "readings": f"machine,date,hours\n{body}",
        "changes": f"machine,date,position,action\n{name},{day},blade,fit\n",
    }


@pytest.mark.parametrize(
    ("days", "as_of"),
    [
        ([("A", "2026-01-05"), ("A", "2026-02-05")], "2026-02-05"),
        ([("A", "2026-01-05"), ("B", "2026-01-05"), ("A", "2026-04-07")], "2026-04-07"),
        ([("A", "2026-01-05"), ("B", "2026-01-06"), ("A", "2026-04-09")], "2026-01-06"),
        ([("A", "2026-01-05"), ("A", "2026-01-06"), ("B", "2027-01-06")], "2026-01-06"),
        ([("A", "2026-01-05"), ("A", "2027-01-06"), ("B", "2027-01-06")], "2027-01-06"),
        (
            [("A", "2026-01-05"), ("A", "2026-01-06"), ("B", "2027-01-06"), ("C", "2029-01-06")],
            "2026-01-06",
        ),
        ([("A", "2026-01-05")], "2026-01-05"),
    ],
    ids=["near", "92 days", "93 days", "another's slip", "two agree", "two slips", "one row"],
)
def test_as_of_is_the_newest_date_that_another_supports(
    days: list[tuple[str, str]], as_of: str, tmp_path: Path
):
    assert read_tables(tmp_path, rows(*days)).as_of == pd.Timestamp(as_of)


def test_rows_after_an_as_of_that_was_given_are_passed_over_in_one_note(tmp_path: Path):
    book = read_tables(tmp_path, SOUND, as_of="2026-02-01")
    assert told_of(book) == [
        "logbook: rows later than the as-of date 2026-02-01 were passed over: 3 in readings, 3 in"
        " changes, 2 in stock. If the shelf is to be as counted later, give the day of that count"
        " as as_of."
    ]
    assert book.readings["date"].max() == pd.Timestamp("2026-01-19")
    assert sum(tally.set_aside for tally in book.tallies) == 0


def test_the_setting_gives_the_day_unless_one_is_asked_for(tmp_path: Path):
    tables = changed("settings", "currency,EUR", "as_of,2026-02-01")
    assert read_tables(tmp_path, tables).as_of == pd.Timestamp("2026-02-01")
    asked = read_tables(tmp_path, tables, as_of=pd.Timestamp("2026-02-10"))
    assert asked.as_of == pd.Timestamp("2026-02-10")


def test_plans_and_orders_may_lie_ahead(tmp_path: Path):
    book = read_tables(tmp_path, SOUND)
    assert book.plans["start"].min() > book.as_of
    assert book.on_order["due"].min() > book.as_of


def test_an_as_of_before_every_row_leaves_nothing_to_fit(tmp_path: Path):
    with pytest.raises(NothingToFit, match="no row that can be used up to 2020-01-01"):
        read_tables(tmp_path, SOUND, as_of="2020-01-01")


def test_a_change_that_was_set_aside_leaves_its_place(tmp_path: Path):
    book = read_tables(tmp_path, changed("changes", "2026-02-09", "2027-02-09"))
    gaps = book.changes[~book.changes["observed"]]
    assert gaps[["machine", "position", "action"]].to_numpy().tolist() == [
        ["M-022", "left brush", ""]
    ]


def test_a_change_without_a_place_leaves_none(tmp_path: Path):
    book = read_tables(tmp_path, changed("changes", "2026-02-09,left brush", "2026-02-09,"))
    assert book.changes["observed"].all()
