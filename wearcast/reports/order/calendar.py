"""Days to order on as a calendar file that any calendar program reads (RFC 5545).

One all-day event for each supplier and day on which an order goes out; each line's own order-by
date stands in the text. The UID says "the supplier's first order", "its second" ..., whatever the
day, so that a calendar which reads the next quarter's file moves the old events instead of keeping
them beside the new ones; SEQUENCE (3.8.7.4) grows with as-of. An alarm (3.6.6) rings on the
morning of the day. The time stamp is as-of, never the clock.
"""

import hashlib
import re
from collections.abc import Iterable
from pathlib import Path
from typing import NamedTuple

import pandas as pd

from wearcast.reports.frames import shown_number
from wearcast.reports.order.lines import lines_to_order

_MORNING = "PT8H"
"""After the start of the day: eight o'clock."""
_FIRST_DAY = pd.Timestamp("2000-01-01")
_FOLD = 75  # octets in a line without its end, RFC 5545 section 3.1


_LARGEST = 5_000_000  # bytes of an earlier calendar
_OURS = re.compile(r"UID:([0-9a-f]{32}@wearcast\.invalid)")
_STARTS = re.compile(r"DTSTART;VALUE=DATE:([0-9]{8})")


class Ended(NamedTuple):
    """A day to order on in an earlier calendar."""

    uid: str
    day: str
    """yyyymmdd"""


def earlier_days(folder: Path) -> tuple[Ended, ...]:
    """The days to order on that the calendar of an earlier report has; none where there is none."""
    path = folder / "order-by.ics"
    try:
        if path.stat().st_size > _LARGEST:
            return ()
        text = path.read_text(encoding="utf-8")
    except (OSError, ValueError):
        return ()
    events = [event for event in text.split("BEGIN:VEVENT")[1:] if "STATUS:CANCELLED" not in event]
    found = [(_OURS.search(event), _STARTS.search(event)) for event in events]
    return tuple(Ended(uid[1], day[1]) for uid, day in found if uid and day)


def order_calendar(
    order: pd.DataFrame, as_of: pd.Timestamp, run: str, earlier: Iterable[Ended] = ()
) -> bytes:
    """The text of order-by.ics, UTF-8; its lines end as the standard says, by CR and LF.

    Days of an earlier calendar that are no days to order on any more are called off (STATUS,
    3.8.1.11), as a calendar keeps an event that a new file does not name.
    """
    lines = ["BEGIN:VCALENDAR", "VERSION:2.0", "PRODID:-//wearcast//order-by//EN"]
    lines += ["CALSCALE:GREGORIAN", f"X-WEARCAST-RUN:{run}"]
    for supplier, theirs in lines_to_order(order).groupby("supplier"):
        for place, (_, group) in enumerate(theirs.groupby("order_on"), 1):
            lines += _event(str(supplier), place, group, as_of, run)
    named = {line.removeprefix("UID:") for line in lines}
    for day in earlier:
        lines += _called_off(day, as_of) if day.uid not in named else []
    lines.append("END:VCALENDAR")
    return "".join(f"{_folded(line)}\r\n" for line in lines).encode()


def _event(
    supplier: str, place: int, lines: pd.DataFrame, as_of: pd.Timestamp, run: str
) -> list[str]:
    """One event's lines; `place` counts the supplier's orders by day."""
    day = lines["order_on"].iloc[0]
    by = lines["order_by"].fillna(day).min()
    late = "Overdue: order" if by <= as_of else "Order"
    from_whom = f" from {supplier}" if supplier else ""
    parts = "1 part" if len(lines) == 1 else f"{len(lines)} parts"
    told = [*_line_words(lines), f"Run {run}."]
    return [
        "BEGIN:VEVENT",
        f"UID:{_uid(supplier, place)}",
        f"SEQUENCE:{(as_of - _FIRST_DAY).days}",
        f"DTSTAMP:{as_of:%Y%m%d}T000000Z",
        f"DTSTART;VALUE=DATE:{day:%Y%m%d}",
        f"DTEND;VALUE=DATE:{day + pd.Timedelta(days=1):%Y%m%d}",
        f"SUMMARY:{_escaped(f'{late} {parts}{from_whom}')}",
        f"DESCRIPTION:{_escaped(chr(10).join(told))}",
        "TRANSP:TRANSPARENT",
        "BEGIN:VALARM",
        "ACTION:DISPLAY",
        f"TRIGGER:{_MORNING}",
        f"DESCRIPTION:{_escaped(f'{late} {parts}{from_whom}')}",
        "END:VALARM",
        "END:VEVENT",
    ]


def _called_off(day: Ended, as_of: pd.Timestamp) -> list[str]:
    """An event that takes an earlier one back."""
    return [
        "BEGIN:VEVENT",
        f"UID:{day.uid}",
        f"SEQUENCE:{(as_of - _FIRST_DAY).days}",
        f"DTSTAMP:{as_of:%Y%m%d}T000000Z",
        f"DTSTART;VALUE=DATE:{day.day}",
        "SUMMARY:No order needed any more",
        "STATUS:CANCELLED",
        "TRANSP:TRANSPARENT",
        "END:VEVENT",
    ]


def _line_words(lines: pd.DataFrame) -> list[str]:
    """What to order, a sentence a line of the order."""
    ordered = lines.sort_values(["depot", "part"])
    columns = (ordered[name] for name in ("depot", "part", "name", "order_pieces", "order_by"))
    return [
        f"{shown_number(pieces, 0)} x {part}{f' ({name})' if name else ''} for depot {depot}, "
        f"{'count the shelf first' if pd.isna(by) else f'order by {by:%Y-%m-%d}'}."
        for depot, part, name, pieces, by in zip(*columns, strict=True)
    ]


def _uid(supplier: str, place: int) -> str:
    digest = hashlib.sha256(f"{place}\0{supplier}".encode()).hexdigest()
    return f"{digest[:32]}@wearcast.invalid"


def _escaped(text: str) -> str:
    """A text value: RFC 5545 section 3.3.11; control characters have no place in one."""
    kept = "".join(each for each in text if each == "\n" or each.isprintable())
    for plain in ("\\", ";", ","):
        kept = kept.replace(plain, f"\\{plain}")
    return kept.replace("\n", "\\n")


def _folded(line: str) -> str:
    """Long lines go on after a line end and a blank, never inside a character."""
    pieces, width = [""], 0
    for character in line:
        octets = len(character.encode())
        if width + octets > _FOLD:
            pieces.append(" ")
            width = 1
        pieces[-1] += character
        width += octets
    return "\r\n".join(pieces)
