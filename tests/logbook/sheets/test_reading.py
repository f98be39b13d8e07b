"""The sheets of one table become a draft: what each cell is read as, and what is told."""

import datetime

import numpy as np

from wearcast.logbook.schema.tables import BY_NAME, TABLES
from wearcast.logbook.sheets.cells import cells_of
from wearcast.logbook.sheets.columns import date_columns
from wearcast.logbook.sheets.date_orders import Settled
from wearcast.logbook.sheets.headings import Grid
from wearcast.logbook.sheets.reading import empty_draft, read_table


def grid(rows, table="readings", columns=("machine", "date", "hours"), origin=0, source="a.csv"):
    cells = {name: cells_of([row[at] for row in rows]) for at, name in enumerate(columns)}
    numbers = list(range(2, len(rows) + 2))
    return Grid(BY_NAME[table], source, origin, numbers, cells, False, source)


def read(*grids, orders=None):
    return read_table(grids[0].table, list(grids), orders or {})


def told(draft):
    return [(one.source, one.rows, one.column, one.severity, one.wrong) for one in draft.told]


SOUND = ("M1", "2026-01-05", "7")


def test_cells_are_kept_as_they_were_written():
    draft = read(grid([(" M1", "5 Jan 2026", "7 h"), SOUND]))
    assert draft.written["machine"].tolist() == [" M1", "M1"]
    assert draft.written["hours"].tolist() == ["7 h", "7"]
    assert draft.written["new_meter"].tolist() == ["", ""]
    assert draft.columns == {"machine", "date", "hours"}


def test_sheets_of_one_table_stand_below_each_other_with_findings_in_their_rows():
    draft = read(
        grid([SOUND, ("M1", "soon", 8)], origin=3),
        grid([("M2", "2026-01-07", 9), ("M2", "2026-01-08", "x")], origin=5, source="b.csv"),
    )
    assert draft.frame["origin"].tolist() == [3, 3, 5, 5]
    assert draft.frame["state"].tolist() == ["used", "set aside", "used", "set aside"]
    assert told(draft) == [
        ("a.csv", (3,), "date", "set aside", "not a date"),
        ("b.csv", (3,), "hours", "set aside", "not a number"),
    ]


def test_a_table_without_rows_is_an_empty_draft_of_the_same_kinds():
    for table in TABLES:
        empty = empty_draft(table)
        assert empty.frame.empty
        assert empty.frame.columns.tolist() == [
            *(column.name for column in table.columns), "source", "row", "origin", "state", "run",
        ]  # fmt: skip
        assert empty.written.columns == [column.name for column in table.columns]
    filled, empty = read(grid([SOUND])).frame, empty_draft(BY_NAME["readings"]).frame
    assert filled.dtypes.equals(empty.dtypes)
    assert read_table(BY_NAME["readings"], [grid([])], {}).frame.empty


def test_rows_without_needed_cells_are_told_once_a_kind():
    rows = [SOUND, ("M1", None, 8), ("M2", None, 9), (None, "2026-01-05", None), ("M1", "-", 7)]
    columns = ("machine", "date", "hours", "new_meter")
    draft = read(grid([(*row, "no") for row in rows], columns=columns))
    assert draft.frame["state"].tolist() == ["used", *["set aside"] * 4]
    assert [(rows, wrong) for _, rows, _, _, wrong in told(draft)] == [
        ((3, 4), "date is blank"),
        ((6,), "this stands for nothing, and date is needed"),
        ((5,), "machine and hours are blank"),
    ]


def test_a_word_for_nothing_elsewhere_is_read_as_blank_and_told():
    rows = [("GB", "-", "n/a"), ("BR", 5, "gum")]
    draft = read(grid(rows, "parts", ("part", "price", "name")))
    assert np.isnan(draft.frame["price"].iloc[0])
    # What stands in a text is the person's own business.
    assert told(draft) == [("a.csv", (2,), "price", "note", "read as blank")]


def test_rows_passed_over_are_ignored_or_set_aside_and_told_with_what_they_say():
    made = grid([SOUND, (None, None, None), ("Total", None, 14), SOUND])
    made.overlong.append(3)
    draft = read(made)
    assert draft.frame["state"].tolist() == ["used", "ignored", "ignored", "set aside"]
    assert [(one.rows, one.value) for one in draft.told] == [((5,), "M1"), ((4,), "Total")]


def test_dates_with_two_readings_are_read_as_settled_and_told_once():
    made = grid([("M1", "03/02/2026", 7), ("M1", "05/02/2026", 8), ("M1", "25/02/2026", 9)])
    settled = {(0, "date"): Settled("day first", also=("stock",))}
    draft = read(made, orders=settled)
    assert draft.frame["date"].dt.day.tolist() == [3, 5, 25]
    assert [one[-1] for one in told(draft)] == [
        "dates are read day first: 03/02/2026 is 3 February 2026; those of stock too"
    ]
    quiet = read(made, orders={(0, "date"): Settled("day first", told=False)})
    assert told(quiet) == []


def test_a_day_number_is_told_as_read():
    draft = read(grid([("M1", 46027, 7), SOUND]))
    assert told(draft) == [
        ("a.csv", (2,), "date", "repaired", "a spreadsheet's day number is read as its date")
    ]


def test_the_dates_of_rows_passed_over_do_not_bear_on_the_order():
    made = grid([("M1", "03/02/2026", 7), ("EXAMPLE M1", "25/12/2026", 8)])
    column = date_columns(made)["date"]
    assert (column.open_rows, column.orders()) == (1, {})
    assert date_columns(grid([])) == {}
    assert list(date_columns(grid([("M1", 7)], "machines", ("machine", "deck")))) == []


def test_a_date_where_a_name_belongs_is_set_aside():
    draft = read(grid([(datetime.datetime(2026, 4, 3), "2026-01-05", 7), SOUND]))
    assert draft.frame["state"].tolist() == ["set aside", "used"]
    # In a text a date may stand.
    named = read(grid([("GB", datetime.datetime(2026, 4, 3))], "parts", ("part", "name")))
    assert told(named) == []


def test_of_cells_with_two_readings_the_first_by_letters_shows_the_order():
    rows = [("M1", written, 7) for written in ("05/02/2026", "03/02/2026", "25/02/2026")]
    draft = read(grid(rows), orders={(0, "date"): Settled("month first")})
    assert [(rows, wrong) for _, rows, _, _, wrong in told(draft)] == [
        ((4,), "no date if read month first, as the others of the column are"),
        ((2, 3), "dates are read month first: 03/02/2026 is 2 March 2026"),
    ]


def test_a_table_knows_which_columns_any_of_its_sheets_has():
    more = ("machine", "date", "hours", "new_meter")
    draft = read(grid([SOUND]), grid([(*SOUND, "yes")], columns=more, origin=1))
    assert draft.columns == set(more)
    assert draft.frame["new_meter"].tolist() == [False, True]
