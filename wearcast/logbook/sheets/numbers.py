"""A column of cells becomes numbers, read strictly.

Only ASCII digits count; ``nan``, ``inf`` and ``1_000`` are words. What a comma or a point means is
decided for the whole column: ``1,204`` and ``1.204`` are left alone where both readings are
possible.
"""

import re
from collections.abc import Iterable
from dataclasses import dataclass, replace

import numpy as np

from wearcast.logbook.schema.spelling import without_hidden
from wearcast.logbook.schema.tables import Column
from wearcast.logbook.sheets.cells import PLAIN, Cells, Fault, all_plain

_BLANK = "[ \u00a0\u2007\u2009\u202f'\u2019`\u00b4]"
_GROUPS = re.compile(rf"[+-]?[1-9][0-9]{{0,2}}(?:{_BLANK}[0-9]{{3}})+(?:[.,][0-9]*)?")
_HOURS = r"h\.?|hrs?\.?|hours?|std\.?|stunden?|heures?|ore|horas?|uur|uren|timer|timmar|t|tim\.?"
_UNITS = {
    "h": _HOURS,
    "hours_per_week": rf"{_HOURS}|(?:/|per|a)\s*(?:w|wk|week|woche)\.?",
    "cm": "cm",
    "m2/h": "m2/h|m\u00b2/h|m2|m\u00b2",
    "days": r"d\.?|days?|tage?|jours?|d[i\u00ed]as?|giorni|dagen|dagar|dage",
    "min": r"min\.?|minutes?",
    "count": r"(?:pcs?|stk|st|pz|uds?|szt|ea)\.?|pieces?|each|units?|st\u00fcck|stuks?|ks|kpl",
    "price": r"[A-Z]{3}|[Kk]r\.?|[\u20ac$\u00a3\u00a5\u20b9]|[Ee]uros?|[Ee]ur|[Uu]sd|[Gg]bp|[Cc]hf"
    r"|z\u0142|K\u010d|Ft|[Dd]ollars?|ea|each|[.,]-{1,2}|(?:/|per)\s*(?:pc|piece|ea|each|Stk|St)\.?",
}
"""What may stand behind a number, by its column's name, unit or kind: minutes are no hours."""
_FRONT = re.compile(
    r"^(?:[A-Z]{3}\s|[Ee]ur\s|[Kk]r\.?\s|S?Fr\.|Rs\.|[A-Z]{0,2}[\u20ac$\u00a3\u00a5\u20b9])\s*"
    r"|^(?:EUR|USD|GBP|CHF)"
)
_PERCENT = re.compile(r"\s*(?:%|percent|pct\.?|prozent)$", re.IGNORECASE)
_HOURS_MINUTES = re.compile(
    r"([0-9]{1,6})(?: ?h ?|:)([0-5][0-9])(?::00| ?m| ?min\.?)?", re.IGNORECASE
)
_SHAPES = {
    "either comma": re.compile(r"[+-]?[1-9][0-9]{0,2},[0-9]{3}"),
    "either point": re.compile(r"[+-]?[1-9][0-9]{0,2}\.[0-9]{3}"),
    "comma groups": re.compile(r"[+-]?[1-9][0-9]{0,2}(?:(?:,[0-9]{3})+\.[0-9]+|(?:,[0-9]{3}){2,})"),
    "point groups": re.compile(
        r"[+-]?[1-9][0-9]{0,2}(?:(?:\.[0-9]{3})+,[0-9]+|(?:\.[0-9]{3}){2,})"
    ),
    "comma decimal": re.compile(r"[+-]?(?:[0-9]*,[0-9]+|[0-9]+,)"),
    "plain": PLAIN,
}
LONGEST = 100
"""Letters of a number with its unit."""
LARGEST = 1e300
"""Whole numbers of a database can be too large for a float; no column goes so far."""
_TOLD = {
    "comma decimal": "a comma is read as the decimal mark",
    "comma groups": "commas between thousands are left out",
    "point groups": "points between thousands are left out, the comma is the decimal mark",
    "groups": "blanks or apostrophes between thousands are left out",
    "unit": "the unit behind the number is left out",
    "percent": "a percentage is read as a share",
    "hidden": "hidden characters or a mark in front of the number are left out",
    "minutes": "hours and minutes are read as hours with a decimal point",
}


@dataclass(frozen=True, slots=True)
class Marks:
    """What the sure cells of a column say about commas and points."""

    comma_decimal: bool
    comma_groups: bool
    point_decimal: bool
    point_groups: bool

    def reading(self, shape: str) -> str:
        """How a text of that shape is read: a shape of `_TOLD`, ``plain`` or ``either``."""
        if shape == "either comma":
            if self.comma_groups and not self.comma_decimal:
                return "comma groups"
            sure = self.comma_decimal and not self.comma_groups and not self.point_decimal
            return "comma decimal" if sure else "either"
        if shape == "either point":
            if self.point_groups:
                return "either" if self.point_decimal else "point groups"
            return "plain" if self.point_decimal else "either"
        if shape == "comma decimal" and self.comma_groups:
            return "either"
        return shape


def read_numbers(
    cells: Cells, column: Column, factor: float = 1.0
) -> tuple[np.ndarray, list[Fault]]:
    """The cells as floats, nan where nothing is or it cannot be used, and what was found.

    Array (rows,) in the column's unit: hours, days, pieces, money; `factor` is what one of the
    heading's unit is in it.
    """
    if all_plain(cells.distinct):
        points = (text for text in cells.distinct if "." in text)  # type: ignore[operator]
        if not _all_either(points):  # type: ignore[arg-type]
            plain = np.array(cells.distinct, dtype=object).astype(float) * factor
            values = cells.spread(plain, np.nan, float)  # type: ignore[arg-type]
            return values, _impossible(values, column)
    distinct = np.full(len(cells.distinct), np.nan)
    texts: dict[int, str] = {}
    wrong: list[int] = []
    for place, cell in enumerate(cells.distinct):
        if isinstance(cell, str):
            texts[place] = cell.strip()
        elif isinstance(cell, bool) or not isinstance(cell, (int, float)) or cell != cell:
            wrong.append(place)
        else:
            distinct[place] = float(min(max(cell, -LARGEST), LARGEST))
    groups = _read_texts(texts, distinct, column)
    wrong += groups.pop("wrong", [])
    groups.pop("plain", None)
    faults = [_fault(how, cells.rows_of(places)) for how, places in sorted(groups.items())]
    if wrong:
        faults.append(
            Fault(cells.rows_of(wrong), "set aside", "not a number", "Write a plain number")
        )
    values = cells.spread(distinct * factor, np.nan, float)  # type: ignore[arg-type]
    return values, _without_twice(faults, _impossible(values, column))


def _without_twice(faults: list[Fault], graver: list[Fault]) -> list[Fault]:
    """All faults; a cell that cannot be used is not told as repaired, too."""
    if not graver:
        return faults
    gone = np.concatenate([fault.places for fault in graver])
    left = [replace(one, places=np.setdiff1d(one.places, gone)) for one in faults]
    return [one for one in left if one.places.size] + graver


def looks_like_number(cell: object) -> bool:
    """Whether a cell is a number, or a text that is one in some reading."""
    if isinstance(cell, str):
        return _shape(cell.strip()) != "wrong"
    return isinstance(cell, (int, float)) and not isinstance(cell, bool)


def _read_texts(texts: dict[int, str], values: np.ndarray, column: Column) -> dict[str, list[int]]:
    """Fill `values` from the texts; the places by how they were read."""
    odd: dict[int, str] = {}
    points: list[int] = []
    for place, text in texts.items():
        if PLAIN.fullmatch(text):
            values[place] = float(text)
            if "." in text:
                points.append(place)
        else:
            odd[place] = text
    if not odd and not _all_either(texts[place] for place in points):
        return {}
    # A point in a plain number bears on the reading of the odd ones, so these are looked at too.
    odd |= {place: texts[place] for place in points}
    parts = {place: _bare(text, column) for place, text in odd.items()}
    shapes = {place: _shape(bare) for place, (bare, _) in parts.items()}
    marks = _marks(shapes, parts)
    groups: dict[str, list[int]] = {}
    for place, (bare, how) in parts.items():
        reading = marks.reading(shapes[place])
        values[place] = _number(bare, reading) / (100.0 if how == "percent" else 1.0)
        told = how if reading == "plain" and how else reading
        groups.setdefault(told, []).append(place)
    return groups


def _all_either(texts: Iterable[str]) -> bool:
    """Whether there are numbers with a point, and each could be one of thousands."""
    some = False
    for text in texts:
        some = True
        if not _SHAPES["either point"].fullmatch(text):
            return False
    return some


def _bare(text: str, column: Column) -> tuple[str, str]:
    """The number without unit, currency and blanks between thousands; what was taken off."""
    if len(text) > LONGEST:
        return text, ""  # looking for a unit behind it would take long
    seen = without_hidden(text).strip().lstrip("'\u2019")
    how = "hidden" if seen != text else ""
    bare = _without_unit(seen, column)
    if bare != seen:
        how = "unit"
    if column.kind == "share" and _PERCENT.search(bare):
        bare, how = _PERCENT.sub("", bare), "percent"
    clock = _HOURS_MINUTES.fullmatch(bare) if column.unit == "h" else None
    if clock:
        return f"{int(clock[1]) + int(clock[2]) / 60:.10g}", "minutes"
    if _GROUPS.fullmatch(bare):
        bare, how = re.sub(_BLANK, "", bare), "groups"
    return bare, how


def _without_unit(text: str, column: Column) -> str:
    """The text without the column's own unit behind it or, for a price, a currency about it."""
    kind = column.name if column.name in _UNITS else column.unit or column.kind
    flags = re.NOFLAG if kind == "price" else re.IGNORECASE
    behind = _UNITS.get(kind)
    bare = re.sub(rf"(?:\s*[\[(]?(?:{behind})[\])]?)+$", "", text, flags=flags) if behind else text
    return _FRONT.sub("", bare) if kind == "price" else bare


def _shape(bare: str) -> str:
    return next((name for name, shape in _SHAPES.items() if shape.fullmatch(bare)), "wrong")


def _marks(shapes: dict[int, str], parts: dict[int, tuple[str, str]]) -> Marks:
    """What the cells with one reading only say."""
    found = set(shapes.values())
    sure_points = [at for at, shape in shapes.items() if shape == "plain" and "." in parts[at][0]]
    return Marks(
        comma_decimal="comma decimal" in found
        or any("," in parts[at][0] for at, shape in shapes.items() if shape == "point groups"),
        comma_groups="comma groups" in found,
        point_decimal=bool(sure_points)
        or any("." in parts[at][0] for at, shape in shapes.items() if shape == "comma groups"),
        point_groups="point groups" in found,
    )


def _number(bare: str, reading: str) -> float:
    """The value of a text, read that way."""
    if reading in ("wrong", "either"):
        return np.nan
    if reading == "comma groups":
        return float(bare.replace(",", ""))
    if reading == "point groups":
        return float(bare.replace(".", "").replace(",", "."))
    return float(bare.replace(",", "."))


def _fault(how: str, rows: np.ndarray) -> Fault:
    """What is told about cells that were read that way."""
    if how == "either":
        return Fault(
            rows,
            "set aside",
            "the mark can stand for thousands or for decimals, and the column does not settle it",
            "Write the number without a thousands mark and with a decimal point",
        )
    return Fault(rows, "repaired", _TOLD[how])


def _impossible(values: np.ndarray, column: Column) -> list[Fault]:
    """Numbers that the column cannot hold; they become nan."""
    low = -np.inf if column.low is None else column.low
    high = np.inf if column.high is None else column.high
    below = np.flatnonzero(values < low)
    above = np.flatnonzero((values > high) | (values >= LARGEST))
    broken = np.flatnonzero(np.isfinite(values) & (values != np.round(values)) & (values >= low))
    faults = []
    if below.size:
        wrong = "negative" if low == 0 else f"below {low:g}"
        faults.append(Fault(below, "set aside", wrong, _at_least(column)))
    if above.size:
        wrong = f"above {high:,.0f}" if np.isfinite(high) else "not a finite number"
        faults.append(Fault(above, "set aside", wrong, "Correct the number"))
    if column.kind == "count" and broken.size:
        wrong = "not a whole number"
        faults.append(Fault(broken, "set aside", wrong, "Write a whole number of pieces"))
    for fault in faults:
        values[fault.places] = np.nan
    return faults


def _at_least(column: Column) -> str:
    return f"Write a number of {column.low:g} or more"
