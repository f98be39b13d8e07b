"""The logbook as it stood on an earlier day, and what is asked of a read one."""

from dataclasses import replace
from pathlib import Path

import pandas as pd
import pytest

from tests.conftest import assert_table
from tests.logbook.makers import SOUND, read_tables
from wearcast.errors import UnknownChoice
from wearcast.logbook.book import Logbook, _each_once, book_as_of, by_weight
from wearcast.logbook.frames import FRAMES
from wearcast.told import Problem

TABLES = {
    **SOUND,
    "machines": "machine,site,depot,in_service,retired,since\n"
    "M-014,North,main,,2026-02-10,\n"
    "M-015,North,main,,2026-01-31,\n"
    "M-015,South,main,,2026-01-31,2026-02-01\n"
    "M-022,South,main,2026-02-01,,\n"
    "M-030,South,main,2026-03-01,,\n"
    "M-031,South,main,,,2026-03-01\n"
    "M-032,South,main,,,\n",
    "readings": SOUND["readings"].replace("M-022,2026-01-05,88.5,\nM-022,2026-01-19,131.0,\n", ""),
    "changes": SOUND["changes"].replace("M-022,2026-01-12,left brush,fit,BR-2,,\n", ""),
    "floors": SOUND["floors"] + "M-014,slate,1,2026-02-01\n",
    "parts": SOUND["parts"] + "PD-3,,pad,,4,,,,,\n",
    "positions": SOUND["positions"] + "M-030,deck,PD-9,1\n",
    "stock": SOUND["stock"].replace("BR-2,2,main,2026-02-12", "BR-2,2,main,2026-01-31"),
    "plans": SOUND["plans"] + "M-014,2026-01-31,5,\n",
}
DAY = pd.Timestamp("2026-01-31")


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Logbook:
    return read_tables(tmp_path_factory.mktemp("log"), TABLES)


@pytest.fixture(scope="module")
def then(book: Logbook) -> Logbook:
    return book_as_of(book, DAY)


def test_what_was_read_or_done_later_is_gone(then: Logbook):
    assert then.as_of == DAY
    assert then.readings["date"].max() == pd.Timestamp("2026-01-19")
    assert len(then.readings) == 4
    assert then.changes["date"].max() == pd.Timestamp("2026-01-21")
    assert len(then.changes) == 3


def test_machines_that_were_not_there_yet_are_gone(then: Logbook):
    # Seen first on 9 February, in service on 1 March or moved there then: not there; a machine
    # that nobody saw was.
    assert_table(
        then.machines.assign(retired=then.machines["retired"].dt.strftime("%Y-%m-%d")),
        """
        machine  site   since       retired
        M-014    North  -           -
        M-015    North  -           2026-01-31
        M-031    South  2026-03-01  -
        M-032    South  -           -
        """,
    )


def test_a_machine_in_service_by_then_or_seen_by_then_was_there(tmp_path: Path):
    machines = "machine,in_service\nM-014,2026-03-01\nM-015,2026-01-31\nM-022,2026-02-01\n"
    seen = {"M-014": "2026-01-05", "M-015": "2026-02-16", "M-022": "2026-02-16"}
    readings = "".join(f"{name},{day},7\n" for name, day in seen.items())
    tables = {"machines": machines, "readings": f"machine,date,hours\n{readings}"}
    book = read_tables(tmp_path, {**tables, "changes": SOUND["changes"]}, as_of="2026-02-20")
    changes = book.changes[book.changes["machine"].eq("M-014")]
    then = book_as_of(replace(book, changes=changes), DAY)
    assert then.machines["machine"].tolist() == ["M-014", "M-015"]


def test_an_earlier_logbook_has_the_columns_of_a_later_one(book: Logbook, then: Logbook):
    for name in FRAMES:
        assert list(getattr(then, name)) == list(getattr(book, name))
        assert getattr(then, name).index.tolist() == list(range(len(getattr(then, name))))


def test_counts_floors_and_plans_that_came_later_are_gone(then: Logbook):
    assert then.stock["part"].tolist() == ["BR-2"]
    assert set(then.floors["floor"]) == {"vinyl", "quarry tile"}
    assert set(then.floors["machine"]) == {"M-014", "M-015"}
    assert then.plans["machine"].tolist() == ["M-014"]
    assert then.on_order.empty


def test_positions_and_the_catalogue_stay_with_their_machines(then: Logbook):
    assert then.positions["machine"].tolist() == ["M-014", "M-015"]
    # PD-9 has no line, and stands at a machine that was not there.
    assert then.parts["part"].tolist() == ["BR-2", "GB-1", "PD-3"]


def test_on_its_own_day_a_logbook_is_itself_and_later_there_is_none(book: Logbook):
    assert book_as_of(book, book.as_of) is book
    with pytest.raises(ValueError, match="2026-02-17 is later than the logbook's 2026-02-16"):
        book_as_of(book, book.as_of + pd.Timedelta(days=1))


def test_a_day_that_was_set_is_forgotten(tmp_path: Path):
    settings = "setting,value\nas_of,2026-02-16\ncurrency,EUR\n"
    book = read_tables(tmp_path, {**SOUND, "settings": settings})
    assert book_as_of(book, DAY).settings == {"currency": "EUR"}


def found(weight, severity="note", source="a.csv", table="readings", value=""):
    return Problem(source, table, (2,), "hours", value, severity, "is odd", "", weight)


def test_findings_go_by_weight_then_by_what_was_done_then_by_place():
    order = [
        found(2.0), found(1.0, "set aside"), found(1.0, "repaired"), found(1.0),
        found(1.0, source="b.csv"), found(1.0, source="b.csv", table="stock"),
        found(1.0, source="b.csv", table="stock", value="x"),
        found(1.0, source="b.csv", table="stock", value="x")._replace(remedy="Correct it"),
    ]  # fmt: skip
    assert by_weight(reversed(order)) == tuple(order)


def test_each_place_is_given_once_as_it_was_named_first():
    assert _each_once(["a", ["b", "./a", Path("c")], "b"]) == ["a", "b", Path("c")]


@pytest.mark.parametrize("asked", ["2026-02-30", "46000", "45000", "soon", "02/03/2026"])
def test_an_as_of_that_is_no_day_is_refused(tmp_path: Path, asked: str):
    with pytest.raises(UnknownChoice) as refused:
        read_tables(tmp_path, SOUND, as_of=asked)
    assert str(refused.value) == f'as-of "{asked}": write the day as year-month-day, 2026-11-30.'


def test_an_order_of_dates_that_is_none_is_refused(tmp_path: Path):
    with pytest.raises(UnknownChoice, match='dates "sideways": write day first or month first'):
        read_tables(tmp_path, SOUND, dates="sideways")


def test_a_proposal_stands_on_its_first_plan_s_start(tmp_path: Path):
    plans = "machine,start,hours_per_week\nM-015,2026-07-06,10\nM-014,2026-04-06,10\n"
    tables = {name: SOUND[name] for name in ("machines", "positions", "parts", "floors")}
    book = read_tables(tmp_path, {**tables, "plans": plans}, proposal=True)
    assert book.as_of == pd.Timestamp("2026-04-06")
    assert book.proposal
    assert (len(book.positions), book.told) == (3, ())
