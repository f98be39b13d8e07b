"""All sheets as drafts: what the person's own tables steer, and what stops the run."""

from dataclasses import replace

import pytest

from wearcast.errors import UnusableTable
from wearcast.logbook.layout import lay_out_all
from wearcast.logbook.mapping import own_headings, read_mapping
from wearcast.logbook.reshape.reshape import reshape
from wearcast.logbook.sources.sheet import Sheet

READINGS = ["machine,date,hours", "M1,2026-01-05,7", "M1,2026-01-12,9"]
CHANGES = ["machine,date,position,action", "M1,2026-01-05,front,fit"]


def sheet(name, *lines, source="log.xlsx", **more):
    rows = [[cell or None for cell in line.split(",")] for line in lines]
    return Sheet(source, name, rows, list(range(1, len(rows) + 1)), **more)


def laid(*sheets, asked=None, proposal=False):
    """The two needed tables and further sheets, laid out."""
    sound = [sheet("readings", *READINGS), sheet("changes", *CHANGES)]
    names = [one.name for one in sheets]
    every = [*(one for one in sound if one.name not in names), *sheets]
    mapping, mapped = read_mapping(every)
    made, _ = reshape(every, mapping)
    found = lay_out_all(made, own_headings(mapping), asked, proposal)
    return replace(found, drafts=found.drafts | mapped)


def told(found):
    drafts = (one for draft in found.drafts.values() for one in draft.told)
    return [(one.table, one.rows, one.severity, one.wrong) for one in (*found.told, *drafts)]


OPEN = ["machine,date,hours", "M1,03/02/2026,7"]


@pytest.mark.parametrize(
    ("setting", "asked", "order", "month"),
    [
        ("day first", None, "day first", 2),
        ("month first", None, "month first", 3),
        ("month first", "day first", "day first", 2),
        ("day first", "month first", "month first", 3),
    ],
)
def test_the_order_of_dates_is_asked_for_or_set(setting, asked, order, month):
    settings = sheet("settings", "setting,value", f"dates,{setting}")
    found = laid(sheet("readings", *OPEN), settings, asked=asked)
    assert found.order == order
    assert found.drafts["readings"].frame["date"].dt.month.tolist() == [month]


def test_without_a_setting_the_order_that_is_asked_for_holds():
    found = laid(sheet("readings", *OPEN), asked="day first")
    assert found.drafts["readings"].frame["date"].dt.month.tolist() == [2]
    assert laid().order is None


def test_a_setting_of_a_day_is_read_in_the_order_of_the_others():
    settings = sheet("settings", "setting,value", "dates,day first", "as_of,03/02/2026")
    found = laid(settings)
    assert found.settings == {"as_of": "2026-02-03", "dates": "day first"}
    assert laid(sheet("settings", "setting,value", "as_of,03/02/2026")).settings == {}
    asked = laid(sheet("settings", "setting,value", "as_of,03/02/2026"), asked="month first")
    assert asked.settings == {"as_of": "2026-03-02"}


def test_the_person_s_own_headings_are_read_by_the_columns_table():
    columns = sheet("columns", "table,theirs,ours", "Readings,stand,HOURS", "stock,platz,depot")
    readings = sheet("readings", "machine,date,Stand", "M1,2026-01-05,7")
    found = laid(columns, readings)
    assert found.drafts["readings"].frame["hours"].tolist() == [7.0]
    assert found.drafts["columns"].used["theirs"].tolist() == ["stand", "platz"]


@pytest.mark.parametrize(
    ("row", "column", "wrong"),
    [
        ("redings,stand,hours", "table", "no table of that name"),
        ("readings,stand,huors", "ours", "no column of readings"),
    ],
)
def test_a_row_of_the_columns_table_that_means_nothing_is_set_aside(row, column, wrong):
    found = laid(sheet("columns", "table,theirs,ours", row, "stock,platz,depot"))
    (problem,) = found.drafts["columns"].told
    assert (problem.column, problem.rows, problem.wrong) == (column, (2,), wrong)
    assert problem.remedy.startswith("Did you mean ")
    assert found.drafts["columns"].used["theirs"].tolist() == ["platz"]


def test_a_row_of_the_columns_table_that_stands_twice_is_told_once():
    rows = ["table,theirs,ours", "stock,platz,depot", "stock,platz,depot"]
    found = laid(sheet("columns", *rows))
    assert [(one.rows, one.severity) for one in found.drafts["columns"].told] == [((3,), "note")]


@pytest.mark.parametrize("count", [50, 51])
def test_hints_for_the_first_fifty_strange_columns(count):
    rows = [f"redings,h{place},hours" for place in range(count)]
    draft = laid(sheet("columns", "table,theirs,ours", *rows)).drafts["columns"]
    assert len(draft.told) == count
    assert draft.told[49].remedy == "Did you mean readings? Correct the name"
    assert draft.told[-1].remedy.startswith("Did you mean ") == (count == 50)


def test_a_needed_table_that_is_not_there_stops_the_run():
    with pytest.raises(UnusableTable) as stopped:
        lay_out_all([sheet("readings", *READINGS), sheet("my changes log", "x")], {}, None, False)
    assert str(stopped.value) == (
        "log.xlsx: there is no table changes; add a sheet or a file of that name with the columns"
        ' machine, date, position, action. Seen: "my changes log" (x): could be changes. If one of'
        " them is it, give it that name, or say in a table columns how it is to be read (wearcast"
        " import drafts one)."
    )


def test_all_that_is_missing_or_refused_is_told_at_once():
    log = sheet("Log", "M/c,Date,Job", "1,2026-01-05,x")
    with pytest.raises(UnusableTable) as stopped:
        lay_out_all([log, sheet("Cover", "Meter book")], {}, None, False)
    assert str(stopped.value) == (
        "log.xlsx: there is no table readings and no table changes; add sheets or files of these"
        " names, readings with the columns machine, date, hours and changes with the columns"
        ' machine, date, position, action. Seen: "Log" (M/c, Date, Job); "Cover" (Meter book). If'
        " one of them is it, give it that name, or say in a table columns how it is to be read"
        " (wearcast import drafts one)."
    )
    with pytest.raises(UnusableTable) as stopped:
        laid(sheet("readings", "machine,day", "1,2026-01-05"), sheet("changes", "machine", "1"))
    assert [line.partition(".")[0] for line in str(stopped.value).splitlines()] == [
        "log", "log"
    ]  # fmt: skip


def test_in_a_proposal_needed_tables_may_be_missing_or_refused():
    assert lay_out_all([], {}, None, True).drafts["readings"].frame.empty
    found = laid(sheet("readings", "machine,date", "M1,2026-01-05"), proposal=True)
    assert [tuple(one) for one in found.left_out] == [("log.xlsx", "readings", 1, 0, 1, 0, 0)]


def test_no_sheet_at_all_is_named_the_logbook():
    with pytest.raises(UnusableTable, match=r"^the logbook: there is no table readings"):
        lay_out_all([], {}, None, False)


@pytest.mark.parametrize("name", ["readings", "changes"])
def test_a_needed_table_that_is_refused_stops_the_run(name):
    with pytest.raises(UnusableTable) as stopped:
        laid(sheet(name, "title", "machine,date", "M1,2026-01-05"))
    assert str(stopped.value).startswith(f"log.xlsx, {name}, row 2: no column for ")
    assert str(stopped.value).endswith(", or give your heading in a columns table, then run again.")


def test_another_table_that_is_refused_is_left_out_and_told():
    found = laid(sheet("stock", "part,date", "GB,1", "BR,2"))
    assert [tuple(one) for one in found.left_out] == [("log.xlsx", "stock", 2, 0, 2, 0, 0)]
    (problem,) = [one for one in found.told if one.severity == "set aside"]
    assert (problem.table, problem.rows, problem.weight) == ("stock", (1,), 7.0)
    assert problem.wrong.endswith("; the whole table was left out")
    assert found.drafts["stock"].frame.empty


def test_a_table_whose_dates_nothing_settles_is_left_out_like_one_without_a_heading():
    found = laid(sheet("stock", "part,on_hand,counted", "GB,4,03/02/2026"))
    assert [tuple(one) for one in found.left_out] == [("log.xlsx", "stock", 1, 0, 1, 0, 0)]
    assert found.drafts["stock"].frame.empty


def test_a_table_of_headings_alone_is_told_as_absent():
    found = laid(sheet("stock", "part,on_hand"), sheet("plans"))
    assert told(found) == [
        ("stock", (), "note", "no rows; the table counts as absent"),
        ("plans", (), "note", "no rows; the table counts as absent"),
    ]
    assert {one.weight for one in found.told} == {0.01}
