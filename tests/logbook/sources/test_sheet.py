"""Columns by their letters, and how a long cell is cut."""

import pytest

from wearcast.logbook.sources.sheet import LONGEST_TEXT, CellError, column_of, letters, shorten


@pytest.mark.parametrize(
    ("reference", "column"),
    [("A1", 1), ("Z9", 26), ("AA1", 27), ("AZ3", 52), ("BA2", 53), ("XFD1048576", 16_384),
     ("7", 0), ("", 0), ("ab1", 28), ("\u00df7", 0), ("\u00e97", 0)],
)  # fmt: skip
def test_a_reference_says_its_column(reference: str, column: int):
    # XFD is the last of a spreadsheet's 2^14 columns (ECMA-376 limits, remembered).
    assert column_of(reference) == column


def test_no_more_than_eight_letters_are_looked_at():
    # No column has so many; a reference may be as long as a file.
    assert column_of("A" * 8) == column_of("A" * 9)


@pytest.mark.parametrize("column", [1, 26, 27, 52, 53, 702, 703, 16_384])
def test_letters_lead_back_to_their_column(column: int):
    assert column_of("".join(letters(column)) + "1") == column


def test_a_text_is_cut_only_where_it_is_too_long():
    assert shorten("x" * LONGEST_TEXT) == "x" * LONGEST_TEXT
    assert len(shorten("x" * (LONGEST_TEXT + 1))) == LONGEST_TEXT
    assert shorten("x" * (LONGEST_TEXT + 1)).endswith("…")


def test_an_error_is_quoted_as_it_is_shown():
    assert str(CellError("#N/A")) == "#N/A"
