"""Floor shares: blank, percent, scaled, set aside; arithmetic by hand."""

from pathlib import Path

import pytest

from tests.logbook.makers import SOUND, read_tables, told_of
from wearcast.logbook.book import Logbook


def with_floors(folder: Path, *lines: str, head: str = "machine,floor,share,since") -> Logbook:
    return read_tables(folder, {**SOUND, "floors": "\n".join([head, *lines]) + "\n"})


@pytest.mark.parametrize(
    ("lines", "shares"),
    [
        (["M-014,vinyl,0.6,", "M-014,tile,0.4,"], [0.4, 0.6]),
        (["M-014,vinyl,60,", "M-014,tile,40,"], [0.4, 0.6]),
        (["M-014,vinyl,60 %,", "M-014,tile,40 %,"], [0.4, 0.6]),
        (["M-014,vinyl,,", "M-014,tile,,"], [0.5, 0.5]),
        (["M-014,vinyl,0.7,", "M-014,tile,,"], [0.3, 0.7]),
        (["M-014,vinyl,70,", "M-014,tile,,", "M-014,wood,,"], [0.15, 0.7, 0.15]),
        (["M-014,vinyl,0.333,", "M-014,tile,0.333,", "M-014,wood,0.333,"], [1 / 3] * 3),
        (["M-014,vinyl,0.57,", "M-014,tile,0.38,"], [0.4, 0.6]),
        (["M-014,vinyl,,"], [1.0]),
    ],
    ids=lambda value: " ".join(map(str, value)),
)
def test_shares_of_a_machine_and_date_sum_to_one(
    lines: list[str], shares: list[float], tmp_path: Path
):
    book = with_floors(tmp_path, *lines)
    assert book.floors["share"].tolist() == pytest.approx(shares)


@pytest.mark.parametrize("lines", [["M-014,vinyl,0.94,"], ["M-014,vinyl,1.06,"], ["M-014,a,0,"]])
def test_a_sum_more_than_five_hundredths_off_is_set_aside(lines: list[str], tmp_path: Path):
    book = with_floors(tmp_path, *lines)
    assert book.floors.empty
    assert len(book.told) == 1


def test_the_first_set_of_a_machine_reaches_back(tmp_path: Path):
    book = with_floors(tmp_path, "M-014,vinyl,1,2026-01-10", "M-014,tile,1,2026-02-01")
    since = dict(
        zip(book.floors["floor"], book.floors["since"].dt.strftime("%Y-%m-%d"), strict=True)
    )
    assert since["tile"] == "2026-02-01"
    assert book.floors["since"].isna().tolist() == [False, True]


def test_a_bad_set_leaves_the_machines_other_dates_alone(tmp_path: Path):
    book = with_floors(
        tmp_path, *("M-014,vinyl,1,", "M-014,vinyl,0.5,2026-02-01", "M-014,tile,0.2,2026-02-01")
    )
    assert told_of(book) == [
        'floors.csv, rows 3-4, share "0.5, 0.2": the shares of M-014 from 2026-02-01 sum to 0.7,'
        " which is neither 1 nor 100. Correct the shares of that machine and date. Set aside for"
        " now."
    ]
    assert book.floors["share"].tolist() == [1.0]


def test_ranges_of_shares_are_in_the_same_unit(tmp_path: Path):
    book = with_floors(
        tmp_path, "M-014,vinyl,100,80,100", head="machine,floor,share,share_low,share_high"
    )
    assert book.floors[["share", "share_low", "share_high"]].iloc[0].tolist() == [1.0, 0.8, 1.0]


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
