"""Counts, received goods, suppliers and service levels as the reader hands them on."""

from pathlib import Path

import pandas as pd
import pytest

from tests.logbook.makers import SOUND, read_tables, told_of

NEWEST = "2026-03-07"
"""A week and a half after the sound logbook's last reading or change."""


def orders(*received: str) -> dict[str, str]:
    rows = "".join(f"GB-1,6,2026-02-0{at},main,{day}\n" for at, day in enumerate(received, 1))
    return {**SOUND, "on_order": f"part,pieces,due,depot,received\n{rows}"}


def test_received_goods_have_a_day_or_yes(tmp_path: Path):
    book = read_tables(tmp_path, orders("2026-02-05", "yes", "", "no", "ja"))
    assert book.on_order["arrived"].tolist() == [True, True, False, False, True]
    assert book.on_order["received"].notna().tolist() == [True, False, False, False, False]
    assert book.on_order["received"].iloc[0] == pd.Timestamp("2026-02-05")


def test_days_of_receipt_are_read_in_the_order_of_the_column(tmp_path: Path):
    book = read_tables(tmp_path, orders("25/01/2026", "yes", "05/02/2026"))
    assert book.on_order["received"].dropna().tolist() == [
        pd.Timestamp("2026-01-25"), pd.Timestamp("2026-02-05")
    ]  # fmt: skip


def test_what_is_neither_a_day_nor_yes_is_read_as_still_to_come_and_told(tmp_path: Path):
    book = read_tables(tmp_path, orders("soon"))
    assert book.on_order["arrived"].tolist() == [False]
    (told,) = [line for line in told_of(book) if "received" in line]
    assert "the cell counts as blank" in told


@pytest.mark.parametrize(
    ("table", "text"),
    [
        ("stock", f"part,on_hand,depot,counted\nGB-1,6,main,{NEWEST}\n"),
        ("on_order", f"part,pieces,due,depot,received\nGB-1,6,2026-03-05,main,{NEWEST}\n"),
    ],
)
def test_a_count_or_a_receipt_later_than_the_last_log_row_moves_as_of(
    table: str, text: str, tmp_path: Path
):
    before = read_tables(tmp_path / "before", SOUND).as_of
    assert before < pd.Timestamp(NEWEST)
    book = read_tables(tmp_path / "after", {**SOUND, table: text})
    assert book.as_of == pd.Timestamp(NEWEST)
    assert len(getattr(book, table)) == 1


def test_goods_marked_with_yes_alone_do_not_move_as_of(tmp_path: Path):
    book = read_tables(tmp_path, orders("yes"))
    assert book.as_of == read_tables(tmp_path / "sound", SOUND).as_of


SUPPLIERS = """\
supplier,min_value,carriage,lead_days,order_day,prefix
harbour,200,500,9,Tuesdays,GB-
"""


def test_a_supplier_fills_what_its_parts_do_not_say(tmp_path: Path):
    parts = (
        "part,name,kind,price,lead_days,supplier\nGB-1,blade,blade,4,,\nNB-2,brush,brush,30,3,\n"
    )
    book = read_tables(tmp_path, {**SOUND, "parts": parts, "suppliers": SUPPLIERS})
    about = book.parts.set_index("part")[["supplier", "lead_days"]]
    assert about.loc["GB-1"].tolist() == ["harbour", 9]
    assert about.loc["NB-2", "lead_days"] == 3
    assert book.suppliers["order_day"].tolist() == ["Tuesday"]


@pytest.mark.parametrize("text", ["0.97", "97", "97 %"])
def test_a_part_has_a_service_level_as_people_write_it(text: str, tmp_path: Path):
    parts = f"part,kind,price,service_level\nGB-1,blade,4,{text}\n"
    book = read_tables(tmp_path, {**SOUND, "parts": parts})
    assert book.parts.set_index("part").loc["GB-1", "service_level"] == pytest.approx(0.97)


def test_a_warehouse_list_is_read_as_it_is_headed(tmp_path):
    tables = {
        **SOUND,
        "Stock list": "Article no,Store,Stock qty,Counted on\nGB-1,main,7,2026-02-12\n",
    }
    del tables["stock"]
    book = read_tables(tmp_path, tables)
    assert book.stock[["part", "on_hand"]].to_numpy().tolist() == [["GB-1", 7]]
