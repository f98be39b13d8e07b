"""Tables and notes on the screen."""

import contextlib
import io
import json

import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from wearcast.cli.telling import (
    Progress,
    exit_code,
    print_columns,
    print_doubts,
    print_json,
    print_notes,
    print_table,
    print_text,
    printable,
    text_lines,
)
from wearcast.reports.fields import Field
from wearcast.told import Problem

ASIDE = Problem("a", "t", (2,), "c", "v", "set aside", "x", "")
NOTE = Problem("a", "t", (2,), "c", "v", "note", "x", "")


def test_texts_stand_left_and_figures_right(capsys: pytest.CaptureFixture[str]):
    frame = pd.DataFrame({"part": ["BL-1", "X"], "pieces": [12.0, 3.5]})
    print_table(
        "Order", frame, [Field("part", "text", "Part", ""), Field("pieces", "pieces", "Pieces", "")]
    )
    assert capsys.readouterr().out == "Order\nPart  Pieces\nBL-1    12.0\nX        3.5\n\n"


def test_a_heading_is_broken_before_it_widens_its_column(capsys: pytest.CaptureFixture[str]):
    frame = pd.DataFrame({"part": ["BL-1"], "relative": [1.0]})
    fields = [Field("part", "text", "Part", ""), Field("relative", "number", "Against usual", "")]
    print_table("Floors", frame, fields)
    assert capsys.readouterr().out == "Floors\n      Against\nPart    usual\nBL-1     1.00\n\n"


def test_what_the_columns_mean_stands_on_stderr(capsys: pytest.CaptureFixture[str]):
    fields = [
        Field("machine", "text", "Machine", "Its name."),
        Field("edges", "count", "Of", "All."),
    ]
    print_columns(fields, quiet=False)
    print_columns(fields, quiet=True)
    assert capsys.readouterr() == ("", "Of: All.\n")


def test_running_text_is_broken_to_the_width_of_the_terminal(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
):
    monkeypatch.setenv("COLUMNS", "20")
    print_text("a part, a depot: and why", "  ")
    assert capsys.readouterr().out == "a part, a depot: and\n  why\n"


def test_a_table_too_wide_goes_on_below_with_its_names(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
):
    monkeypatch.setenv("COLUMNS", "20")
    frame = pd.DataFrame({"part": ["BL-1", "X"], "a": 1e6, "b": 2e6, "why": "a b c d e f g h i"})
    fields = [Field(name, "number", name, "") for name in ("a", "b")]
    fields = [Field("part", "text", "Part", ""), *fields, Field("why", "text", "Why", "")]
    print_table("Order", frame, fields)
    assert capsys.readouterr().out == (
        "Order\nPart             a\nBL-1  1,000,000.00\nX     1,000,000.00\n\n"
        "Part             b\nBL-1  2,000,000.00\nX     2,000,000.00\n\n"
        "Part  Why\nBL-1  a b c d e f g\n      h i\nX     a b c d e f g\n      h i\n\n"
    )


@settings(max_examples=30, deadline=None)
@given(
    st.lists(st.text("ab ", min_size=1, max_size=30), min_size=1, max_size=6), st.integers(20, 90)
)
def test_no_line_of_a_table_is_wider_than_the_terminal(names: list[str], width: int):
    words = [" ".join(name.split()) or "a" for name in names]
    longest = max(len(word) for name in words for word in name.split())
    frame = pd.DataFrame({"part": words, "a": 1.0, "b": 22.0, "why": words})
    fields = [Field(name, "text", name, "") for name in ("part", "why")]
    fields[1:1] = [Field(name, "number", name, "") for name in ("a", "b")]
    with pytest.MonkeyPatch.context() as patched:
        patched.setenv("COLUMNS", str(width))
        said = io.StringIO()
        with contextlib.redirect_stdout(said):
            print_table("t", frame, fields)
    lines = said.getvalue().splitlines()
    assert max(map(len, lines)) <= max(width, 2 * longest + 16)
    assert sum(line.split().count("22.00") for line in lines) == len(words)


def test_the_gravest_findings_stand_before_the_figures(capsys: pytest.CaptureFixture[str]):
    grave = NOTE._replace(wrong="what if: it rained", remedy="Wait", weight=200.0)
    print_doubts([NOTE, grave])
    assert capsys.readouterr().out == "What if: it rained. Wait.\n\n"


def test_an_empty_table_says_none(capsys: pytest.CaptureFixture[str]):
    print_table("Due", pd.DataFrame({"part": []}), [Field("part", "text", "Part", "")])
    assert capsys.readouterr().out == "Due\n  none\n\n"


def test_a_control_character_does_not_reach_the_terminal():
    assert printable("a\x1b[2Jb\nc") == "a?[2Jb?c"


def test_columns_are_as_wide_as_their_widest_cell():
    assert text_lines([["a", "bbb"], ["1", "22"]], [True, False]) == ["a     1", "bbb  22"]


@pytest.mark.parametrize(("told", "code"), [([], 0), ([NOTE], 0), ([NOTE, ASIDE], 1)])
def test_only_rows_set_aside_change_the_exit_code(told: list[Problem], code: int):
    assert exit_code(told) == code


def test_notes_count_the_findings_on_stderr(capsys: pytest.CaptureFixture[str]):
    print_notes([NOTE, ASIDE, NOTE], quiet=False)
    out, err = capsys.readouterr()
    assert out == ""
    assert err == "Findings in the logbook: 1 set aside, 2 noted; wearcast check lists them.\n"


def test_quiet_means_no_notes(capsys: pytest.CaptureFixture[str]):
    print_notes([NOTE], quiet=True)
    assert capsys.readouterr().err == ""


def test_json_is_one_document(capsys: pytest.CaptureFixture[str]):
    print_json(name="Å", rows=[{"x": None}])
    assert json.loads(capsys.readouterr().out) == {"name": "Å", "rows": [{"x": None}]}


def test_a_figure_that_is_not_known_may_not_be_nan():
    with pytest.raises(ValueError, match="not JSON compliant"):
        print_json(x=float("nan"))


def test_progress_says_roughly_what_is_left(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
):
    monkeypatch.setattr("sys.stderr.isatty", lambda: True)
    times = iter([0.0, 0.0, 0.1, 1.0, 7.0, 7.0])
    progress = Progress(quiet=False, clock=lambda: next(times))
    for times_so_far in (0.0, 20.0, 23.0, 60.0):
        progress("Step", times_so_far)
    progress.done()
    lines = capsys.readouterr().err.split("\r\x1b[K")
    assert lines == ["", "Step ...", "Step ...", "Step, about 20 s left ...",
                     "Step, about 7 min left ...", ""]  # fmt: skip


def test_progress_is_silent_where_nobody_watches(capsys: pytest.CaptureFixture[str]):
    progress = Progress(quiet=False)
    progress("Reading")
    progress.done()
    assert capsys.readouterr().err == ""
