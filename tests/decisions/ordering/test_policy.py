"""Until when an order lasts, and on which day it goes out."""

import pytest

from tests.decisions.makers import AS_OF, book, choices, filled, line, lines
from wearcast.decisions.ordering.policy import read_policy

PARTS = "part  price  lead_days  supplier | blade  4  14  Harbour | pad  2  7  Hill"
SUPPLIERS = "supplier  order_day | Harbour  Wednesday"


def policy(suppliers=SUPPLIERS, planned=None, **asked):
    logbook = book(PARTS, suppliers=filled("suppliers", suppliers))
    return read_policy(logbook, choices(**{"window_asked": False, **asked}), planned)


def test_an_order_lasts_for_the_weeks_to_the_next_one_from_the_day_it_goes_out():
    # As-of is Thursday 31 December 2026; the next Wednesday is day 6.
    kept = policy(review_weeks=4)
    assert (kept.order_day("main", "blade"), kept.end_day("main", "blade")) == (6, 6 + 28)
    assert (kept.order_day("main", "pad"), kept.end_day("main", "pad")) == (0, 28)


def test_a_line_that_waits_lasts_from_its_own_day():
    kept = policy(review_weeks=4, planned={("main", "pad"): 20})
    assert kept.end_day("main", "pad") == 48
    assert kept.end_day("north", "pad") == 28


def test_a_window_that_was_asked_for_ends_on_its_day():
    assert policy(weeks=10, window_asked=True).end_day("main", "blade") == 70


@pytest.mark.parametrize(
    ("day", "on"),
    [("Thursday", 0), ("Friday", 1), ("4", 4), ("2", 4), ("", 0)],
    ids=["today", "tomorrow", "a Monday", "a Saturday", "any day"],
)
def test_the_order_day_is_a_weekday_or_a_day_of_the_month(day, on):
    text = f"supplier  order_day\n    Harbour  {day or '-'}"
    assert policy(text).order_day("main", "blade") == on


@pytest.mark.parametrize(
    ("ordering", "order_on", "to"), [("at once", 0, 91 + 14), ("by date", 35, 35 + 91 + 14)]
)
def test_the_window_ends_with_the_delivery_of_the_next_order(ordering, order_on, to):
    # The shelf is empty on day 50: ordered on day 35, it comes on day 49.
    got = line("1@50", PARTS, window_asked=False, ordering=ordering)
    assert (got["order_by"] - AS_OF).days == 35
    assert ((got["order_on"] - AS_OF).days, (got["to"] - AS_OF).days) == (order_on, to)


def test_one_line_that_cannot_wait_takes_the_supplier_s_other_lines_along():
    asked = {"suppliers": SUPPLIERS, "window_asked": False, "ordering": "at once"}
    # To come before day 18 it must go out on day 3, before the Wednesday of day 6.
    frame = lines("main blade 1@18 | north blade 1@80", PARTS, **asked)
    assert frame["order_on"].eq(AS_OF).all()
    got = line("north blade 1@80", PARTS, **asked)
    assert (got["order_on"] - AS_OF).days == 6
