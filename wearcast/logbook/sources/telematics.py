"""Hour meters that report themselves: a feed of ISO/TS 15143-3 becomes a table of readings.

Of the standard's XML only these elements are looked at (names remembered, none seen again):
``EquipmentHeader`` with ``EquipmentID`` (else ``SerialNumber``, else ``PIN``), and
``CumulativeOperatingHours`` with its ``datetime`` and ``Hour``. The day is the one written in
the feed. A reading's row is its place in the feed, the first being row 2, as under a heading.
"""

import datetime
import re
from pathlib import Path

from wearcast.errors import UnreadableFile
from wearcast.logbook.sources.guard import listen
from wearcast.logbook.sources.sheet import LONGEST_TEXT, Sheet, note, shorten

MOST_BYTES = 40_000_000
_DURATION = re.compile(
    r"P(?:0+Y)?(?:0+M)?(?:([0-9]{1,6})D)?T(?=[0-9])(?:([0-9]{1,7}(?:\.[0-9]+)?)H)?"
    r"(?:([0-9]{1,9}(?:\.[0-9]+)?)M)?(?:([0-9]{1,10}(?:\.[0-9]+)?)S)?"
)
_NAMES = ("EquipmentID", "SerialNumber", "PIN")


class _Readings:
    """Collects the readings while the feed is read."""

    def __init__(self) -> None:
        self.rows: list[list[object]] = [["machine", "date", "hours"]]
        self.lasting = False
        """Whether hours came as a duration (``PT1204H30M``)."""
        self._names: dict[str, str] = {}
        self._date = self._hours = ""
        self._text = ""

    def start(self, name: str, attributes: dict[str, str]) -> None:
        self._text = ""
        if name == "EquipmentHeader":
            self._names = {}
        elif name == "CumulativeOperatingHours":
            dates = (value for key, value in attributes.items() if key.lower() == "datetime")
            self._date, self._hours = next(dates, ""), ""

    def text(self, piece: str) -> None:
        if len(self._text) <= LONGEST_TEXT:
            self._text += piece

    def end(self, name: str) -> None:
        text = shorten(self._text.strip())
        if name in _NAMES:
            self._names[name] = text
        elif name == "Hour":
            self._hours = text
        elif name == "CumulativeOperatingHours":
            machine = next((self._names[key] for key in _NAMES if self._names.get(key)), "")
            hours = _hours_of(self._hours)
            self.lasting |= hours != self._hours
            self.rows.append([machine, _moment(self._date), hours])
        elif name == "Equipment":
            self._names = {}
        self._text = ""


def read_feed(path: Path, source: str) -> Sheet:
    """The readings of one feed, as a sheet named ``readings``.

    Raises
    ------
    UnreadableFile
        If it is not whole, not safe, or holds no operating hours.
    """
    if path.stat().st_size > MOST_BYTES:
        raise UnreadableFile(f"{source}: the feed is too large; export fewer days at once.")
    readings = _Readings()
    try:
        with path.open("rb") as stream:
            listen(stream, source, readings.start, readings.end, readings.text)
    except UnreadableFile as error:
        raise UnreadableFile(
            f"{source}: this XML is cut short, damaged or not safe to read; export the feed again."
        ) from error
    if len(readings.rows) == 1:
        raise UnreadableFile(
            f"{source}: this XML holds no CumulativeOperatingHours as ISO/TS 15143-3 has them;"
            " export the feed in that form, or write the readings into a table."
        )
    words = "read as a feed of hour meters (ISO/TS 15143-3); its first reading counts as row 2"
    if readings.lasting:
        words += "; durations are read as hours"
    numbers = list(range(1, len(readings.rows) + 1))
    told = (note(source, "readings", words),)
    return Sheet(source, "readings", readings.rows, numbers, told=told)


def _hours_of(text: str) -> str:
    """The hours of a duration, PT1204H30M is 1204.5; any other text as it stands."""
    found = _DURATION.fullmatch(text)
    if found is None:
        return text
    days, hours, minutes, seconds = (float(part or 0) for part in found.groups())
    return f"{days * 24 + hours + minutes / 60 + seconds / 3600:.10g}"


def _moment(text: str) -> object:
    """The moment as the feed's clock showed it; as text where it is none."""
    try:
        return datetime.datetime.fromisoformat(text.strip()).replace(tzinfo=None)
    except ValueError:
        return shorten(text)
