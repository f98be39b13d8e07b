"""A heading's own unit: weeks are no days, packs are no pieces."""

import pytest

from tests.logbook.makers import changed, read_tables, told_of
from wearcast.logbook.schema.tables import BY_NAME
from wearcast.logbook.sheets.heading_units import other_unit


@pytest.mark.parametrize(
    ("column", "heading", "unit", "factor"),
    [
        ("readings.hours", "Total runtime (min)", "minutes", 1 / 60),
        ("readings.hours", "Meter, sec", "seconds", 1 / 3600),
        ("readings.hours", "Runtime minutes", "minutes", 1 / 60),
        ("parts.lead_days", "Lead time (weeks)", "weeks", 7),
        ("parts.lead_days", "lead time [Wochen]", "weeks", 7),
        ("machines.width_cm", "Width (mm)", "millimetres", 0.1),
        ("parts.price", "Price (per 100)", "per 100", 0.01),
        ("parts.price", "Price (per pack)", "packs", 0),
        ("stock.on_hand", "On hand (boxes)", "packs", 0),
    ],
)
def test_another_unit_is_seen(column, heading, unit, factor):
    table, name = column.split(".")
    found = other_unit(BY_NAME[table].column(name), heading)
    assert (found.name, found.factor) == (unit, pytest.approx(factor))


@pytest.mark.parametrize(
    ("column", "heading"),
    [
        ("readings.hours", "Meter (h:mm)"),
        ("readings.hours", "Hours (week)"),
        ("readings.hours", "meter"),
        ("plans.hours_per_week", "hours per week"),
        ("parts.price", "Price (EUR)"),
        ("parts.price", "Price (1 pack = 4 pcs)"),
        ("parts.pack", "Pack (pieces per pack)"),
        ("parts.lead_days", "delivery days"),
        ("positions.pieces", "Pieces (per set)"),
    ],
)
def test_its_own_unit_or_none_is_left_alone(column, heading):
    table, name = column.split(".")
    assert other_unit(BY_NAME[table].column(name), heading) is None


def test_weeks_become_days_and_packs_no_price(tmp_path):
    tables = changed("parts", "price,", "price (per pack),")
    tables["parts"] = tables["parts"].replace("lead_days", "lead time (weeks)")
    book = read_tables(tmp_path, tables)
    assert sorted(book.parts["lead_days"]) == [14 * 7, 21 * 7]
    assert book.parts["price"].isna().all()
    told = "\n".join(told_of(book))
    assert "the heading says weeks: reckoned over into days. Repaired." in told
    assert "the heading says packs, and price goes by pieces" in told
