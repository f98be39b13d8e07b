"""The tables as they are shown and written: columns, order, rounding. The only place that rounds.

A CSV carries 8 significant digits, ISO dates, point decimals and plain line feeds. A text that
a spreadsheet would take for a formula gets an apostrophe in front (`inert`); taking one away
again (`as_written`) gives the text back. On screen, page and sheet the figures are rounded by
what they are (`DECIMALS`).
"""

import csv
import io
import re
from collections.abc import Callable, Iterable, Mapping

import numpy as np
import pandas as pd

from wearcast.reports.fields import OUTPUTS, Field
from wearcast.told import Problem, row_words

FEW_ROWS = 12
"""So many rows of one finding are named where people read; problems.csv names them all."""
DECIMALS = {"count": 0, "pieces": 1, "money": 2, "rate": 3, "hours": 1, "number": 2}
_FORMULA_STARTS = re.compile(r"^'*[=+\-@\t\r\n＝＋－＠]")  # noqa: RUF001 (full-width twins)
_ESCAPED = re.compile(r"^''*[=+\-@\t\r\n＝＋－＠]")  # noqa: RUF001


def inert(text: str) -> str:
    """The text, never a formula: an apostrophe goes in front of ``= + - @`` and blanks like tab."""
    return f"'{text}" if _FORMULA_STARTS.match(text) else text


def as_written(text: str) -> str:
    """The text that `inert` was given."""
    return text[1:] if _ESCAPED.match(text) else text


def problems_frame(told: Iterable[Problem], rows: int | None = None) -> pd.DataFrame:
    """The findings as rows of problems.csv, heaviest first.

    Parameters
    ----------
    told : Problems
    rows : int, optional
        Name so many rows of each finding at most; all of them without it.
    """
    ordered = heaviest_first(told)
    lines = [
        (
            each.source,
            each.table,
            row_words(each.rows, rows) if each.rows else "",
            each.column,
            each.value,
            each.severity,
            each.wrong,
            each.remedy,
        )
        for each in ordered
    ]
    return pd.DataFrame(lines, columns=[field.name for field in OUTPUTS["problems"]])


def heaviest_first(told: Iterable[Problem]) -> list[Problem]:
    """Each finding once, heaviest first; alike ones by what they say, then by where they stand."""
    return sorted(
        set(told),
        key=lambda each: (-each.weight, each.table, each.column, each.wrong, each.rows, each),
    )


def fields_of(file: str, frame: pd.DataFrame) -> tuple[Field, ...]:
    """The columns of a file in their order: the declared ones, then whatever else there is."""
    declared = tuple(field for field in OUTPUTS.get(file, ()) if field.name in frame.columns)
    names = {field.name for field in declared}
    extra = (name for name in frame.columns if name not in names)
    return declared + tuple(_undeclared(str(name), frame[name]) for name in extra)


def _undeclared(name: str, values: pd.Series) -> Field:
    if pd.api.types.is_datetime64_any_dtype(values):
        return Field(name, "date", name, "")
    kind = "number" if pd.api.types.is_numeric_dtype(values) else "text"
    return Field(name, kind, name, "")  # type: ignore[arg-type]


def csv_text(file: str, frame: pd.DataFrame) -> str:
    """One output file (or any other frame, under an empty name) as CSV text."""
    fields = fields_of(file, frame)
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow([inert(field.name) for field in fields])
    writer.writerows(
        zip(*(_csv_cells(frame[field.name]) for field in fields), strict=True) if fields else []
    )
    return out.getvalue()


def _csv_cells(values: pd.Series) -> list[str]:
    """A column as CSV cells."""
    return _each_once(values, _csv_cell)


def _each_once(values: pd.Series, written: Callable[[object], str]) -> list[str]:
    """The cells as texts; each distinct value is put into words once, a missing one is blank."""
    places, texts = _distinct(values, written)
    cells: list[str] = texts[places].tolist()
    return cells


def cells_once(values: pd.Series) -> tuple[np.ndarray, np.ndarray]:
    """A column as CSV cells: the place of each of the column's cells among the distinct texts.

    Arrays (cells,) of int and (distinct,) of str.
    """
    return _distinct(values, _csv_cell)


def _distinct(values: pd.Series, written: Callable[[object], str]) -> tuple[np.ndarray, np.ndarray]:
    places, distinct = pd.factorize(values)
    return places, np.array([*map(written, distinct), ""], dtype=object)


def _csv_cell(value: object) -> str:
    if isinstance(value, bool | np.bool_):
        return "yes" if value else "no"
    if isinstance(value, int | float | np.number):
        return _digits(float(value))
    if isinstance(value, pd.Timestamp | np.datetime64):
        return pd.Timestamp(value).strftime("%Y-%m-%d")
    return inert(str(value))


def _digits(number: float) -> str:
    """Eight significant digits, never an exponent; blank for what is not known."""
    if not np.isfinite(number):
        return ""
    text = f"{number:.8g}"
    if "e" in text:
        text = np.format_float_positional(float(text), trim="-")
    return "0" if text == "-0" else text


def plain_text(value: object) -> str:
    """A cell's text; blank for a missing one."""
    if value is None or value is pd.NaT or (isinstance(value, float) and np.isnan(value)):
        return ""
    if isinstance(value, pd.Timestamp):
        return value.strftime("%Y-%m-%d")
    return str(value)


def rows_for_json(file: str, frame: pd.DataFrame) -> list[dict[str, object]]:
    """The rows as plain values: the CSV's figures as numbers, null for what is not known."""
    fields = fields_of(file, frame)
    columns = [_json_cells(frame[field.name]) for field in fields]
    names = [field.name for field in fields]
    return [dict(zip(names, row, strict=True)) for row in zip(*columns, strict=True)]


def _json_cells(values: pd.Series) -> list[object]:
    if pd.api.types.is_bool_dtype(values):
        return [bool(each) for each in values]
    if pd.api.types.is_numeric_dtype(values):
        return [_number(each) for each in _csv_cells(values)]
    if pd.api.types.is_datetime64_any_dtype(values):
        return [each or None for each in _csv_cells(values)]
    return list(_each_once(values, plain_text))


def _number(text: str) -> object:
    if not text:
        return None
    return float(text) if "." in text else int(text)


def shown(frame: pd.DataFrame, fields: Iterable[Field]) -> pd.DataFrame:
    """The columns asked for as display text, under their headings."""
    return pd.DataFrame(
        {field.name: shown_cells(frame[field.name], field) for field in fields}, dtype=object
    )


def shown_cells(values: pd.Series, field: Field) -> list[str]:
    """A column as display text: rounded by what it is, thousands by comma, dates as ISO dates."""
    if pd.api.types.is_datetime64_any_dtype(values):
        return _csv_cells(values)
    if not pd.api.types.is_numeric_dtype(values) or pd.api.types.is_bool_dtype(values):
        return _each_once(values, plain_text)
    if field.kind == "share":
        return [f"{100 * each:.1f} %" if np.isfinite(each) else "" for each in values]
    return [shown_number(float(each), DECIMALS.get(field.kind, 2)) for each in values]


def shown_number(number: float, decimals: int) -> str:
    """A number for people; blank for what is not known."""
    if not np.isfinite(number):
        return ""
    text = f"{number:,.{decimals}f}"
    return text.lstrip("-") if float(text.replace(",", "")) == 0 else text


def day_words(day: object) -> str:
    """A day for people, without its year."""
    date = pd.Timestamp(str(day))
    return f"{date.day} {date:%B}"


def csv_files(frames: Mapping[str, pd.DataFrame]) -> dict[str, bytes]:
    """File name and bytes of each frame."""
    return {f"{name}.csv": csv_text(name, frame).encode() for name, frame in frames.items()}
