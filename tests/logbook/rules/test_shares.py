"""Floor shares: blank, percent, scaled, set aside; arithmetic by hand."""

from pathlib import Path

from tests.logbook.makers import SOUND, read_tables, told_of
from wearcast.logbook.book import Logbook


def with_floors(folder: Path, *lines: str, head: str = "machine,floor,share,since") -> Logbook:
    return read_tables(folder, {**SOUND, "floors": "\n".join([head, *lines]) + "\n"})


def test_only_the_row_that_breaks_a_set_says_that_its_others_go_with_it(tmp_path: Path):
    book = with_floors(
        tmp_path,
        *("M-014,vinyl,0.6,", "M-014,tile,x,", "M-014,vinyl,1,2026-02-01", "M-099,tile,1,"),
    )
    company = {each.rows: "go with it" in each.wrong for each in book.told}
    assert company == {(3,): True, (5,): False}
    assert book.floors["floor"].tolist() == ["vinyl"]


def test_a_date_that_is_missing_beside_one_floor_is_told_once(tmp_path: Path):
    book = with_floors(tmp_path, "M-014,vinyl,0.6,2026-01-10", "M-014,tile,0.4,", "M-015,wood,1,")
    assert told_of(book) == [
        'floors.csv, rows 2-3, since "2026-01-10, ": the shares of M-014 sum to 1 only over several'
        " dates. Write the same date under since beside the floors that belong together. Set aside"
        " for now."
    ]
    assert book.floors["machine"].tolist() == ["M-015"]


def test_a_date_that_cannot_be_read_beside_one_floor_is_told_once(tmp_path: Path):
    lines = ("M-014,vinyl,0.6,2026-01-10", "M-014,tile,0.4,soon", "M-014,wood,1,2025-06-01")
    book = with_floors(tmp_path, *lines)
    assert told_of(book) == [
        'floors.csv, row 3, since "soon": not a date; the machine\'s other floors of that date go'
        " with it. Write the date as year-month-day, 2026-02-03. Set aside for now."
    ]
    assert book.floors["floor"].tolist() == ["wood"]
