"""Which rows of a sheet are passed over, and for what."""

import pytest

from wearcast.logbook.schema.tables import BY_NAME
from wearcast.logbook.sheets.cells import cells_of
from wearcast.logbook.sheets.headings import Grid
from wearcast.logbook.sheets.rows import GAP, LONGEST_WORD, first_names, passed_rows

READING = ("M1", "2026-01-05", 7)


def grid(rows, table="readings", columns=("machine", "date", "hours"), numbers=None, **more):
    cells = {name: cells_of([row[at] for row in rows]) for at, name in enumerate(columns)}
    numbers = numbers or list(range(2, len(rows) + 2))
    return Grid(BY_NAME[table], "a.csv", 0, numbers, cells, False, "a.csv", **more)


def passed(*rows, **more):
    """What is passed over of a sound reading and the rows below it: place and first word."""
    found = passed_rows(grid([READING, *rows], **more))
    return {int(at): one.wrong.partition(",")[0] for one in found for at in one.places}


@pytest.mark.parametrize(
    ("row", "wrong"),
    [
        pytest.param((None, None, None), "", id="blank"),
        pytest.param((" ", None, ""), "", id="blanks"),
        pytest.param(("EXAMPLE M-01", "2026-01-05", 1204.5), "", id="example"),
        pytest.param(("EXAMPLE M-01", "2026-02-05", 7), "an example", id="example filled in"),
        pytest.param(("Checked by:", "K", None), "a remark", id="label"),
        pytest.param(("# meters", None, None), "a remark", id="remark"),
        pytest.param((None, "// by hand", None), "a remark", id="remark elsewhere"),
        pytest.param(("Total", None, 14), "a total", id="total"),
        pytest.param((None, "Sum", 14), "a total", id="total in the dates"),
        pytest.param(("Summe", None, 14), "a total", id="total in another language"),
        pytest.param(("M1 Total", None, 14), "a total", id="total of a name"),
        pytest.param(("Total M1", None, 14), "a total", id="total before a name"),
        pytest.param(
            ("Machine", "Date", "Hours"), "the headings once more; passed over", id="head"
        ),
        pytest.param(("Unit", "Day", "Hrs"), "the headings once more; passed over", id="words"),
        pytest.param((None, None, 7), "a lone cell outside the table; passed over", id="lone cell"),
        pytest.param(
            ("J. Miller", None, None),
            "a lone text that names nothing else in the logbook; passed over as a remark",
            id="lone text",
        ),
    ],
)
def test_other_rows_are(row, wrong):
    assert passed(row, READING) == {1: wrong}


@pytest.mark.parametrize(
    "row",
    [
        pytest.param(("# meters", "2026-01-05", None), id="a remark with more in the row"),
        pytest.param(("M1 Total", "2026-01-05", 14), id="a name with such a word in a whole row"),
        pytest.param(("totally", None, 14), id="a longer word"),
        pytest.param(("Total" + " " * LONGEST_WORD + "x", None, 14), id="a long text"),
        pytest.param(("Machine", "Date", 7), id="headings in part"),
        pytest.param(("M1;2026-01-06;9", None, None), id="a whole row in one cell"),
    ],
)
def test_what_only_looks_like_one_is_not(row):
    assert passed(row, READING) == {}


def test_headings_of_another_table_end_this_one():
    foreign = ("part", "on_hand", None)
    assert set(passed(foreign, ("GB-1", "4", None), READING)) == {1, 2, 3}
    # Above the first whole row they do not.
    assert passed_rows(grid([foreign, READING])) == []
    assert passed(("part", None, None)) == {
        1: "a lone text that names nothing else in the logbook; passed over as a remark"
    }


def test_a_setting_without_a_value_is_open():
    (found,) = passed_rows(
        grid([("currency", "EUR"), ("fit", None)], "settings", ("setting", "value"))
    )
    assert (found.places.tolist(), found.wrong) == ([1], "")


def test_rows_with_more_cells_than_headings_are_set_aside():
    (found,) = passed_rows(grid([READING, READING, READING], overlong=[1]))
    assert (found.places.tolist(), found.severity) == ([1], "set aside")


@pytest.mark.parametrize(("number", "stray"), [(3 + GAP, False), (4 + GAP, True)])
def test_a_lone_cell_after_a_wide_gap_is_no_row(number, stray):
    lone = [READING, ("M1", None, None)]
    found = passed_rows(grid(lone, numbers=[3, number], company=frozenset({"m1"})))
    assert bool(found) == stray
    # A row with more in it is one, however far down it stands.
    assert passed_rows(grid([READING, ("M1", None, 7)], numbers=[3, 999])) == []


def test_names_of_a_first_column_stand_in_rows_with_more_in_them():
    made = grid([("M-1", "2026-01-05", 7), ("J. Miller", None, None), (None, "2026-01-06", 7)])
    assert first_names([made, grid([READING])]) == {"m1"}
    assert first_names([grid([("x",)], columns=("hours",))]) == frozenset()


@pytest.mark.parametrize(
    ("row", "total"),
    [
        (("Max", None, 14), True),
        (("Max 7", None, 14), False),
        (("North hall total area", None, 14), False),
        (("M1 grand Total", None, 14), True),
        (("Total of M1 and M2", None, 14), True),
        (("M1 Total of all", None, 14), True),
    ],
)
def test_a_total_is_named_in_the_first_two_words_or_the_last(row, total):
    found = passed_rows(grid([READING, row]))
    assert [one.wrong.startswith("a total") for one in found] == [True] * total


def test_a_lone_name_with_such_a_word_is_a_row_where_all_stand_alone():
    parts = {"table": "parts", "columns": ("part", "price")}
    alone = [("GB-1", None), ("Total pad", None), ("Total", None)]
    found = passed_rows(grid(alone, **parts))
    assert [(one.places.tolist(), one.wrong[:7]) for one in found] == [([2], "a total")]
    fuller = passed_rows(grid([("GB-1", 5), ("Total pad", None)], **parts))
    assert [one.places.tolist() for one in fuller] == [[1]]


def test_a_lone_cell_beside_a_catalogue_s_only_needed_column_lacks_its_name():
    made = grid([("GB-1", 5), (None, 7)], "parts", ("part", "price"))
    assert passed_rows(made) == []


def test_headings_once_more_are_told_where_every_needed_one_is_there():
    changes = ("machine", "date", "position", "action", "part")
    row = ("Machine", "Date", "Position", "Action", "Part")
    sound = ("M1", "2026-01-05", "front", "fit", "GB")
    (found,) = passed_rows(grid([sound, row], "changes", changes))
    assert (found.places.tolist(), found.wrong) == ([1], "the headings once more; passed over")


def test_headings_of_another_table_are_not_a_single_cell_or_a_part_of_a_row():
    assert passed_rows(grid([READING, ("part", "on_hand", 7)])) == []
    assert passed_rows(grid([READING, ("M1", "on_hand", "depot")])) == []
    deep = passed_rows(grid([READING, ("part", "on_hand", "depot"), READING, READING]))
    assert [one.places.tolist() for one in deep] == [[1, 2, 3]]
    assert deep[0].severity == "set aside"


STOCK = {"table": "stock", "columns": ("part", "on_hand")}


def test_a_lone_cell_is_told_by_its_place_where_two_columns_are_needed():
    (stray,) = passed_rows(grid([("GB-1", 4), (None, 7)], **STOCK))
    assert stray.wrong == "a lone cell outside the table; passed over"
    (text,) = passed_rows(grid([("GB-1", 4), ("J. Miller", None)], **STOCK))
    assert text.wrong.startswith("a lone text that names nothing else")


@pytest.mark.parametrize(("usual", "passed"), [((5, None), []), ((5, "gum"), [[2]])])
def test_a_lone_name_in_a_catalogue_is_a_part_unless_the_usual_row_says_more(usual, passed):
    rows = [("GB-1", *usual), ("BR-2", *usual), ("J. Miller", None, None)]
    found = passed_rows(grid(rows, "parts", ("part", "price", "name")))
    assert [one.places.tolist() for one in found] == passed
