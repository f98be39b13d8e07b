"""The invented row that each sheet of a blank logbook shows.

One machine, one blade, told through all tables. Names begin with ``EXAMPLE`` so that the reader
passes the row over.
"""

import datetime

from wearcast.logbook.schema.tables import Column

MARK = "EXAMPLE "
NOTES = "Read me"
"""The sheet of a blank logbook that explains the others."""
_DAY = datetime.date(2026, 1, 5)
_VALUES: dict[str, str | float | datetime.date] = {
    "machine": f"{MARK}M-01",
    "part": f"{MARK}blade",
    "site": "North hall",
    "depot": "main",
    "deck": "two discs, 50 cm",
    "width_cm": 50,
    "m2_per_hour": 1200,
    "in_service": _DAY,
    "hours": 1204.5,
    "position": "front blade",
    "floor": "vinyl",
    "share": 0.75,
    "name": "front blade, gum rubber",
    "kind": "blade",
    "wears_as": "gum blade",
    "edges": 4,
    "price": 18.5,
    "pack": 2,
    "min_order": 2,
    "lead_days": 14,
    "lead_days_sd": 3,
    "supplier": "Rubber and Sons (invented)",
    "supplier_part": "RS-0815",
    "address": "North hall, Pier Road 3, 1234 Harbour Town",
    "usual_hours": 100,
    "minutes": 10,
    "pieces": 1,
    "on_hand": 6,
    "hours_per_week": 20,
    "min_value": 150,
    "carriage": 400,
    "carriage_cost": 12,
    "order_day": "Tuesday",
    "contact": "orders@example.org",
    "action": "turn",
    "cause": "worn",
    "table": f"{MARK}readings",
    "theirs": "Meter now",
    "ours": "hours",
}
_DATES = {
    "date": _DAY,
    "counted": _DAY,
    "due": datetime.date(2026, 1, 19),
    "start": datetime.date(2026, 7, 6),
    "end": datetime.date(2026, 8, 16),
}


_NAMED = (("depots", "depot"), ("suppliers", "supplier"))
"""Names that elsewhere stand beside a marked one and here must bear the mark themselves."""
_WORDS = {"column": "cause", "theirs": "chewed up", "ours": "damaged"}
"""In the table words, whose other columns stay blank."""


def example_of(table: str, column: Column) -> str | float | datetime.date | None:
    """The example under a column; None where a blank is the usual thing to write."""
    if table == "words" and column.name != "table":
        return _WORDS.get(column.name)
    if (table, column.name) in _NAMED:
        return f"{MARK}{_VALUES[column.name]}"
    if column.kind == "date":
        return _DATES.get(column.name, _VALUES.get(column.name))
    return _VALUES.get(column.name)
