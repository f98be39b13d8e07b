"""Cells of one column: the same once, rows of each, words for nothing and for yes."""

import datetime

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from wearcast.logbook.schema.examples import MARK
from wearcast.logbook.schema.names import HEADING_KEYS
from wearcast.logbook.schema.spelling import heading_key
from wearcast.logbook.schema.tables import BY_NAME, Column
from wearcast.logbook.schema.vocabulary import (
    ERROR_WORDS,
    EXAMPLES,
    EXTREMES,
    MISSING_WORDS,
    RULE,
    TOTALS,
    UNIT_WORDS,
)
from wearcast.logbook.sheets.cells import (
    PLAIN,
    WORDLESS,
    bears_no_word,
    cells_of,
    read_choices,
    read_names,
    read_texts,
    read_yes_no,
    without,
)
from wearcast.logbook.sources.cell_texts import is_empty, says_missing, text_of
from wearcast.logbook.sources.sheet import CellError


def test_each_distinct_cell_is_kept_once_and_nothing_has_no_place():
    cells = cells_of(["a", None, "b", "a"])
    assert cells.codes.tolist() == [0, -1, 1, 0]
    assert cells.distinct == ("a", "b")
    assert cells.rows_of([0]).tolist() == [0, 3]
    assert cells.where(lambda cell: cell == "a").tolist() == [True, False, False, True]
    assert cells.spread([1, 2], 0, int).tolist() == [1, 0, 2, 1]


def test_a_number_a_text_and_a_truth_are_three():
    cells = cells_of([1, 1.0, "1", True])
    assert cells.codes.tolist() == [0, 1, 2, 3]
    assert cells.distinct == (1, 1.0, "1", True)


def test_rows_that_are_passed_over_hold_nothing():
    left = without(cells_of(["a", "b", "c", None]), np.array([True, False, False, False]))
    assert left.codes.tolist() == [-1, 0, 1, -1]
    assert left.distinct == ("b", "c")


@pytest.mark.parametrize(
    ("cell", "text"),
    [
        (7.0, "7"),
        (7.5, "7.5"),
        (1e15, "1000000000000000.0"),
        (1e14, "100000000000000"),
        (-3.0, "-3"),
        (7, "7"),
        (True, "TRUE"),
        (False, "FALSE"),
        (None, ""),
    ],
)
def test_a_cell_as_the_person_sees_it(cell, text):
    assert text_of(cell) == text


@pytest.mark.parametrize("cell", ["", "  ", "\u00a0", "\u200b"])
def test_blanks_alone_are_nothing(cell):
    assert is_empty(cell)


@pytest.mark.parametrize(
    "cell", ["-", " n/a ", "#REF!", '"', "--", "do.", "?", "\u3003", CellError("#N/A")]
)
def test_some_words_stand_for_nothing(cell):
    assert says_missing(cell)


@pytest.mark.parametrize("cell", ["", 0, "-5", "no", "-------------", "nah"])
def test_others_do_not(cell):
    assert not says_missing(cell)


def test_nothing_is_no_and_a_word_of_a_neighbour_is_told():
    values, faults = read_yes_no(cells_of(["Yes", None, "x", "0", "oui", "nein", "maybe"]))
    assert values.tolist() == [True, False, True, False, True, False, False]
    assert [(each.places.tolist(), each.severity, each.wrong) for each in faults] == [
        ([4], "repaired", "read as yes"), ([5], "repaired", "read as no"),
        ([6], "set aside", "neither yes nor no"),
    ]  # fmt: skip


def test_a_choice_is_read_in_any_spelling_and_an_unknown_one_told():
    action = BY_NAME["changes"].column("action")
    values, faults = read_choices(cells_of(["Fit", None, "TURN", "polish", "trun"]), action)
    assert values.tolist() == ["fit", "", "turn", "", ""]
    assert [(each.places.tolist(), each.severity, each.wrong) for each in faults] == [
        ([3], "set aside", "no known action"), ([4], "set aside", "no known action"),
    ]  # fmt: skip
    assert faults[0].remedy == "Write one of fit, turn, remove"
    assert faults[1].remedy == "Did you mean turn? Write one of fit, turn, remove"


def test_causes_that_nobody_knows_are_unknown_and_told_word_by_word_with_their_count():
    cause = BY_NAME["changes"].column("cause")
    values, faults = read_choices(cells_of(["worn", "rust", "boss", "Rust", "boss", "BOSS"]), cause)
    assert values.tolist() == ["worn", *["unknown"] * 5]
    assert [(each.places.tolist(), each.severity, each.wrong) for each in faults] == [
        ([2, 4, 5], "set aside", "no known cause (3 rows); read as unknown"),
        ([1, 3], "set aside", "no known cause (2 rows); read as unknown"),
    ]


def test_a_cause_that_the_person_does_not_know_is_no_fault():
    cause = BY_NAME["changes"].column("cause")
    values, faults = read_choices(cells_of(["unknown", "not known", None]), cause)
    assert values.tolist() == ["unknown", "unknown", ""]
    assert faults == []


@pytest.mark.parametrize(
    ("meant", "words"),
    [
        ("worn", ["worn out", "Normal wear", "blunt", "leaves water", "streaks", "due"]),
        ("damaged", ["ripped"]),
        ("planned", ["scheduled"]),
    ],
)
def test_words_of_the_trade_for_a_cause_are_known(meant, words):
    values, faults = read_choices(cells_of(words), BY_NAME["changes"].column("cause"))
    assert values.tolist() == [meant] * len(words)
    assert [each.severity for each in faults] == ["repaired"]


def test_texts_and_names_come_without_blanks_around():
    cells = cells_of([" M-1 ", None, 7.0])
    assert read_texts(cells).tolist() == ["M-1", "", "7"]


def test_a_date_is_no_name_and_is_set_aside():
    values, faults = read_names(cells_of(["M-1", datetime.datetime(2026, 4, 3), None]))
    assert values.tolist() == ["M-1", "", ""]
    assert [(each.places.tolist(), each.severity) for each in faults] == [([1], "set aside")]
    assert faults[0].wrong.startswith("a date where a name belongs")


@pytest.mark.parametrize(
    ("cell", "yes", "told"),
    [
        ("yes!", True, ["read as yes"]),
        ("(x)", True, ["read as yes"]),
        ("[]", False, ["read as no"]),
        ("No.", False, ["read as no"]),
        ("\u2713", True, ["read as yes"]),
        ("\u2717", False, ["read as no"]),
        *((word, True, ["read as yes"]) for word in ("yes.", "[x]", "new meter fitted")),
        *((word, False, ["read as no"]) for word in ("[ ]", "no.")),
        *((word, False, ["neither yes nor no"]) for word in ("...", "!!", "ok", "swap", "\u2022")),
        ("Y", True, []),
        (True, True, []),
        (0, False, []),
    ],
)
def test_marks_around_a_yes_or_no_say_nothing(cell, yes, told):
    values, faults = read_yes_no(cells_of([cell]))
    assert values.tolist() == [yes]
    assert [each.wrong for each in faults] == told
    wanted = "set aside" if told == ["neither yes nor no"] else "repaired"
    assert all(each.severity == wanted for each in faults)


def test_a_word_that_can_mean_two_choices_is_set_aside_with_both():
    column = Column("it", "choice", "something", choices=("a1", "b1"), words=(("ab", "a1 or b1"),))
    values, faults = read_choices(cells_of(["AB"]), column)
    assert values.tolist() == [""]
    assert [(each.severity, each.wrong) for each in faults] == [("set aside", "can mean a1 or b1")]


def test_no_word_that_cells_are_tested_for_is_a_plain_number():
    words = UNIT_WORDS | MISSING_WORDS | ERROR_WORDS | TOTALS | EXTREMES | HEADING_KEYS
    assert not [word for word in words if PLAIN.fullmatch(word)]


@given(st.from_regex(PLAIN, fullmatch=True))
def test_no_plain_number_is_blank_or_says_missing_or_is_a_rule(text: str):
    assert not is_empty(text)
    assert not says_missing(text)
    assert RULE.fullmatch(text) is None


@given(st.from_regex(WORDLESS, fullmatch=True).filter(str.isascii))
def test_a_number_a_date_or_a_numbered_name_is_no_word_of_any_list(text: str):
    assert bears_no_word(text)
    assert not is_empty(text)
    assert not says_missing(text)
    keys = {heading_key(text), text.casefold(), text.strip("[]() ").casefold()}
    assert keys.isdisjoint(HEADING_KEYS | TOTALS | EXTREMES | UNIT_WORDS)
    assert RULE.fullmatch(text) is None
    assert len(text.split()) == 1
    assert any(map(str.isdigit, text))
    assert not text.startswith((*EXAMPLES, MARK, "#", "//"))
    assert not text.endswith(":")


@given(st.from_regex(WORDLESS, fullmatch=True).filter(str.isascii))
def test_the_key_of_a_heading_that_is_no_word_tells_that(text: str):
    """Then such headings are looked for among the cells that bear no word, too."""
    assert bears_no_word(heading_key(text))
