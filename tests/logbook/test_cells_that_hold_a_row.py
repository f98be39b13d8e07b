"""Cells whose blank would say something of its own: a bad one sets the row aside, others do not."""

from pathlib import Path

import pytest

from tests.logbook.makers import SOUND, read_tables

ROWS = {
    "machines": "machine,site,since,width_cm\nM-014,North,{},{}\n",
    "floors": "machine,floor,share,since,share_low\nM-014,vinyl,{},{},{}\n",
    "parts": "part,price,from_pieces,pack\nGB-1,18.5,{},{}\nGB-1,18,40,\n",
    "positions": "machine,position,part,pieces\nM-014,front blade,GB-1,{}\n",
    "stock": "part,on_hand,counted\nGB-1,4,{}\n",
    "plans": "machine,start,hours_per_week,end\nM-014,2026-07-06,5,{}\n",
}


def tally(folder: Path, table: str, *cells: str):
    book = read_tables(folder, {**SOUND, table: ROWS[table].format(*cells)})
    (found,) = (one for one in book.tallies if one.table == table)
    return found.read, found.used, found.set_aside


@pytest.mark.parametrize(
    ("table", "cells", "aside"),
    [
        ("machines", ("x", ""), 1),
        ("machines", ("", "x"), 0),
        ("floors", ("x", "", ""), 1),
        ("floors", ("", "x", ""), 1),
        ("floors", ("", "", "x"), 0),
        ("parts", ("x", ""), 1),
        ("parts", ("", "x"), 0),
        ("positions", ("x",), 1),
        ("stock", ("x",), 1),
        ("plans", ("x",), 1),
    ],
)
def test_a_bad_cell_sets_its_row_aside_where_a_blank_would_mislead(
    tmp_path: Path, table: str, cells: tuple[str, ...], aside: int
):
    read, used, set_aside = tally(tmp_path, table, *cells)
    assert (set_aside, used) == (aside, read - aside)
