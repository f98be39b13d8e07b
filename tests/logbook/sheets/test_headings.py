"""Which table a sheet is, which cells stand under which column, and what of it is told."""

import pytest

from wearcast.logbook.schema.names import table_named
from wearcast.logbook.sheets.headings import Refusal, lay_out, sheet_problems
from wearcast.logbook.sources.sheet import Sheet, source_of, workbook_of

HEADINGS = ["machine", "date", "hours"]
ROW = ["M1", "2026-01-05", 7]


def sheet(*rows, name="readings", numbers=None, **more):
    return Sheet(
        "log.xlsx", name, [*map(list, rows)], numbers or [*range(1, len(rows) + 1)], **more
    )


def laid(*rows, **more):
    return lay_out(sheet(*rows, **more), 4, {})


def told(found):
    return [(one.rows, one.column, one.value, one.wrong) for one in found[1]]


@pytest.mark.parametrize(
    ("name", "table", "own"),
    [("readings", "readings", True), ("Readings", "readings", True), ("on order", "on_order", True),
     ("Inventory", "stock", False), ("Log - readings", "readings", False),
     ("elsewhere", None, False)],
)  # fmt: skip
def test_a_sheet_is_the_table_that_its_name_means(name, table, own):
    found, exact = table_named(name)
    assert (found.name if found else None, exact) == (table, own)


def test_a_sheet_of_another_name_is_told_with_its_file():
    assert source_of(sheet(HEADINGS)) == "log.xlsx"
    assert source_of(sheet(HEADINGS, name="Inventory")) == "log.xlsx[Inventory]"
    assert source_of(sheet(HEADINGS, name="Inventory", every_cell=True)) == "log.xlsx"
    assert source_of(sheet(HEADINGS, name="elsewhere")) == "log.xlsx"


def test_a_workbook_settles_its_dates_by_itself_and_a_folder_for_all_its_files():
    assert workbook_of(Sheet("a/log.xlsx", "readings", [], [])) == "a/log.xlsx"
    assert workbook_of(Sheet("a/readings.csv", "readings", [], [], every_cell=True)) == "a"


@pytest.mark.parametrize(
    ("more", "words"),
    [
        ({}, []),
        ({"name": "Inventory"}, ['"Inventory" is read as the table stock']),
        ({"hidden": True}, ["the sheet is hidden; it was read all the same"]),
        ({"hidden_rows": 1}, ["a hidden or filtered row was read like the others"]),
        ({"hidden_rows": 2}, ["2 hidden or filtered rows were read like the others"]),
        ({"name": "elsewhere"}, ['"elsewhere" is not the name of a table; it was left out']),
        ({"name": "elsewhere", "hidden": True}, ['the hidden sheet "elsewhere" was not read']),
        ({"name": "Read me"}, []),
    ],
)
def test_what_a_sheet_s_name_and_visibility_give_to_tell(more, words):
    assert [one.wrong for one in sheet_problems(sheet(HEADINGS, **more))] == words


def test_an_empty_sheet_of_another_name_is_not_told():
    assert sheet_problems(sheet(name="elsewhere")) == []


def test_a_sheet_that_bears_no_table_s_name_is_not_laid_out():
    with pytest.raises(ValueError, match="diary is no table"):
        laid(HEADINGS, name="diary")


def test_an_empty_sheet_has_an_empty_grid():
    grid, found = laid()
    assert (grid.rows, grid.cells, found) == ([], {}, [])


def test_headings_that_stand_for_ours_are_told_and_strange_ones_left_out():
    found = laid(["Unit", "Day", "hours", "colour", "hors"], [*ROW, "red", 1], numbers=[3, 4])
    assert [(one[0], one[3]) for one in told(found)] == [
        ((3,), 'headings read: "Unit" as machine, "Day" as date'),
        ((3,), '"colour", "hors" are no columns of readings and were left out'),
    ]


def test_two_headings_of_one_column_refuse_the_table():
    refusal, _ = laid(["title"], [*HEADINGS, "Hours"], [*ROW, "7"], ROW)
    assert isinstance(refusal, Refusal)
    assert (refusal.row, refusal.read) == (2, 2)
    assert refusal.wrong == '"hours" and "Hours" both mean hours'
    assert refusal.remedy == (
        "Rename the one that is not hours, or leave it out by a blank in a table columns"
    )


def test_two_headings_that_take_each_others_place_may_be_joined():
    refusal, _ = laid(["title"], [*HEADINGS, "Hours"], ROW)
    assert refusal.remedy.startswith("If either may hold it, give both to hours in a table columns")


def test_a_needed_column_that_is_missing_refuses_the_table_with_the_nearest_heading():
    refusal, _ = laid(["machine", "date", "huors", "wing"], [*ROW, "red"])
    assert refusal.wrong == 'no column for hours; the nearest headings are "huors"'
    assert refusal.remedy == "Name the column hours, or give your heading in a columns table"
    bare, _ = laid(["machine"], ["M1"])
    assert bare.wrong == "no column for date and hours"


def test_cells_under_no_heading_are_left_out_and_told():
    found = laid([*HEADINGS, None, "new_meter"], [*ROW, " ", None], [*ROW, "x", None, "y"])
    assert found[0].overlong == []
    assert told(found) == [((3,), "column D, F", "x", "cells under no heading were left out")]


def test_in_a_text_file_a_cell_too_many_makes_the_row_overlong():
    found = laid(HEADINGS, [*ROW, ""], [*ROW, "5"], every_cell=True)
    assert found[0].overlong == [1]
    assert told(found) == []
    between = laid([*HEADINGS, None, "new_meter"], [*ROW, "x", None], every_cell=True)
    assert between[0].overlong == []
    assert told(between)[0][1] == "column D"


METERED = [*HEADINGS, "new_meter"]


@pytest.mark.parametrize(
    ("cells", "split"),
    [
        (["5"], [0]),
        ([" 9 "], [0]),
        (["5", "1", "0", "yes", ""], [0, 1]),
        (["1", "1"], []),
        (["1", "0"], []),
        (["yes", "x"], []),
        (["55"], []),
        ([5], []),
    ],
    ids=str,
)
def test_a_digit_where_yes_or_no_belongs_has_parted_from_the_number_before(cells, split):
    grid, _ = laid(METERED, *([*ROW, cell] for cell in cells), every_cell=True)
    assert grid.split == split


def test_only_a_text_file_parts_numbers_and_only_right_of_one():
    assert laid(METERED, [*ROW, "5"])[0].split == []
    apart = ["machine", "hours", "date", "new_meter"]
    assert laid(apart, ["M1", "7", "2026-01-05", "5"], every_cell=True)[0].split == []
    without = ["hours", "machine", "date"]
    assert laid(without, ["7", "M1", "2026-01-05"], every_cell=True)[0].split == []
    first = ["new_meter", "machine", "date", "hours"]
    assert laid(first, ["5", *ROW], every_cell=True)[0].split == []


def test_strange_headings_are_told_with_the_ones_that_may_be_meant():
    (alone,) = laid([*HEADINGS, "colour"], [*ROW, "red"])[1]
    assert (alone.column, alone.remedy, alone.rows, alone.weight) == ("colour", "", (1,), 0.01)
    (one,) = laid([*HEADINGS, "new metre"], [*ROW, "x"])[1]
    assert one.remedy == 'Rename if meant: "new metre" may be new_meter'
    several = ["machne", "dte", "huors", "new metre", "machin", "datte"]
    (many,) = laid([*HEADINGS, *several], [*ROW, *"xxxxxx"])[1]
    assert many.column == ""
    assert many.remedy.count(" may be ") == 5


@pytest.mark.parametrize(
    ("name", "table"),
    [("Readings 2026", "readings"), ("readings 1826", None), ("2026", None),
     ("readings.csv", "readings"), ("readings (2)", "readings"), ("a - b - stock", "stock")],
)  # fmt: skip
def test_a_year_or_an_ending_behind_a_name_says_nothing(name, table):
    found, _ = table_named(name)
    assert (found.name if found else None) == table


def test_cells_under_no_heading_name_three_columns_at_most():
    row = [*ROW, "a", "b", "c", "d"]
    (one,) = laid(HEADINGS, row, numbers=[4, 7])[1]
    assert (one.column, one.rows, one.value) == ("column D, E, F and 1 more", (7,), "a")
    assert one.remedy == "Give the column a heading"


def test_headings_in_two_rows_are_told_with_both():
    (one,) = laid(["fleet", "date", "meter"], ["no", None, None], ROW, numbers=[3, 4, 5])[1]
    assert (one.rows, one.wrong) == (
        (4,), 'the headings stand in rows 3 and 4; read: "fleet no" as machine, "meter" as hours',
    )  # fmt: skip
    (bare,) = laid(["machine", "date", None], [None, None, "hours"], ROW)[1]
    assert bare.wrong == "the headings stand in rows 1 and 2"


def test_a_sheet_of_another_name_is_told_with_the_table_it_may_be():
    (near,) = sheet_problems(sheet(HEADINGS, name="reedings"))
    assert (near.remedy, near.rows) == ("If it is readings, give it that name", ())
    (far,) = sheet_problems(sheet(HEADINGS, name="elsewhere"))
    assert far.remedy == ""
