"""Equal rows of stock are two facts unless the whole table stands twice."""

from pathlib import Path

import pytest

from tests.logbook.makers import SOUND, read_tables, write_folder
from tests.logbook.rules.test_checks import said
from tests.logbook.rules.test_names import drafts
from tests.logbook.test_laws import assert_same_facts
from wearcast.logbook.book import read_logbook
from wearcast.logbook.rules.whole_tables import repeated_tables

WRONG = "the same table was given before; its rows were counted once"


def copies(*rows):
    """Rows that are told as copies; of each row: part, pieces, sheet, depot and state."""
    full = [(*row, *("main", "used")[len(row) - 3 :]) for row in rows]
    made = drafts(
        stock=[
            {"part": part, "on_hand": pieces, "depot": depot, "state": state}
            for part, pieces, _, depot, state in full
        ]
    )["stock"]
    made.frame["origin"] = [row[2] for row in full]
    return said(repeated_tables(made, "main"))


def test_rows_of_one_sheet_and_of_unlike_sheets_are_facts():
    assert copies(("GB", 4.0, 0), ("GB", 4.0, 0)) == []
    assert copies(("GB", 4.0, 0), ("BR", 2.0, 0), ("GB", 4.0, 1)) == []
    assert copies(("GB", 4.0, 0), ("GB", 4.0, 1), ("GB", 4.0, 1)) == []


def test_a_blank_depot_is_the_usual_one():
    assert copies(("GB", 4.0, 0), ("GB", 4.0, 1, "")) == [([1], "", WRONG)]
    assert copies(("GB", 4.0, 0), ("GB", 4.0, 1, "south")) == []


@pytest.mark.parametrize(("spoilt", "gone"), [(0, [0]), (1, [2])])
def test_the_copy_in_which_a_row_cannot_be_used_is_the_one_that_goes(spoilt, gone):
    rows = [("GB", 4.0, 0), ("BR", 2.0, 0), ("GB", 4.0, 1), ("BR", 2.0, 1)]
    bad = 2 * spoilt + 1
    rows[bad] = ("BR", 9.0, spoilt, "main", "set aside")
    assert copies(*rows) == [(gone, "", WRONG)]


def test_a_sheet_that_lacks_more_than_it_lost_is_another_shelf():
    rows = [("GB", 4.0, 0), ("BR", 2.0, 0), ("PD", 6.0, 0), ("GB", 4.0, 1)]
    assert copies(*rows, ("BR", 9.0, 1, "main", "set aside")) == []


@pytest.mark.parametrize(
    "stock",
    [
        "part,on_hand,counted\nGB-1,4,2026-02-12\nBR-2,2,2026-02-12\n",
        "part,on_hand,depot,counted\nGB-1,4 pcs,Main,2026-02-12\nBR-2,-2,main,2026-02-12\n",
        f"{SOUND['stock']}QX-77,5,main,2026-02-12\n",
    ],
    ids=["without its depot", "with a row that cannot be used", "with a part that nobody knows"],
)
def test_a_logbook_joined_with_a_faulty_copy_has_the_stock_once(stock: str, tmp_path: Path):
    one = write_folder(tmp_path / "one", SOUND)
    other = write_folder(tmp_path / "two", {**SOUND, "stock": stock})
    sound = read_tables(tmp_path / "sound", SOUND)
    assert_same_facts(read_logbook(one, other), sound)
    assert_same_facts(read_logbook(other, one), sound)
