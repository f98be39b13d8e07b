"""A run's id: a digest of the checked tables, the options and the version.

The id is the same for the same facts, however they were handed over: row order, the split into
files and the file format do not enter, because the tables are digested after checking and in
their canonical order, without the file and row they came from.
"""

import hashlib
from dataclasses import asdict

import numpy as np
import pandas as pd
from pandas.util import hash_array

from wearcast import __version__
from wearcast.logbook.book import Logbook
from wearcast.logbook.choices import Choices
from wearcast.logbook.schema.tables import ABOUT_OTHERS, TABLES
from wearcast.reports.frames import cells_once


def run_id(book: Logbook, choices: Choices, *more: str) -> str:
    """Twelve hexadecimal digits that stand for the input, the options and the version.

    Parameters
    ----------
    book : Logbook
    choices : Choices
    *more
        Whatever else went in, as text: a quote's rates come from elsewhere.
    """
    digest = hashlib.sha256()
    for name, text in [*_ingredients(book, choices), *(("more", text) for text in more)]:
        digest.update(f"{name}\0{len(text)}\0{text}\0".encode())
    return digest.hexdigest()[:12]


def _ingredients(book: Logbook, choices: Choices) -> list[tuple[str, str]]:
    """What enters the digest, each with its name, in a fixed order."""
    names = [table.name for table in TABLES if table.name not in ABOUT_OTHERS]
    tables = [(name, _canonical(getattr(book, name))) for name in [*names, "price_breaks"]]
    options = repr(sorted((name, str(value)) for name, value in asdict(choices).items()))
    settings = repr(sorted(book.settings.items()))
    return [*tables, ("settings", settings), ("options", options), ("version", __version__)]


def _canonical(frame: pd.DataFrame) -> str:
    """A table's facts as its columns and the sorted digests of its rows."""
    facts = frame.drop(columns=["source", "row"], errors="ignore")
    lines = np.zeros(len(facts), dtype=np.uint64)
    for name in facts.columns:
        places, texts = cells_once(facts[name])
        # An odd factor makes the place of a column count; the sum is taken modulo 2^64.
        lines = lines * np.uint64(0x9E3779B97F4A7C15) + hash_array(texts)[places]
    return f"{','.join(facts.columns)}\n{np.sort(lines).astype('<u8').tobytes().hex()}"
