import datetime

import pytest

from tests.logbook.drafting.makers import sheet
from wearcast.logbook.drafting.outline import is_period, outline


def heads(text: str) -> list[str]:
    found = outline(sheet(text))
    assert found is not None
    return [f"{lane.heading}: {lane.kind}" for lane in found.lanes]


def test_headings_in_two_rows_are_joined_over_what_they_were_merged_across():
    assert heads("""
        Hour meters
        Date        north  -    south
        -           1      2    1
        2026-01-05  120.5  200  300
        2026-01-12  141.0  230  340
    """) == ["Date: date", "north 1: number", "north 2: number", "south 1: number"]


def test_a_group_above_the_headings_completes_them():
    assert heads("""
        -           -     Blade   -    Brush   -
        Date        Unit  front   rear    left  right
        2026-01-05  M1    turned  -       -     new
        2026-01-12  M1    -       turned  -     -
    """)[2:] == ["Blade front: text", "Blade rear: text", "Brush left: blank", "Brush right: text"]


@pytest.mark.parametrize("text", ["a line\nanother", "one"])
def test_a_text_without_headings_has_no_outline(text: str):
    assert outline(sheet(text)) is None


@pytest.mark.parametrize("cell", ["1.234,5 h", "1 234.5", "12.5", 7])
def test_a_meter_is_no_day(cell: object):
    assert not is_period(cell)


@pytest.mark.parametrize(
    "cell",
    ["KW 45", "Januar", "2026-W05", "12.3.", "03/04/2026 7:30 AM", datetime.date(2026, 1, 5)],
)
def test_days_weeks_and_months_are_periods(cell: object):
    assert is_period(cell)


def test_a_row_of_halves_above_completes_headings():
    assert heads("""
        -           -        Meter  Work
        Date        Machine  [h]    done
        2026-01-05  M1       120    new left brush
        2026-01-12  M1       150    -
    """)[2:] == ["Meter [h]: number", "Work done: text"]
