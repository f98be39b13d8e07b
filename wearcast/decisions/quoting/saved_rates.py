"""The rates file: the fitted wear, signed, with where it comes from and what a quote needs.

Plain numbers, texts and lists, so that any JSON writer can write it and people can read it;
``wearcast/decisions/quoting/rates.schema.json`` declares it. It names no machine, site, supplier or
buyer, and prices only if they are asked for. Its digest shows that no number was changed since.
"""

import json
from hashlib import sha256
from typing import Any

import numpy as np
import pandas as pd

from wearcast.decisions.quoting.missing import UNREAD, rows_set_aside
from wearcast.errors import UnreadableFile
from wearcast.logbook.book import Logbook
from wearcast.logbook.schema.tables import BY_NAME
from wearcast.told import Problem
from wearcast.wear.rates import rates_document
from wearcast.wear.records import Wear

DIGEST = "sha256"
SHARED = ("currency", "price_growth", "speed_km_h", "work_share")
"""Settings that a proposal takes over where it gives none; labour is priced where one asks."""
_LINE = (
    "part", "name", "kind", "wears_as", "edges", "usual_hours", "minutes", "turn_minutes",
    "catalogued",
)  # fmt: skip
"""What is saved of a catalogue line."""


def saved_rates(
    book: Logbook, wear: Wear, told: tuple[Problem, ...] = (), *, with_prices: bool = False
) -> dict[str, Any]:
    """The document.

    Parameters
    ----------
    book : Logbook
    wear : Wear
    told : Problems
        What reading the log found; how many rows it set aside is saved.
    with_prices : bool
        Save the catalogue's prices, too.
    """
    names = [*_LINE, "price"] if with_prices else list(_LINE)
    breaks = book.price_breaks if with_prices else book.price_breaks[:0]
    aside = rows_set_aside(told, UNREAD)
    shared = inherited(book.settings)
    document = {
        **rates_document(wear),
        "learnt_from": provenance(book, wear),
        "set_aside": dict(zip(aside["where"], aside["count"].astype(int).tolist(), strict=True)),
        "parts": _rows(book.parts.reindex(columns=names)),
        "price_breaks": _rows(breaks[["part", "from_pieces", "price"]]),
        "settings": shared if with_prices else {k: v for k, v in shared.items() if k != "currency"},
    }
    return signed(document)


def provenance(book: Logbook, wear: Wear) -> dict[str, Any]:
    """What the rates were learnt from: dates, and how much of everything."""
    groups = [group for group in wear.spells.values() if len(group.cause)]
    first = book.readings["date"].min()
    return {
        "from": "" if pd.isna(first) else f"{first:%Y-%m-%d}",
        "to": "" if pd.isna(book.as_of) else f"{book.as_of:%Y-%m-%d}",
        "edges": sum(len(group.cause) for group in groups),
        "hours": round(float(sum(group.hours.sum() for group in groups)), 1),
        "machines": len({name for group in groups for name in group.machines}),
        "sites": len({name for group in groups for name in group.site.tolist()}),
        "operators": 1,
    }


def signed(document: dict[str, Any]) -> dict[str, Any]:
    """The document with its digest: SHA-256 of all else as compact JSON with sorted keys.

    A whole number counts as one however it is written: other programs write 1.0 as 1.
    """
    plain = {name: value for name, value in document.items() if name != DIGEST}
    text = json.dumps(_whole(plain), sort_keys=True, separators=(",", ":"), ensure_ascii=True)
    return {**plain, DIGEST: sha256(text.encode()).hexdigest()}


def _whole(value: Any) -> Any:
    if isinstance(value, dict):
        return {name: _whole(each) for name, each in value.items()}
    if isinstance(value, list):
        return [_whole(each) for each in value]
    return int(value) if isinstance(value, float) and value.is_integer() else value


def refuse_changed(document: dict[str, Any]) -> None:
    """Stop if anything in the document was changed since it was saved.

    Raises
    ------
    UnreadableFile
    """
    if signed(document)[DIGEST] != document.get(DIGEST):
        raise UnreadableFile(
            "The file of saved rates was changed after it was saved (its digest does not fit): "
            "save the rates anew with `wearcast floors LOGBOOK --save-rates rates.json`."
        )


def catalogue_of(document: dict[str, Any]) -> pd.DataFrame | None:
    """The catalogue in a document, prices nan where none were saved; None without one."""
    rows = document.get("parts")
    if not rows:
        return None
    declared = {column.name: column.kind for column in BY_NAME["parts"].columns}
    frame = pd.DataFrame(rows).astype({"part": str}).reindex(columns=[*declared, "catalogued"])
    numbers = [name for name, kind in declared.items() if kind in ("number", "count", "share")]
    texts = [name for name in declared if name not in numbers]
    return frame.assign(
        **{name: frame[name].astype(float) for name in numbers},
        **{name: frame[name].astype(object).where(frame[name].notna(), "") for name in texts},
        catalogued=frame["catalogued"].astype(bool),
    )


def breaks_of(document: dict[str, Any]) -> pd.DataFrame:
    """The price steps in a document: part, from_pieces, price."""
    frame = pd.DataFrame(document.get("price_breaks", []), columns=["part", "from_pieces", "price"])
    return frame.astype({"part": object, "from_pieces": float, "price": float})


def date_of(document: dict[str, Any]) -> pd.Timestamp:
    """The as-of date of the logbook that a document was learnt from; NaT if it has none."""
    return pd.Timestamp(document.get("learnt_from", {}).get("to") or "NaT")


def inherited(settings: dict[str, str]) -> dict[str, str]:
    """Settings that a proposal takes over where it gives none of its own."""
    return {name: value for name, value in settings.items() if name in SHARED}


def _rows(frame: pd.DataFrame) -> list[dict[str, Any]]:
    return [
        {str(name): _plain(value) for name, value in row.items()}
        for row in frame.to_dict("records")
    ]


def _plain(value: object) -> object:
    value = value.item() if isinstance(value, np.generic) else value
    return None if isinstance(value, float) and np.isnan(value) else value
