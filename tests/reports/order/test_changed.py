"""What changed since an earlier report."""

from io import BytesIO
from pathlib import Path

import openpyxl
import pandas as pd
import pytest

from tests.conftest import assert_table, table
from tests.reports import makers
from wearcast.errors import UnreadableFile
from wearcast.reports.frames import csv_text
from wearcast.reports.order.changed import what_changed
from wearcast.reports.order.news import changes_since
from wearcast.reports.workbook.order_book import order_workbook


def earlier(place: Path, order: pd.DataFrame) -> Path:
    (place / "order.csv").write_text(csv_text("order", order), encoding="utf-8")
    return place


def test_nothing_changed_against_itself(tmp_path: Path):
    assert what_changed(makers.order(), earlier(tmp_path, makers.order())).empty


def test_a_line_within_a_pack_is_not_told(tmp_path: Path):
    old = makers.order()
    old.loc[0, "order_pieces"] = 5  # a pack of 5 less
    assert what_changed(makers.order(), earlier(tmp_path, old)).empty


def test_lines_added_dropped_and_moved_are_told_with_their_cause(tmp_path: Path):
    old, new = makers.order(), makers.order()
    old.loc[0, ["order_pieces", "expected_use", "order_up_to"]] = [30, 25.5, 30]  # 15 fewer now
    old.loc[1, "order_pieces"] = 0
    old.loc[1, "on_hand"] = 9  # 8 fewer on the shelf now
    new.loc[2, "order_pieces"] = 0
    old.loc[2, "on_order"] = 0
    new.loc[2, "on_order"] = 6
    assert_table(what_changed(new, earlier(tmp_path, old)), """
        depot  part     change   before  now  cause
        north  =SUM(1)  dropped  6       0    more on order (-6.0 pieces)
        north  BL-1     less     30      10   fewer pieces an hour: newly fitted wear, or edges farther from their end (-15.0 pieces), whole packs, smallest orders, surplus (-5.0 pieces)
        south  BL-1     added    0       10   counted fewer (+8.0 pieces), whole packs, smallest orders, surplus (+2.0 pieces)
    """)  # fmt: skip  # noqa: E501


def test_a_part_that_only_one_order_lists_is_told(tmp_path: Path):
    place = earlier(tmp_path, makers.order().iloc[1:])
    assert_table(what_changed(makers.order().iloc[[0, 1, 3]], place), """
        depot  part     change   cause
        north  =SUM(1)  dropped  a part that this order does not list
        north  BL-1     added    a part that the earlier order did not list
    """)  # fmt: skip


def test_a_folder_without_an_order_is_told(tmp_path: Path):
    with pytest.raises(UnreadableFile, match=r"holds no order\.csv to compare with"):
        what_changed(makers.order(), tmp_path)


def test_a_file_that_is_no_order_is_told(tmp_path: Path):
    (tmp_path / "order.csv").write_text("a,b\n1,2\n")
    with pytest.raises(UnreadableFile, match="is not an order that wearcast wrote"):
        what_changed(makers.order(), tmp_path)


def test_a_move_of_the_use_is_shared_out_among_its_causes(tmp_path: Path):
    # Twice the machines with twice the hours in all use twice the pieces: 5.25 of 10.5.
    old = makers.order()
    old.loc[0, ["order_pieces", "expected_use", "machines", "hours_per_week"]] = [0, 5.25, 1, 20]
    old.loc[0, "order_up_to"] = 10
    new = makers.order()
    new.loc[0, ["machines", "hours_per_week"]] = [2, 40]
    assert_table(what_changed(new, earlier(tmp_path, old)), """
        part  change  cause
        BL-1  added   more machines (+5.2 pieces), whole packs, smallest orders, surplus (+5.0 pieces)
    """)  # fmt: skip  # noqa: E501


def test_an_earlier_order_without_machines_and_use_tells_them_in_one(tmp_path: Path):
    old = makers.order().drop(columns=["machines", "hours_per_week", "used"])
    old.loc[0, ["order_pieces", "expected_use", "order_up_to", "on_hand"]] = [30, 25.5, 30, 7]
    told = what_changed(makers.order(), earlier(tmp_path, old))
    assert list(told["cause"]) == [
        "less use expected (-15.0 pieces), whole packs, smallest orders, surplus (-10.0 pieces), "
        "less on the shelf (+5.0 pieces)"
    ]


def test_beyond_four_causes_the_rest_is_told_in_one(tmp_path: Path):
    old, new = makers.order().iloc[:1], makers.order().iloc[:1]
    old.loc[0, ["on_hand", "on_order", "moved_in", "order_up_to", "order_pieces"]] = [9, 9, 9, 9, 0]
    new.loc[0, ["on_hand", "on_order", "moved_in", "order_up_to"]] = [2, 4, 7, 16]
    new.loc[0, "order_pieces"] = 23
    # 7 fewer on the shelf, 5 on order and 2 moved in; 7 more above the mean use; 2 for packs.
    assert list(what_changed(new, earlier(tmp_path, old))["cause"]) == [
        "counted fewer (+7.0 pieces), more held above the mean use (+7.0 pieces), less on order "
        "(+5.0 pieces), moves between depots (+2.0 pieces), smaller causes together (+2.0 pieces)"
    ]


def test_a_price_or_a_delivery_time_that_changed_alone_is_told(tmp_path: Path):
    old = makers.order()
    old.loc[0, "unit_price"] = 11.0
    old.loc[1, "lead_days"] = 21.0
    old.loc[3, "unit_price"] = 1.0  # nothing is ordered of it
    assert_table(
        what_changed(makers.order(), earlier(tmp_path, old)),
        """
        depot  part  change    before  now  price_before  price  lead_days_before  lead_days
        north  BL-1  price     10      10   11.0          12.5   10                10
        south  BL-1  delivery  10      10   12.5          12.5   21                10
    """,
    )


def test_what_was_ordered_is_read_from_the_edited_workbook(tmp_path: Path):
    old = makers.order()
    old.loc[[0, 1], "order_pieces"] = 30
    now = makers.forecast()
    book = openpyxl.load_workbook(BytesIO(order_workbook(now, "x")))
    book["Order"]["F6"], book["Order"]["F7"] = 8, 0  # packs of five: the south's, the north's
    book.save(tmp_path / "order.xlsx")
    changed = what_changed(makers.order(), earlier(tmp_path, old)).set_index("depot")
    assert changed["ordered"].to_dict() == {"north": 0, "south": 40}
    assert "46 in its workbook, none marked as ordered" in changes_since(now, tmp_path).news[1]
    book["Order"]["F7"], book["Order"]["P7"] = 2, pd.Timestamp("2026-11-02").to_pydatetime()
    book.save(tmp_path / "order.xlsx")
    changed = what_changed(makers.order(), tmp_path).set_index("depot")
    assert changed["ordered"].to_dict() == {"north": 10, "south": 0}  # only the line marked so
    assert "10 ordered by the edited workbook" in changes_since(now, tmp_path).news[1]
    book["Order"]["F7"] = "two"
    book.save(tmp_path / "order.xlsx")
    assert "could not be read" in changes_since(now, tmp_path).news[2]


def test_what_came_is_what_the_logbook_says_was_received_since(tmp_path: Path):
    old = makers.order().assign(**{"from": pd.Timestamp("2026-08-01")})
    old.loc[[0, 1], "order_pieces"] = 30
    received = table("""
        part  pieces  depot  received    arrived
        BL-1  7       north  2026-07-31  1
        BL-1  12      north  2026-08-20  1
        BL-1  9       south  -           0
    """)
    received["received"] = pd.to_datetime(received["received"].replace("", None))
    changed = what_changed(makers.order(), earlier(tmp_path, old), received).set_index("depot")
    assert changed["came"].to_dict() == {"north": 12, "south": 0}
    assert what_changed(makers.order(), tmp_path)["came"].isna().all()
