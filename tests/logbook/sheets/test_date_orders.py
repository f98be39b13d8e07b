"""In which order a column's dates are read, and where there is a doubt. Calendar facts."""

import datetime

import pytest

from wearcast.logbook.schema.tables import BY_NAME
from wearcast.logbook.sheets.cells import cells_of
from wearcast.logbook.sheets.date_orders import (
    EXCHANGED,
    YEAR_FIRST,
    Settled,
    read_column,
    settle_orders,
    without_reading,
)
from wearcast.logbook.sheets.dates import YEAR_DAY_MONTH, read_date
from wearcast.logbook.sheets.headings import Grid


def wrongs(*cells, date1904=False):
    return [meaning.wrong for meaning in read_column(cells_of(cells), date1904).meanings]


def made(month, day):
    return datetime.datetime(2026, month, day)


def test_a_column_with_the_day_behind_the_year_is_doubted_where_it_may_be_either():
    found = wrongs("2026/31/01", "2026/02/03", "2026-02-03", "2026/05/05", "3 Feb 2026", made(2, 3))
    assert found == [YEAR_DAY_MONTH, YEAR_DAY_MONTH, "", "", "", ""]
    assert wrongs("2026/02/03", "2026/05/31") == ["", ""]


@pytest.mark.parametrize(
    ("written", "wrong"),
    [
        ("2026/13/12", YEAR_DAY_MONTH),
        ("2026/13/13", "there is no such day"),
        ("2026/32/01", "there is no such day"),
        ("2026/30/02", "there is no such day"),
        ("2026/12/13", ""),
        ("2026/12/05", ""),
    ],
)
def test_a_month_over_twelve_may_be_a_day(written, wrong):
    assert read_date(written).wrong == wrong


@pytest.mark.parametrize(
    ("cells", "doubted"),
    [
        (("26-01-05", "26-02-16", "25-03-20"), True),
        # Years reach over three at most, the last numbers over more.
        (("23-01-05", "26-02-16"), True),
        (("22-01-05", "26-02-16"), False),
        (("26-01-05", "26-02-09"), True),
        (("26-01-05", "26-02-08"), False),
        # Up to twelve the first number may be a day that people start on.
        (("13-01-05", "14-02-16"), True),
        (("12-01-05", "14-02-16"), False),
        # A year of four digits leaves no doubt.
        (("26-01-2005", "26-02-2016"), False),
        (("2026-01-05", "2026-02-16"), False),
    ],
    ids=str,
)
def test_short_dates_are_doubted_where_the_first_numbers_are_more_like_years(cells, doubted):
    assert wrongs(*cells) == [YEAR_FIRST if doubted else ""] * len(cells)


def test_other_dates_beside_short_ones_are_not_doubted():
    assert wrongs("26-01-05", "2026-01-05", None, "26-02-16", made(1, 5)) == [
        YEAR_FIRST, "", YEAR_FIRST, "",
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("cells", "doubted"),
    [
        pytest.param((made(1, 5), made(2, 6), "13/01/2026", "25/02/2026"), [0, 1], id="days"),
        pytest.param((made(1, 5), made(2, 6), "01/13/2026", "02/25/2026"), [0, 1], id="months"),
        pytest.param(
            (made(1, 5), made(2, 2), made(3, 12), "13/01/2026", "25/02/2026"), [0, 2],
            id="the same number twice is sure",
        ),
        pytest.param((made(1, 5), made(2, 6), "13/01/2026"), [], id="a single text"),
        pytest.param((made(1, 5), "13/01/2026", "25/02/2026"), [], id="a single date"),
        pytest.param((made(1, 5), made(2, 13), "13/01/2026", "25/02/2026"), [], id="a day of 13"),
        pytest.param((made(1, 5), made(2, 6), "13/01/2026", "01/25/2026"), [], id="both orders"),
        pytest.param((made(1, 5), made(2, 6), "13/01/2026", "03/02/2026"), [], id="two readings"),
        pytest.param((made(1, 5), made(2, 6), "03/02/2026", "04/05/2026"), [], id="all open"),
        pytest.param((made(1, 5), made(2, 6), "2026-01-13", "2026-02-25"), [], id="year first"),
        pytest.param(
            (made(1, 5), made(2, 6), "13/01/2026", "25/02/2026", "soon"), [0, 1], id="a word"
        ),
    ],
)  # fmt: skip
def test_dates_that_a_program_made_are_doubted_beside_texts_it_could_not_read(cells, doubted):
    found = wrongs(*cells)
    assert [at for at, wrong in enumerate(found) if wrong == EXCHANGED] == doubted


def column(*cells, table="readings", origin=0, name="date", workbook="log", rows=None):
    """One column of dates, as `settle_orders` takes it."""
    kept = cells_of(cells)
    numbers = rows or list(range(2, len(cells) + 2))
    grid = Grid(BY_NAME[table], f"{table}.csv", origin, numbers, {name: kept}, False, workbook)
    return grid, name, read_column(kept, False)


def test_a_column_s_own_dates_come_first_then_its_workbook_s_then_the_setting():
    days = column("25/12/2026", "03/02/2026")
    months = column("12/25/2026", "12/26/2026", "12/27/2026", table="changes", origin=1)
    open_ones = column("03/02/2026", table="plans", origin=2, name="start")
    alone = column("03/02/2026", table="stock", origin=3, name="counted", workbook="other")
    orders, refusals = settle_orders([days, months, open_ones, alone], "day first")
    assert {place: one.order for place, one in orders.items()} == {
        (0, "date"): "day first", (1, "date"): "month first", (2, "start"): "month first",
        (3, "counted"): "day first",
    }  # fmt: skip
    assert refusals == []


def test_dates_that_nothing_settles_refuse_their_table_where_they_are_most_of_it():
    found = column("2026-01-05", None, "03/02/2026", "04/02/2026", rows=[5, 6, 8, 9])
    orders, (refusal,) = settle_orders([found], None)
    assert orders == {(0, "date"): Settled(None)}
    assert (refusal.table.name, refusal.origin, refusal.row, refusal.read) == ("readings", 0, 8, 4)
    assert refusal.wrong == (
        "date 03/02/2026 can be 3 February 2026 or 2 March 2026, and no other date settles it"
    )
    assert refusal.remedy == "Set dates to day first or month first (settings, or --dates)"


@pytest.mark.parametrize(
    ("cells", "refused"),
    [
        (("2026-01-05", "03/02/2026"), False),
        (("2026-01-05", "03/02/2026", "03/02/2026"), True),
        (("soon", "03/02/2026"), True),
        ((46027, "03/02/2026"), False),
        (("25/12/2026", "12/25/2026"), True),
    ],
)
def test_half_a_column_of_open_dates_refuses_no_table(cells, refused):
    assert bool(settle_orders([column(*cells)], None)[1]) == refused


def test_the_weightiest_table_tells_the_order_for_all_that_are_read_so():
    found = [
        column("25/12/2026", origin=0),
        column("25/12/2026", table="changes", origin=1),
        column("03/02/2026", table="plans", origin=2, name="start"),
        column("03/02/2026", table="plans", origin=2, name="end"),
        column("2026-02-03", table="stock", origin=3, name="counted"),
        column("25/12/2026", table="stock", origin=4, name="counted", workbook="other"),
    ]
    orders, _ = settle_orders(found, None)
    assert orders == {
        (0, "date"): Settled("day first", told=False),
        (1, "date"): Settled("day first", also=("plans", "readings")),
        (2, "start"): Settled("day first", told=False),
        (2, "end"): Settled("day first", told=False),
        # One without open dates says nothing; another workbook tells its own.
        (3, "counted"): Settled("day first"),
        (4, "counted"): Settled("day first"),
    }


@pytest.mark.parametrize(
    ("written", "order", "wrong"),
    [
        ("2026-02-03", None, ""),
        ("03/02/2026", "day first", ""),
        ("25/12/2026", "month first",
         "no date if read month first, as the others of the column are"),
        ("03/02/2026", None,
         "can be 3 February 2026 or 2 March 2026, and no other date settles it"),
        ("25/12/2026", None,
         "stands in a column with as many dates day first as month first"),
        ("soon", "day first", "not a date"),
    ],
)  # fmt: skip
def test_a_cell_without_a_reading_says_why(written, order, wrong):
    assert without_reading(read_date(written), order) == wrong
