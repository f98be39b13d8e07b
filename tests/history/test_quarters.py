"""In which quarters a spell ran: 91 days each, counted backwards from as-of."""

import pytest

from tests.conftest import assert_table
from tests.history.books import deeds, history

# 1 h a day; as-of is 1 July, so the quarters end on 1 July, 1 April and 31 December.
READ = "machine  date  hours | M1  2025-10-01  1000 | M1  2026-07-01  1273"


def past_of(*lines):
    return history("2026-07-01", readings=READ, changes=deeds(*lines))


def test_the_hours_of_a_spell_are_told_by_quarter():
    past = past_of("2025-12-01 fit B4 worn", "04-11 turn B4 worn")
    assert_table(
        past.spell_quarters[past.spell_quarters["spell"].eq(1)],
        "spell  quarter  hours | 1  0  10 | 1  1  91 | 1  2  30",
    )


@pytest.mark.parametrize(
    ("day", "quarter"),
    [("2026-07-01", 0), ("2026-04-02", 0), ("2026-04-01", 1), ("2025-12-31", 2)],
    ids=["as-of", "the first day of the last quarter", "the day before", "a quarter earlier"],
)
def test_a_spell_ends_in_the_quarter_of_its_last_day(day, quarter):
    past = past_of(f"{day} turn B4 worn")
    assert past.spells["end_quarter"].iloc[0] == quarter


def test_a_spell_that_ran_for_no_time_has_no_quarter():
    past = past_of("2025-11-01 fit B4 worn", "04-11 turn B4 worn", "04-11 fit B4 worn")
    assert list(past.spells["hours"]) == pytest.approx([31, 161, 0, 81])
    assert set(past.spell_quarters["spell"]) == {0, 1, 3}
