import random
from pathlib import Path

import pandas as pd
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.benchmarks.fleets import write_fleet
from wearcast.errors import WearcastError
from wearcast.logbook.book import Logbook, read_logbook
from wearcast.logbook.frames import FRAMES
from wearcast.logbook.sources import clean_csv, csv_cells
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


@pytest.mark.parametrize("texts", [True, False], ids=["texts stay", "a pandas that makes numbers"])
def test_cells_stay_as_they_are_written(monkeypatch: pytest.MonkeyPatch, texts: bool):
    if not texts:
        monkeypatch.setattr(clean_csv, "_categories_are_texts", lambda: False)
    found = read_clean(lines_of([["007", "1.50"], ["1e3", "NA"]]))
    assert found is not None
    assert list(found[0])[:2] == [["007", "1.50"], ["1e3", "NA"]]


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


FAULTS = (
    *("", "n/a", "-", "Total", "2025-02-30", "2026-13-01", "12 h", "1.234", "-5", "99999"),
    *("M000001", "m000001", " M000002", "M-000003", "7.0", "2031-01-01", "Front Blade", "fit"),
    *("swap", "Damaged", "gum front", "NEW", "0.5", "yes", "# note", "e.g. M", "machine", "deck"),
)
"""What people write; none of it sends the file the careful way."""


@pytest.fixture(scope="module")
def fleet(tmp_path_factory: pytest.TempPathFactory) -> dict[str, list[str]]:
    """The lines of a small fleet's files."""
    folder = tmp_path_factory.mktemp("fleet")
    write_fleet(14, folder)
    return {file.name: file.read_text(encoding="utf-8").splitlines() for file in folder.iterdir()}


@settings(max_examples=25, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    edits=st.lists(
        st.tuples(
            st.sampled_from(["readings.csv", "changes.csv", "positions.csv"]),
            st.integers(1, 10_000),
            st.integers(0, 5),
            st.sampled_from(FAULTS),
        ),
        max_size=12,
    ),
    twice=st.integers(0, 50),
    seed=st.none() | st.integers(0, 9),
)
def test_a_dirty_logbook_is_the_same_either_way(
    tmp_path_factory: pytest.TempPathFactory,
    fleet: dict[str, list[str]],
    edits: list[tuple[str, int, int, str]],
    twice: int,
    seed: int | None,
):
    folder = tmp_path_factory.mktemp("log")
    lines = {name: [*held] for name, held in fleet.items()}
    for name, row, column, text in edits:
        at = row % (len(lines[name]) - 1) + 1
        cells = lines[name][at].split(",")
        cells[column % len(cells)] = text
        lines[name][at] = ",".join(cells)
    lines["changes.csv"] += lines["changes.csv"][1 : 1 + twice]
    for name, held in lines.items():
        if seed is not None:
            held[1:] = random.Random(seed).sample(held[1:], len(held) - 1)
        (folder / name).write_text("\n".join(held) + "\n", encoding="utf-8")
    ways = []
    for read in (read_clean, lambda text: None):  # noqa: ARG005
        with pytest.MonkeyPatch.context() as patch:
            patch.setattr(csv_cells, "read_clean", read)
            ways.append(outcome(folder))
    assert type(ways[0]) is type(ways[1])
    if isinstance(ways[0], Logbook) and isinstance(ways[1], Logbook):
        assert_same(*ways)
    else:
        assert ways[0] == ways[1]


def outcome(folder: Path) -> Logbook | str:
    """The logbook, or the words that refuse it."""
    try:
        return read_logbook(folder)
    except WearcastError as refused:
        return str(refused)


def assert_same(one: Logbook, other: Logbook) -> None:
    """Every table, finding and setting of two logbooks is the same."""
    for name in FRAMES:
        pd.testing.assert_frame_equal(
            getattr(one, name), getattr(other, name), check_exact=True, obj=name
        )
    assert one.settings == other.settings
    assert (one.told, one.tallies, one.as_of) == (other.told, other.tallies, other.as_of)


def test_only_a_file_without_oddities_may_be_large(tmp_path: Path):
    row = "M1,2026-01-01,5.5\n"
    path = tmp_path / "readings.csv"
    path.write_text("machine,date,hours\n" + row * (20_100_000 // len(row)), encoding="utf-8")
    assert read_text(path, "readings.csv", "readings")[0].endswith("5.5")
