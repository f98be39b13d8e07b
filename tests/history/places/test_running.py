"""What each position carries at as-of."""

import pytest

from tests.conftest import assert_table
from tests.history.books import deeds, history, logbook
from wearcast.history.story import read_history
from wearcast.history.unheard import never_wrote, unheard

READ = """
    machine  date        hours
    M1       2026-01-05  1000
    M1       2026-02-02  1080
    M1       2026-03-02  1160
"""
CARRIED = "machine  position  part  pieces | M1  brush  R1  2 | M1  front  B4  1"


def test_the_edge_at_work_goes_on_from_its_last_line_to_as_of():
    past = history(
        "2026-03-16",
        readings=READ,
        positions=CARRIED,
        changes=deeds("01-05 fit B4", "02-02 turn B4", "brush 02-16 fit R1"),
    )
    assert_table(
        past.running,
        """
        machine  position  part  edge  edges  pieces  age
        M1       brush     R1    1     1      2       known
        M1       front     B4    2     4      1       known
        """,
    )
    dates = past.running["last_position_date"].dt.strftime("%d %B")
    assert list(dates) == ["16 February", "02 February"]
    # 80 h in 28 days to as-of, two weeks after the last reading.
    assert list(past.running_exposure["unknown"]) == pytest.approx([80, 120])


@pytest.mark.parametrize(
    ("in_service", "age", "hours"),
    [
        ("2026-01-05", "known", 160),
        ("2026-02-03", "known", 80),
        ("2020-05-01", "unknown", 0),
        ("-", "unknown", 0),
    ],
    ids=["new with the log", "came later", "had a life before the log", "no word of it"],
)
def test_in_service_tells_the_age_of_a_position_with_no_line(in_service, age, hours):
    past = history(
        readings=READ,
        positions=CARRIED,
        machines=f"machine  site  in_service | M1  hall  {in_service}",
    )
    assert list(past.running["age"]) == [age, age]
    assert list(past.running_exposure["unknown"]) == pytest.approx([hours, hours])
    assert past.spells.empty


def test_a_machine_that_comes_after_as_of_starts_new():
    past = history(
        "2026-03-02",
        readings=READ.replace("M1", "M0"),
        positions=CARRIED,
        machines="machine  site  in_service | M1  hall  2026-04-01",
    )
    assert_table(
        past.running, "machine  position  edge  age | M1  brush  1  new | M1  front  1  new"
    )


def test_a_proposed_machine_starts_new():
    past = read_history(logbook("2026-03-02", proposal=True, positions=CARRIED))
    assert list(past.running["age"]) == ["new", "new"]


@pytest.mark.parametrize(
    ("lines", "expected"),
    [
        ("01-05 fit B4, 02-02 remove B4", "part  edge  age | B4  -  empty"),
        ("01-05 fit B4, 02-02 unread", "part  edge  age | B4  -  unknown"),
        ("brush 02-02 turn R1", "part  edge  age | R1  1  unknown"),
        ("02-02 turn B4", "part  edge  age | B4  -  known"),
    ],
    ids=["emptied", "after a line that could not be read", "end for end", "a first turn"],
)
def test_the_last_line_tells_the_edge_and_its_age(lines, expected):
    past = history(readings=READ, changes=deeds(*lines.split(", ")))
    assert_table(past.running, expected)
    if lines == "02-02 turn B4":
        assert list(past.running_exposure["unknown"]) == pytest.approx([80])


def test_the_site_and_depot_are_those_of_as_of():
    past = history(
        readings=READ,
        positions=CARRIED,
        machines="machine  site  depot  since | M1  hall  north  - | M1  yard  south  2026-02-16",
    )
    assert list(past.running["site"]) == ["yard", "yard"]
    assert list(past.running["depot"]) == ["south", "south"]
    assert past.machines.loc["M1", "site"] == "yard"


def test_silence_says_nothing_of_what_is_at_work_at_a_site_that_is_not_heard():
    past = history(
        machines="machine  site | M1  hall | M2  yard",
        readings=f"{READ}{READ[READ.index('M1') - 4 :].replace('M1', 'M2')}",
        positions="machine  position  part | M1  front  B4 | M2  front  B4",
        changes="machine  position  date  action  part | M1  front  2026-02-02  fit  B4",
    )
    assert never_wrote(past) == ["yard"]
    assert past.running_exposure["unknown"].gt(0).all()
    for site, row in (("yard", 1), ("hall", 0)):
        silent = unheard(past, [site])
        assert silent.running["age"][row] == "unknown"
        assert silent.running_exposure["unknown"].eq(0).tolist() == [row == 0, row == 1]
