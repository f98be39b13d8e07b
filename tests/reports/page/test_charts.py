"""Charts: the same bytes each time, any name drawn as it is, nothing where there is nothing."""

import re

import pandas as pd
import pytest

from tests.conftest import table
from tests.reports import makers
from wearcast.reports.order.timeline import Timeline, timeline_of
from wearcast.reports.page import charts, wear_charts
from wearcast.reports.page.drawing import short

NAMES = ["$x_1^2$ costs $5", "床 A", "<b>&amp;</b>", "a\x00b", "x" * 80]


def curves() -> pd.DataFrame:
    return table("""
        wears_as  floor     ends  hours  good  low   high  fitted
        gum       concrete  40    20     0.9   0.8   0.95  0.92
        gum       concrete  40    60     0.4   0.3   0.5   0.42
        nylon     vinyl     6     200    0.5   0.2   0.7   0.45
    """)


def all_charts(forecast) -> dict[str, str]:
    return {
        "stock": charts.stock_chart(timeline_of(forecast)),
        "floors": wear_charts.floor_chart(forecast.floors),
        "pace": wear_charts.pace_chart(forecast.machines),
        "edges": wear_charts.edge_chart(forecast.edges),
        "site": charts.hour_cost_chart(forecast.cost, "site", "EUR"),
        "lasting": wear_charts.lasting_chart(curves()),
    }


def test_charts_are_the_same_each_time_and_bear_no_date():
    first, second = all_charts(makers.forecast()), all_charts(makers.forecast())
    assert first == second
    assert not [name for name, svg in first.items() if re.search(r"dc:date|<metadata", svg)]


def test_ids_of_different_charts_never_meet():
    ids = [re.findall(r'\sid="([^"]+)"', svg) for svg in all_charts(makers.forecast()).values()]
    assert all(ids)
    flat = [each for chart in ids for each in chart]
    assert len(flat) == len(set(flat))


@pytest.mark.parametrize("name", NAMES)
def test_any_name_can_stand_in_a_chart(name: str):
    svg = wear_charts.floor_chart(makers.floors().assign(floor=name))
    assert svg.startswith("<svg")
    assert "<b>" not in svg
    assert "\x00" not in svg


def test_a_dollar_sign_is_a_dollar_sign():
    assert "$x_1^2$ costs $5" in wear_charts.edge_chart(
        makers.edges().assign(site="$x_1^2$ costs $5")
    )


def test_a_chart_says_in_words_what_it_shows():
    for svg in all_charts(makers.forecast()).values():
        assert 'role="img" aria-label="' in svg
        assert "<title>" in svg


def test_there_is_no_chart_of_nothing():
    made = makers.forecast()
    empty: dict[str, pd.DataFrame] = {
        name: getattr(made, name).iloc[:0] for name in ("floors", "machines", "edges", "cost")
    }
    drawn = all_charts(makers.forecast(**empty, order=made.order.iloc[:0]))
    assert {name for name, svg in drawn.items() if svg} == {"lasting"}
    assert wear_charts.lasting_chart(curves().iloc[:0]) == ""
    assert wear_charts.floor_charts(made.floors.iloc[:0]) == []
    assert charts.stock_chart(Timeline(made.draws.day[:0], pd.DatetimeIndex([]), ())) == ""


@pytest.mark.parametrize(("text", "shown"), [("short", "short"), ("x" * 30, "x" * 25 + "…")])
def test_a_long_name_is_shortened_with_a_sign(text: str, shown: str):
    assert short(text) == shown


def test_a_wear_class_stays_whole_on_a_sheet_that_can_be_read():
    some = makers.floors().iloc[:1]
    rows = [
        some.assign(wears_as=f"class {number}", floor=f"floor {floor}")
        for number in range(6)
        for floor in range(8)
    ]
    sheets = wear_charts.floor_charts(pd.concat(rows, ignore_index=True))
    found = [sorted(set(re.findall(r"class \d, floor", sheet))) for sheet in sheets]
    assert [len(each) for each in found] == [2, 3, 1]
