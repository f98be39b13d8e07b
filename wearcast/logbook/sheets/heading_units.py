"""The unit that a heading gives, where it is not the column's own: *lead time (weeks)*.

A heading is known without its unit, so a unit of another size has to be seen here: it is reckoned
over where that can be done, else the cells count as blank. Silence would be seven times too short.
"""

import re
from functools import lru_cache
from typing import NamedTuple

from wearcast.logbook.schema.tables import Column
from wearcast.logbook.schema.trade_words import by_word

_UNIT_OF = by_word(
    {
        "seconds": "s, sec, secs, second, seconds, sek, sekunden, secondes, segundos, seconden",
        "minutes": "min, mins, minute, minutes, minuten, minutos, minuut",
        "hours": "h, hr, hrs, hour, hours, std, stunden, heures, horas, uur, uren",
        "days": "d, day, days, tag, tage, tagen, jour, jours, día, días, dag, dagen",
        "weeks": "w, wk, wks, week, weeks, woche, wochen, semaine, semaines, semana, semanas",
        "months": "mo, month, months, monat, monate, monaten, mois, mes, meses, maand, maanden",
        "millimetres": "mm, millimetre, millimetres, millimeter",
        "centimetres": "cm, centimetre, centimetres, centimeter",
        "metres": "m, metre, metres, meter",
        "inches": "in, inch, inches, zoll, pouces, pulgadas",
        "pieces": "pc, pcs, piece, pieces, each, ea, stk, stück, st, pz, uds, units, stuks",
        "packs": (
            "pack, packs, packet, pk, pkt, box, boxes, carton, cartons, case, cases, set, sets,"
            " pair, pairs, dozen, bag, bags, packung, packungen, vpe, karton, paar, satz,"
            " boîte, boîtes, lot, lots, paquet, caja, cajas, paquete, paquetes, doos, pak"
        ),
    }
)
_OWN = {"h": "hours", "days": "days", "min": "minutes", "cm": "centimetres"}
_FACTORS = {
    ("hours", "minutes"): 1 / 60,
    ("hours", "seconds"): 1 / 3600,
    ("days", "weeks"): 7.0,
    ("days", "months"): 365.25 / 12,
    ("minutes", "hours"): 60.0,
    ("minutes", "seconds"): 1 / 60,
    ("centimetres", "millimetres"): 0.1,
    ("centimetres", "metres"): 100.0,
    ("centimetres", "inches"): 2.54,
}
"""(the column's unit, the heading's) -> what a number of the heading is in the column's."""
_IN_PIECES = ("price", "on_hand", "pieces", "min_order", "from_pieces")
_BEHIND = re.compile(
    r"[(\[]([^()\[\]]*)[)\]]\s*$|(?:,|/|\bin\b|\bper\b)\s*([^\W\d_]+)\.?\s*$|\s([^\W\d_]{4,})\s*$"
)
_PER = re.compile(r"(?:\b(?:per|je|pro|par|por)|/)\s*([1-9][0-9]{1,4})\b")


class OtherUnit(NamedTuple):
    """A unit that is not the column's."""

    name: str
    own: str
    factor: float
    """What one of it is in the column's unit; 0: nobody can tell."""


@lru_cache(1_000)
def other_unit(column: Column, heading: str) -> OtherUnit | None:
    """The unit behind a heading, unless it is the column's own or none that is known here."""
    own = "pieces" if column.name in _IN_PIECES else _OWN.get(column.unit, "")
    text = heading.casefold() if own else ""
    several = _PER.search(text) if column.name == "price" else None
    if several:
        return OtherUnit(several[0], own, 1 / int(several[1]))
    behind = _BEHIND.search(text)
    words = re.findall(r"[^\W\d_]+", next(filter(None, behind.groups()), "") if behind else "")
    units = {_UNIT_OF[word] for word in words if word in _UNIT_OF}
    if len(units) != 1 or own in units:
        return None
    unit = units.pop()
    factor = _FACTORS.get((own, unit), 0.0)
    strange = unit == "packs" and own == "pieces" and not text.startswith("piece")
    told = factor or strange or column.name == "usual_hours"
    return OtherUnit(unit, own, factor) if told else None
