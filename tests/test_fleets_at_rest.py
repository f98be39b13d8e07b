"""Fleets of which nothing is left to wear: an answer comes all the same."""

from pathlib import Path

import pytest

from tests.logbook.makers import SOUND, read_tables
from wearcast.forecast import forecast


def retired(day: str) -> dict[str, str]:
    rows = "".join(f"M-0{number},North Hall,main,{day}\n" for number in (14, 15, 22))
    return {**SOUND, "machines": f"machine,site,depot,retired\n{rows}"}


def standing() -> dict[str, str]:
    head, *rows = SOUND["readings"].splitlines()
    still = [",".join([*row.split(",")[:2], "88.5", ""]) for row in rows]
    return {**SOUND, "readings": "\n".join([head, *still]), "plans": "machine,start\n"}


@pytest.mark.parametrize(
    "tables", [retired("2026-02-16"), standing()], ids=["all retired", "no meter ever ran"]
)
def test_a_fleet_at_rest_uses_nothing(tables: dict[str, str], tmp_path: Path):
    outlook = forecast(read_tables(tmp_path, tables), draws=20)
    assert outlook.forecast["mean"].sum() == 0
    assert (outlook.order["order_pieces"] == 0).all()
