"""The run's id follows from the facts, not from how they were handed over."""

from dataclasses import replace

from tests.reports import makers
from wearcast.reports.writing.identity import run_id


def test_the_order_of_rows_and_their_source_do_not_enter():
    made = makers.forecast()
    readings = made.book.readings.iloc[::-1].assign(source="other.xlsx", row=[9, 4])
    shuffled = replace(made.book, readings=readings, sources=("other.xlsx",))
    assert run_id(shuffled, made.choices) == run_id(made.book, made.choices)


def test_a_fact_an_option_or_a_setting_changes_it():
    made = makers.forecast()
    readings = made.book.readings.assign(hours=[10.0, 401.0])
    ids = {
        run_id(made.book, made.choices),
        run_id(replace(made.book, readings=readings), made.choices),
        run_id(made.book, replace(made.choices, seed=2)),
        run_id(replace(made.book, settings={"currency": "EUR", "seed": "1"}), made.choices),
        run_id(made.book, made.choices, "rates"),
    }
    assert len(ids) == 5
