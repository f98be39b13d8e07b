"""The rates file: the fitted wear, with the catalogue and the settings that a quote needs.

Plain numbers, texts and lists, so that any JSON writer can write it and people can read it.
"""

from typing import Any

import numpy as np
import pandas as pd

from wearcast.logbook.book import Logbook
from wearcast.logbook.schema.tables import BY_NAME
from wearcast.wear.rates import rates_document
from wearcast.wear.records import Wear

_NOT_INHERITED = ("as_of", "dates", "labour_rate")
"""Settings that belong to the logbook they stand in; labour is priced where a proposal asks."""


def saved_rates(book: Logbook, wear: Wear) -> dict[str, Any]:
    """The document: what `rates_document` holds, and the logbook's date, parts and settings."""
    parts = book.parts.drop(columns=["source", "row"], errors="ignore")
    rows = parts.to_dict("records")
    return {
        **rates_document(wear),
        "as_of": f"{book.as_of:%Y-%m-%d}",
        "parts": [{str(name): _plain(value) for name, value in row.items()} for row in rows],
        "settings": inherited(book.settings),
    }


def catalogue_of(document: dict[str, Any]) -> pd.DataFrame | None:
    """The catalogue in a document; None for a document without one."""
    rows = document.get("parts")
    if not rows:
        return None
    frame = pd.DataFrame(rows)
    declared = {column.name: column.kind for column in BY_NAME["parts"].columns}
    numbers = [name for name in frame.columns if declared.get(name) in ("number", "count")]
    return frame.assign(**{name: frame[name].astype(float) for name in numbers})


def date_of(document: dict[str, Any]) -> pd.Timestamp:
    """The as-of date of the logbook that a document was learnt from; NaT if it has none."""
    return pd.Timestamp(document.get("as_of", "NaT"))


def inherited(settings: dict[str, str]) -> dict[str, str]:
    """Settings that a proposal takes over where it gives none of its own."""
    return {name: value for name, value in settings.items() if name not in _NOT_INHERITED}


def _plain(value: object) -> object:
    value = value.item() if isinstance(value, np.generic) else value
    return None if isinstance(value, float) and np.isnan(value) else value
