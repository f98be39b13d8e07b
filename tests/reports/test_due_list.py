# ruff: noqa: E501
"""The due list is parted by weeks and says what is odd and what to take along."""

from types import SimpleNamespace

import numpy as np
import pandas as pd
import pytest

from tests.conftest import table
from tests.reports import makers
from wearcast.reports import due_list
from wearcast.reports.due_list import due_groups, due_sheets

AS_OF = makers.AS_OF
ROWS = table("""
    machine  site    position     part  edge  edges  wear  next_action  due_p10     due_p50     due_p90     replace_p50
    M2       Hall B  front blade  BL-1  2     4      0.6   turn         2026-11-02  2026-11-04  2026-11-20  2026-12-20
    M1       Hall A  front blade  BL-1  4     4      1.4   change       2026-11-05  2026-11-07  2026-12-02  2026-11-07
    M1       Hall A  deck         PAD   -     2      0.2   look         2027-02-01  2027-03-01  2027-03-09  2027-03-01
    M2       Hall B  deck         PAD   1     2      0.3   turn         2026-11-08  2026-11-14  2026-11-14  2026-11-30
    M3       Hall B  deck         PAD   2     2      0.3   change       2026-11-08  2026-11-15  2026-11-15  2026-11-15
""")  # fmt: skip


@pytest.fixture(scope="module")
def groups():
    rows = ROWS.assign(
        **{name: pd.to_datetime(ROWS[name]) for name in ROWS if name.endswith(("10", "50", "90"))},
        edge=pd.to_numeric(ROWS["edge"].replace("", None)),
    )
    machines = pd.DataFrame({"machine": ["M1", "M2", "M3"], "silent_days": [114.0, 3.0, np.nan]})
    made = makers.forecast(due=rows, machines=machines)
    made.draws = SimpleNamespace(slots=SLOTS)
    return due_groups(made)


SLOTS = pd.DataFrame(
    {
        "machine": ["M1", "M2", "M1", "M2", "M3"],
        "position": ["front blade", "front blade", "deck", "deck", "deck"],
        "pieces": [1, 1, 2, 2, 2],
    }
)


def test_what_is_due_is_parted_by_weeks_and_what_is_to_be_looked_at_comes_first(groups):
    assert [(each.title, each.rows["machine"].tolist()) for each in groups] == [
        ("This week, to 7 November", ["M1", "M1", "M2"]),
        ("Next week, to 14 November", ["M2"]),
        ("Later, to 12 December", ["M3"]),
    ]


def test_what_is_past_its_life_or_not_read_is_marked(groups):
    assert groups[0].rows["remark"].tolist() == [
        "past its usual life; hours assumed since 9 July",
        "hours assumed since 9 July",
        "",
    ]


def test_days_edges_and_wear_are_as_people_say_them(groups):
    shown = groups[0].rows[["between", "at_edge", "used"]].to_numpy().tolist()
    assert shown == [
        ["5 Nov to 2 Dec", "4 of 4", "140 %"],
        ["1 Feb to 9 Mar", "? of 2", "20 %"],
        ["2 to 20 Nov", "2 of 4", "60 %"],
    ]


def test_new_parts_are_counted_in_pieces_and_turns_need_none(groups):
    assert [each.take for each in groups] == [
        "Parts to take along: 1 BL-1.",
        "",
        "Parts to take along: 2 PAD.",
    ]


def test_nothing_due_makes_no_groups_and_no_sheets():
    nothing = makers.forecast(due=makers.forecast().due[:0])
    assert due_groups(nothing) == []
    assert due_sheets(nothing) == []


def test_the_sheets_together_take_along_what_the_list_does():
    forecast = makers.forecast()
    sheets = [group.take for _, groups in due_sheets(forecast) for group in groups]
    every = [word for take in sheets for word in take.removesuffix(".").split(" ")]
    whole = [word for one in due_groups(forecast) for word in one.take.removesuffix(".").split(" ")]
    figures = [sum(int(word) for word in words if word.isdigit()) for words in (every, whole)]
    assert figures[0] == figures[1]


def test_on_paper_each_site_has_its_own_list():
    forecast = makers.forecast()
    sheets = due_sheets(forecast)
    rows = sum(len(group.rows) for group in due_groups(forecast))
    assert [site for site, _ in sheets] == sorted(set(forecast.due["site"]))
    assert all(set(group.rows["site"]) == {site} for site, groups in sheets for group in groups)
    assert sum(len(group.rows) for _, groups in sheets for group in groups) == rows


def test_one_site_needs_no_sheet_of_its_own():
    forecast = makers.forecast()
    one = forecast.due[forecast.due["site"].eq(forecast.due["site"].iloc[0])]
    assert due_sheets(makers.forecast(due=one)) == []


def test_a_fleet_of_more_rows_than_a_page_holds_has_no_sheets(monkeypatch):
    forecast = makers.forecast()
    rows = sum(len(group.rows) for _, groups in due_sheets(forecast) for group in groups)
    monkeypatch.setattr(due_list, "MOST_ON_SHEETS", rows)
    assert due_sheets(forecast)
    monkeypatch.setattr(due_list, "MOST_ON_SHEETS", rows - 1)
    assert due_sheets(forecast) == []
