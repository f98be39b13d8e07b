"""What becomes of a table's rows when something is found about them, and how it is told."""

from dataclasses import replace

import numpy as np
import pandas as pd
import pytest

from wearcast.logbook.findings.drafts import (
    MOST_FINDINGS,
    Draft,
    Finding,
    gathered,
    one_a_group,
    settle,
)
from wearcast.logbook.schema.tables import BY_NAME


def draft(rows=4, table="readings", **columns):
    """Rows 2, 3, ... of one file, the last one of another."""
    frame = pd.DataFrame({"machine": [f"M{row}" for row in range(rows)], "hours": 10.0, **columns})
    written = frame[["machine", "hours"]].astype(str)
    sources = ["a.csv"] * (rows - 1) + ["b.csv"]
    frame = frame.assign(source=sources, row=range(2, rows + 2), origin=0, state="used", run=False)
    return Draft(BY_NAME[table], frame, written)


def finding(rows, outcome="row", severity="set aside", **more):
    return Finding(rows, "hours", severity, outcome, "is odd", "Correct it", **more)


def states(settled):
    return settled.frame["state"].tolist()


def test_the_draft_that_is_settled_stays_as_it_was():
    made = draft()
    settle(made, [finding([1]), finding([2], "cell")])
    assert (states(made), made.frame["hours"].tolist(), made.told) == (["used"] * 4, [10.0] * 4, ())


def test_a_row_that_is_set_aside_stays_so():
    settled = settle(draft(), [finding([1]), finding([1, 2], "ignored")])
    assert states(settled) == ["used", "set aside", "ignored", "used"]


@pytest.mark.parametrize(
    ("column", "blank"),
    [
        pytest.param([1.0, 2.0, 3.0, 4.0], np.nan, id="number"),
        pytest.param([True, True, True, True], False, id="yes or no"),
        pytest.param(["a", "b", "c", "d"], "", id="text"),
        pytest.param(pd.to_datetime(["2026-01-05"] * 4), pd.NaT, id="date"),
    ],
)
def test_a_cell_is_read_as_blank_and_its_row_used(column, blank):
    made = draft(odd=pd.Series(column, dtype=object if isinstance(column[0], str) else None))
    about = Finding([2], "odd", "set aside", "cell", "is odd")
    settled = settle(made, [about])
    assert states(settled) == ["used"] * 4
    kept = settled.frame["odd"]
    assert pd.isna(kept[2]) if pd.isna(blank) else kept[2] == blank
    assert kept.drop(2).tolist() == made.frame["odd"].drop(2).tolist()


def test_what_is_kept_is_only_told():
    settled = settle(draft(), [finding([1], "kept", "note")])
    assert states(settled) == ["used"] * 4
    (told,) = settled.told
    assert told[:5] == ("a.csv", "readings", (3,), "hours", "10.0")
    assert told[5:8] == ("note", "is odd", "Correct it")


def test_a_quiet_finding_is_carried_out_and_not_told():
    settled = settle(draft(), [finding([1], quiet=True)])
    assert (states(settled)[1], settled.told) == ("set aside", ())


def test_a_finding_in_two_files_is_told_of_each_with_its_rows_in_order():
    settled = settle(draft(), [finding([3, 2, 0])])
    assert [(told.source, told.rows) for told in settled.told] == [
        ("a.csv", (2, 4)),
        ("b.csv", (5,)),
    ]


def test_findings_are_told_after_those_before():
    settled = settle(settle(draft(), [finding([0])]), [finding([1])])
    assert [told.rows for told in settled.told] == [(2,), (3,)]
    assert settle(settled, []) is settled


@pytest.mark.parametrize(
    ("severity", "table", "rows", "weight"),
    [
        # Importance of the table x share of the severity x root of the share of rows.
        ("set aside", "readings", [0], 6.0 * 1.0 * 0.5),
        ("set aside", "readings", [0, 1, 2, 3], 6.0),
        ("repaired", "changes", [0], 8.0 * 0.1 * 0.5),
        ("note", "machines", [0], 3.0 * 0.05 * 0.5),
    ],
)
def test_a_finding_weighs_what_it_does_to_the_order(severity, table, rows, weight):
    settled = settle(draft(table=table), [finding(rows, severity=severity)])
    assert settled.told[0].weight == pytest.approx(weight)


@pytest.mark.parametrize(
    ("table", "weight"),
    [
        ("changes", 8), ("stock", 7), ("readings", 6), ("parts", 6), ("positions", 5),
        ("on_order", 5), ("plans", 4), ("settings", 4), ("machines", 3), ("floors", 3),
        ("columns", 2),
    ],
)  # fmt: skip
def test_a_table_set_aside_as_a_whole_weighs_its_importance(table, weight):
    # A scale of our own: what moves the order most is told first.
    settled = settle(draft(table=table), [finding(range(4))])
    assert settled.told[0].weight == weight


def values(count, column="hours", value=None):
    made = draft(count)
    made.written["hours"] = [f"{row}" for row in range(count)]
    about = Finding(range(count), column, "note", "kept", "is odd", value=value)
    return settle(made, [about]).told[0].value


def test_values_that_differ_are_told_up_to_three():
    # The last row is another file's.
    assert (values(4), values(5)) == ("0, 1, 2", "0, 1, 2 ...")


def test_a_column_that_nobody_wrote_has_no_value():
    assert values(4, column="whole row") == ""


def many(count):
    return [finding([row]) for row in range(count)]


def test_findings_beyond_the_most_are_told_as_one():
    assert gathered(many(MOST_FINDINGS)) == many(MOST_FINDINGS)
    # One more is as short by itself as gathered.
    assert gathered(many(MOST_FINDINGS + 1)) == many(MOST_FINDINGS + 1)
    *first, last = gathered(many(MOST_FINDINGS + 3))
    assert first == many(MOST_FINDINGS)
    assert list(last.rows) == [MOST_FINDINGS, MOST_FINDINGS + 1, MOST_FINDINGS + 2]
    assert last.wrong == "is odd; 2 more are like this one"


def test_the_first_of_those_gathered_words_them_all():
    each = [replace(one, wrong=f"odd {at}") for at, one in enumerate(many(MOST_FINDINGS + 3))]
    assert gathered(each)[-1].wrong == f"odd {MOST_FINDINGS}; 2 more are like this one"


def test_two_findings_blank_their_own_cells_of_one_column():
    settled = settle(draft(), [finding([0], "cell"), finding([2], "cell")])
    assert settled.frame["hours"].isna().tolist() == [True, False, True, False]


def test_a_finding_on_no_row_is_not_told():
    assert settle(draft(), [finding([])]).told == ()


def grouped(count):
    rows = pd.DataFrame({"machine": [f"M{number:03d}" for number in range(count)] * 2})
    return one_a_group(rows, ["machine"], lambda _, here: finding(here.index))


def test_each_group_has_its_finding_and_those_beyond_the_most_share_one():
    assert grouped(0) == []
    assert [list(each.rows) for each in grouped(2)] == [[0, 2], [1, 3]]
    assert len(grouped(MOST_FINDINGS)) == MOST_FINDINGS
    alone = grouped(MOST_FINDINGS + 1)
    assert len(alone) == MOST_FINDINGS + 1
    assert alone[-1].wrong == "is odd"
    shared = grouped(MOST_FINDINGS + 2)
    assert len(shared) == MOST_FINDINGS + 1
    assert list(shared[-1].rows) == [50, 51, 102, 103]
    assert shared[-1].wrong == "is odd; 1 more are like this one"
