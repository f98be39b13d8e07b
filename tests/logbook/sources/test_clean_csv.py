from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.benchmarks.fleets import write_fleet
from wearcast.logbook.book import Logbook, read_logbook
from wearcast.logbook.sources import csv_cells
from wearcast.logbook.sources.clean_csv import FEWEST_ROWS, CleanRows, read_clean
from wearcast.logbook.sources.csv_cells import read_records
from wearcast.logbook.sources.csv_text import read_text

CELLS = st.text(
    st.characters(blacklist_categories=("Cs",), blacklist_characters='\0\r\n,"'), max_size=8
)


def lines_of(rows: list[list[str]]) -> str:
    """The rows often enough to be worth reading by columns."""
    return "\n".join(",".join(row) for row in rows * (FEWEST_ROWS // len(rows) + 1))


@given(
    st.integers(2, 5).flatmap(
        lambda width: st.lists(st.lists(CELLS, min_size=width, max_size=width), min_size=1)
    )
)
def test_what_is_read_by_columns_is_what_is_read_by_records(rows: list[list[str]]):
    text = lines_of(rows)
    found = read_clean(text)
    if found is not None:
        records, _ = read_records([f"{line}\n" for line in text.split("\n")], ",")
        assert list(found[0]) == records


@pytest.mark.parametrize(
    "row",
    ['a,"b"', "a", "a,b,c", ",", "a;b,c", "a,b\n", f"a,{'b' * 1000}"],
    ids=["quotation", "narrow", "wide", "blank", "two marks", "blank line", "long"],
)
def test_one_odd_row_has_the_whole_file_looked_at(row: str):
    rows = ["machine,hours", *["M1,5"] * FEWEST_ROWS]
    assert read_clean("\n".join(rows)) is not None
    assert read_clean("\n".join([*rows, row, "M1,6"])) is None


def test_a_part_of_the_rows_is_of_the_same_cells():
    found = read_clean(lines_of([["a", "1"], ["b", "2"]]))
    assert found is not None
    part = found[0][1:3]
    assert isinstance(part, CleanRows)
    assert list(part) == [["b", "2"], ["a", "1"]]
    assert part.lanes[0].in_order()[1] == ("b", "a")


def test_a_logbook_is_the_same_either_way(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    write_fleet(12, tmp_path)
    readings = tmp_path / "readings.csv"
    spoilt = readings.read_text(encoding="utf-8").splitlines()
    spoilt[70], spoilt[90] = "M000000,2025-02-30,80.5", "m000000,2026-03-01,12 h"
    spoilt[100], spoilt[110] = "M000001,n/a,-", "Total,,"
    readings.write_text("\n".join(spoilt) + "\n", encoding="utf-8")
    quick = read_logbook(tmp_path)
    monkeypatch.setattr(csv_cells, "read_clean", lambda text: None)  # noqa: ARG005
    assert_same(quick, read_logbook(tmp_path))
    assert any(problem.severity == "set aside" for problem in quick.told)


def assert_same(one: Logbook, other: Logbook) -> None:
    """Every table, finding and setting of two logbooks is the same."""
    for name in ("machines", "readings", "changes", "floors", "parts", "positions"):
        assert getattr(one, name).equals(getattr(other, name)), name
    assert (one.told, one.tallies, one.as_of) == (other.told, other.tallies, other.as_of)


def test_only_a_file_without_oddities_may_be_large(tmp_path: Path):
    row = "M1,2026-01-01,5.5\n"
    path = tmp_path / "readings.csv"
    path.write_text("machine,date,hours\n" + row * (20_100_000 // len(row)), encoding="utf-8")
    assert read_text(path, "readings.csv", "readings")[0].endswith("5.5")
