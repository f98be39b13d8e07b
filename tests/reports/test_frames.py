"""CSV text, display text, and texts that a spreadsheet must not take for formulas."""

import csv
import io
import json

import numpy as np
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.reports import makers
from wearcast.reports.fields import OUTPUTS, Field
from wearcast.reports.frames import (
    as_written,
    csv_text,
    fields_of,
    inert,
    problems_frame,
    rows_for_json,
    shown_cells,
    shown_number,
)
from wearcast.told import Problem


@pytest.mark.parametrize(
    ("number", "written"),
    [
        (1.0, "1"),
        (62.123456789, "62.123457"),
        (123456789.0, "123456790"),
        (0.000012345, "0.000012345"),
        (-0.0, "0"),
        (-2.5, "-2.5"),
        (np.nan, ""),
        (np.inf, ""),
    ],
)
def test_a_number_is_written_with_eight_significant_digits(number: float, written: str):
    text = csv_text("", pd.DataFrame({"x": [number], "y": [1.0]}))
    assert text == f"x,y\n{written},1\n"


@given(st.floats(allow_nan=False, allow_infinity=False))
def test_a_number_read_back_is_the_same_to_eight_digits(number: float):
    text = csv_text("", pd.DataFrame({"x": [number], "y": [1.0]}))
    back = float(text.split("\n")[1].split(",")[0])
    # Half a unit in the eighth digit; below the smallest normal number digits are lost anyway.
    assert back == pytest.approx(number, rel=5.1e-8, abs=1e-300)


def test_a_date_is_written_as_an_iso_date_and_a_missing_one_as_nothing():
    frame = pd.DataFrame({"a": pd.to_datetime(["2026-10-31", None]), "b": ["x", "y"]})
    assert csv_text("", frame) == "a,b\n2026-10-31,x\n,y\n"


@given(st.text())
def test_a_text_comes_back_as_it_was_written(text: str):
    assert as_written(inert(text)) == text


@pytest.mark.parametrize("start", ["=", "+", "-", "@", "\t", "\r", "'=", "\uff1d"])
def test_a_text_that_could_be_a_formula_gets_an_apostrophe(start: str):
    assert inert(f"{start}1+1") == f"'{start}1+1"


def test_a_negative_number_is_no_text_and_stays_a_number():
    assert csv_text("", pd.DataFrame({"x": [-5.0], "n": ["-5"]})) == "x,n\n-5,'-5\n"


def test_the_columns_stand_in_the_order_of_the_contract_and_further_ones_after_them():
    frame = pd.DataFrame({"more": [1.0], "floor": ["x"], "wears_as": ["gum"]})
    assert [field.name for field in fields_of("floors", frame)] == ["wears_as", "floor", "more"]


@pytest.mark.parametrize("name", ["order", "floors", "due", "cost", "machines", "spells"])
def test_every_line_of_a_file_has_as_many_cells_as_its_heading(name: str):
    text = csv_text(name, getattr(makers.forecast(), name))
    rows = list(csv.reader(io.StringIO(text)))
    assert {len(row) for row in rows} == {len(rows[0])}
    assert "\r" not in text


def test_every_column_of_the_contract_has_a_heading_and_a_note():
    for fields in OUTPUTS.values():
        for field in fields:
            assert field.heading
            assert field.note


def test_the_json_rows_are_the_figures_of_the_csv_without_nan():
    frame = makers.cost()
    rows = rows_for_json("cost", frame)
    assert rows[4]["per_1000m2"] is None
    assert rows[0]["mean"] == 812.5
    assert "NaN" not in json.dumps(rows, allow_nan=False)


def test_findings_stand_heaviest_first_and_once():
    light = Problem("a.csv", "t", (2,), "c", "v", "note", "light", "")
    heavy = Problem("b.csv", "t", (9, 3, 4), "c", "v", "set aside", "heavy", "Do", 5.0)
    frame = problems_frame([light, heavy, light])
    assert list(frame["what"]) == ["heavy", "light"]
    assert list(frame["row"]) == ["rows 3-4, 9", "row 2"]


def test_a_finding_in_many_rows_names_the_first_of_them_where_people_read():
    many = Problem("a.csv", "t", tuple(range(2, 40, 2)), "", "", "note", "x", "")
    assert problems_frame([many], rows=3)["row"][0] == "rows 2, 4, 6 and 16 more"


@pytest.mark.parametrize(
    ("number", "decimals", "text"),
    [
        (1234.5, 2, "1,234.50"),
        (-0.001, 1, "0.0"),
        (np.nan, 2, ""),
        (0.5, 0, "0"),
        (-3.2, 1, "-3.2"),
    ],
)
def test_a_number_for_people(number: float, decimals: int, text: str):
    assert shown_number(number, decimals) == text


def test_a_share_is_shown_in_percent():
    field = Field("in_time", "share", "In time", "")
    assert shown_cells(pd.Series([0.973, np.nan]), field) == ["97.3 %", ""]
