"""The calendar file, read back by another library."""

import icalendar
import pandas as pd

from tests.reports import makers
from wearcast.reports.order.calendar import order_calendar

AS_OF = makers.AS_OF


def events(text: bytes) -> list[icalendar.Event]:
    return icalendar.Calendar.from_ical(text).walk("VEVENT")


def test_each_order_by_date_of_the_order_has_an_event():
    read = events(order_calendar(makers.order(), AS_OF, "abc"))
    wanted = set(makers.order()["order_by"].dropna().dt.date)
    assert {event.decoded("dtstart") for event in read} == wanted
    assert all(event.decoded("dtstamp").date() == AS_OF.date() for event in read)


def test_lines_end_in_cr_lf_and_are_no_longer_than_the_standard_allows():
    order = makers.order()
    order["name"] = "é" * 300
    text = order_calendar(order, AS_OF, "abc")
    lines = text.split(b"\r\n")
    assert lines[-1] == b""
    assert max(map(len, lines)) <= 75
    assert b"\n" not in text.replace(b"\r\n", b"")
    assert any("é" * 300 in str(event["description"]) for event in events(text))


def test_texts_of_the_logbook_come_back_as_they_were():
    order = makers.order()
    order["supplier"] = "A; B, C\\n \\ D"
    summaries = [str(event["summary"]) for event in events(order_calendar(order, AS_OF, "abc"))]
    assert all(each.endswith("from A; B, C\\n \\ D") for each in summaries)


def test_a_control_character_cannot_break_a_line():
    order = makers.order()
    order["supplier"] = "A\r\nEND:VEVENT\x00"
    assert len(events(order_calendar(order, AS_OF, "abc"))) == 3


def test_an_event_keeps_its_name_in_a_later_file():
    first = {str(each["uid"]) for each in events(order_calendar(makers.order(), AS_OF, "a"))}
    later = order_calendar(makers.order(), AS_OF + pd.Timedelta(days=3), "b")
    assert first == {str(each["uid"]) for each in events(later)}
    assert len(first) == 3


def test_an_order_without_lines_is_an_empty_calendar():
    assert events(order_calendar(makers.order().iloc[3:], AS_OF, "abc")) == []
