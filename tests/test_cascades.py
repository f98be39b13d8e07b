"""One cause, one finding, through the whole forecast: what follows from it is not told again."""

from pathlib import Path

import pytest

from tests.logbook.makers import SOUND, changed, read_tables
from wearcast.forecast import forecast
from wearcast.told import Problem


def all_told(folder: Path, tables: dict[str, str]) -> set[Problem]:
    return set(forecast(read_tables(folder, tables), draws=20).told)


@pytest.mark.parametrize(
    ("table", "sound", "written", "cells"),
    [
        ("parts", "blade,4,18.5", "blade,4,-18.5", ("parts", (2,), "price")),
        ("parts", "2,2,14", "2,2,1000", ("parts", (2,), "lead_days")),
        ("parts", "GB-1,gum", ",gum", ("parts", (2,), "part")),
        ("parts", "BR-2,n", "GB-1,,,,19\nBR-2,n", ("parts", (2, 3), "price")),
        ("on_order", "2026-03-20", "2026-01-20", ("on_order", (2,), "due")),
        ("stock", "GB-1,4", "GB-1,-4", ("stock", (2,), "on_hand")),
        ("stock", "2026-02-12\nBR", "2027-02-12\nBR", ("stock", (2,), "counted")),
        ("stock", "GB-1,4,main", "GB-1,4,mian", ("stock", (2,), "depot")),
        (
            "changes",
            "2026-01-05,front blade,fit,GB-1,,1204",
            "2027-01-05,front blade,fit,GB-1,,1204",
            ("changes", (2,), "date"),
        ),
        ("machines", "M-022,South Hall,main", "M-022,South Hall,mian", ("machines", (4,), "depot")),
    ],
    ids=[
        *("a price", "a delivery time", "a part's name", "two lines for a part"),
        "a day that is past",
        *("a count", "the day of a count", "a shelf's depot", "the day of a fit"),
        "a machine's depot",
    ],
)
def test_one_bad_cell_is_one_finding(
    table: str, sound: str, written: str, cells: tuple[str, tuple[int, ...], str], tmp_path: Path
):
    before = all_told(tmp_path / "sound", SOUND)
    after = all_told(tmp_path / "messy", changed(table, sound, written))
    words = {one.wrong for one in before}
    (told,) = (one for one in after if one.wrong not in words)
    assert (told.table, told.rows, told.column) == cells
