"""Laws that hold for any logbook: rows are accounted for, and their order says nothing."""

import random
from pathlib import Path

import pandas as pd
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.logbook.makers import SOUND, read_tables, write_folder
from wearcast.logbook.book import Logbook, book_as_of, read_logbook
from wearcast.logbook.frames import FRAMES

FEW = settings(
    max_examples=5,
    deadline=None,  # the machine may be busy; what is read is small
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
JUNK = (
    "",
    " ",
    "nan",
    "-1",
    "31/02/2026",
    "#N/A",
    "1,204",
    "M-014",
    "worn",
    "yes",
    "99999999",
    "\x01",
)


def facts(book: Logbook) -> dict[str, pd.DataFrame]:
    """The frames without where each row came from."""
    frames = {name: getattr(book, name) for name in FRAMES}
    return {
        name: frame.drop(columns=["source", "row"], errors="ignore")
        for name, frame in frames.items()
    }


def assert_same_facts(one: Logbook, other: Logbook) -> None:
    assert one.as_of == other.as_of
    assert one.settings == other.settings
    for name, frame in facts(one).items():
        pd.testing.assert_frame_equal(frame, facts(other)[name], obj=name)


def messed(cells: list[tuple[str, int, int, str]]) -> dict[str, str]:
    """The sound logbook with cells overwritten: table, row, column, what is written."""
    grids = {name: [line.split(",") for line in text.splitlines()] for name, text in SOUND.items()}
    for table, row, column, text in cells:
        grid = grids[table]
        line = grid[1 + row % (len(grid) - 1)]
        line[column % len(line)] = text if "," not in text else f'"{text}"'
    return {name: "".join(",".join(line) + "\n" for line in grid) for name, grid in grids.items()}


CELLS = st.lists(
    st.tuples(
        st.sampled_from(sorted(SOUND)),
        st.integers(0, 20),
        st.integers(0, 12),
        st.sampled_from(JUNK),
    ),
    max_size=12,
)


@FEW
@given(CELLS)
def test_rows_read_are_used_set_aside_or_ignored(
    tmp_path: Path, cells: list[tuple[str, int, int, str]]
):
    tables = messed(cells)
    book = read_tables(tmp_path, tables)
    found = {tally.table: tally for tally in book.tallies}
    for name, text in tables.items():
        tally = found[name]
        assert tally.read == len(text.splitlines()) - 1
        assert tally.read == tally.used + tally.set_aside + tally.ignored


@FEW
@given(CELLS)
def test_what_is_set_aside_is_told(tmp_path: Path, cells: list[tuple[str, int, int, str]]):
    book = read_tables(tmp_path, messed(cells))
    for tally in book.tallies:
        told = {
            row
            for problem in book.told
            if problem.severity == "set aside" and problem.table == tally.table
            for row in problem.rows
        }
        # Rows of a floor set go with a bad one of it, which says so.
        together = any("other floors of that date go with it" in one.wrong for one in book.told)
        assert len(told) >= tally.set_aside or (tally.table == "floors" and together)


@FEW
@given(st.integers(0, 1000), CELLS)
def test_the_order_of_rows_changes_nothing(
    tmp_path_factory: pytest.TempPathFactory, seed: int, cells: list[tuple[str, int, int, str]]
):
    tables = messed(cells)
    shuffled = {}
    for name, text in tables.items():
        head, *rows = text.splitlines()
        random.Random(seed).shuffle(rows)
        shuffled[name] = "\n".join([head, *rows]) + "\n"
    assert_same_facts(
        read_tables(tmp_path_factory.mktemp("log"), tables),
        read_tables(tmp_path_factory.mktemp("log"), shuffled),
    )


def test_merging_a_logbook_with_itself_changes_nothing(tmp_path: Path):
    one = write_folder(tmp_path / "one", SOUND)
    two = write_folder(tmp_path / "two", SOUND)
    once, twice = read_logbook(one), read_logbook(one, two)
    assert_same_facts(once, twice)
    assert_same_facts(once, read_logbook(one, one))
    assert {problem.severity for problem in twice.told} == {"note"}


def test_a_logbook_in_two_files_is_the_logbook(tmp_path: Path):
    head, *rows = SOUND["readings"].splitlines()
    halves = ["\n".join([head, *rows[at::2]]) + "\n" for at in (0, 1)]
    one = write_folder(tmp_path / "one", {**SOUND, "readings": halves[0]})
    two = write_folder(tmp_path / "two", {"readings": halves[1]})
    assert_same_facts(read_tables(tmp_path / "whole", SOUND), read_logbook([one, two]))


def test_a_later_as_of_never_forgets_a_row(tmp_path: Path):
    book = read_tables(tmp_path, SOUND)
    lengths = [
        [len(getattr(book_as_of(book, day), name)) for name in FRAMES if name != "parts"]
        for day in pd.date_range("2026-01-05", book.as_of, freq="7D")
    ]
    assert lengths == sorted(lengths)


@pytest.mark.parametrize("name", FRAMES)
def test_an_absent_table_has_the_columns_and_kinds_of_a_full_one(name: str, tmp_path: Path):
    full = read_tables(tmp_path / "full", SOUND)
    bare = read_tables(tmp_path / "bare", {key: SOUND[key] for key in ("readings", "changes")})
    one, other = getattr(full, name), getattr(bare, name)
    assert list(one.columns) == list(other.columns)
    assert one.dtypes.to_dict() == other.dtypes.to_dict()
