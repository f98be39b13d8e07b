"""The calendar file, read back by another library."""

import icalendar
import pandas as pd

from tests.reports import makers
from wearcast.reports.order.calendar import earlier_days, order_calendar

AS_OF = makers.AS_OF


def events(text: bytes) -> list[icalendar.Event]:
    return icalendar.Calendar.from_ical(text).walk("VEVENT")


def test_each_day_to_order_on_has_an_event():
    read = events(order_calendar(makers.order(), AS_OF, "abc"))
    wanted = set(makers.order()["order_on"].dropna().dt.date)
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


def test_next_quarters_file_takes_the_place_of_the_old_entries():
    days = ["order_by", "order_on"]
    later = makers.order()
    later[days] = later[days] + pd.Timedelta(days=91)
    quarter = AS_OF + pd.Timedelta(days=91)
    first = {str(each["uid"]): each for each in events(order_calendar(makers.order(), AS_OF, "a"))}
    then = {str(each["uid"]): each for each in events(order_calendar(later, quarter, "b"))}
    assert list(first) == list(then)
    assert len(first) == 3
    assert all(then[uid]["sequence"] == first[uid]["sequence"] + 91 for uid in first)
    moved = {uid: then[uid].decoded("dtstart") - first[uid].decoded("dtstart") for uid in first}
    assert {each.days for each in moved.values()} == {91}


def test_an_alarm_rings_on_the_morning_of_the_day():
    read = events(order_calendar(makers.order(), AS_OF, "abc"))
    alarms = [alarm for event in read for alarm in event.walk("VALARM")]
    assert len(alarms) == len(read)
    assert {alarm.decoded("trigger") for alarm in alarms} == {pd.Timedelta(hours=8)}
    assert {str(alarm["action"]) for alarm in alarms} == {"DISPLAY"}
    assert "from Hill & Sons" in str(alarms[-1]["description"])


def test_an_order_without_lines_is_an_empty_calendar():
    assert events(order_calendar(makers.order().iloc[3:], AS_OF, "abc")) == []


def test_an_overdue_line_stands_on_the_day_to_act_with_its_date_in_the_text():
    read = events(order_calendar(makers.order(), AS_OF, "abc"))
    late = [each for each in read if str(each["summary"]).startswith("Overdue")]
    assert [each.decoded("dtstart").isoformat() for each in late] == ["2026-11-02"]
    assert "order by 2026-10-26." in str(late[0]["description"])


def test_lines_that_go_out_together_are_one_event():
    order = makers.order()
    order["supplier"] = "Hill & Sons"
    order.loc[[0, 2], "order_on"] = pd.Timestamp("2026-11-30")
    read = events(order_calendar(order, AS_OF, "abc"))
    assert [str(each["summary"]) for each in read] == [
        "Overdue: order 1 part from Hill & Sons",
        "Order 2 parts from Hill & Sons",
    ]


def test_an_overdue_event_that_moves_to_a_later_day_keeps_its_name():
    later = makers.order()
    later.loc[1, "order_on"] = pd.Timestamp("2026-11-09")
    ids = [
        {str(each["uid"]) for each in events(order_calendar(order, AS_OF, "a"))}
        for order in (makers.order(), later)
    ]
    assert ids[0] == ids[1]


def test_a_day_that_is_no_day_to_order_on_any_more_is_called_off(tmp_path):
    (tmp_path / "order-by.ics").write_bytes(order_calendar(makers.order(), AS_OF, "a"))
    left = makers.order()
    left = left[left["supplier"].eq(left["supplier"].iloc[0])]
    quarter = AS_OF + pd.Timedelta(days=91)
    before = earlier_days(tmp_path)
    text = order_calendar(left, quarter, "b", before)
    read = {str(each["uid"]): each for each in events(text)}
    off = {uid for uid, each in read.items() if each.get("status") == "CANCELLED"}
    still = {str(each["uid"]) for each in events(order_calendar(left, quarter, "b"))}
    assert {day.uid for day in before} == off | still
    assert off
    assert not off & still
    assert all(read[uid]["sequence"] == (quarter - pd.Timestamp("2000-01-01")).days for uid in off)
    # What was called off is not called off again.
    (tmp_path / "order-by.ics").write_bytes(text)
    assert {day.uid for day in earlier_days(tmp_path)} == still


def test_a_folder_without_a_calendar_calls_nothing_off(tmp_path):
    assert earlier_days(tmp_path) == ()
