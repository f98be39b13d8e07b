"""What is saved beside the rates, and what a proposal takes from it."""

import json
from dataclasses import replace

import numpy as np
import pandas as pd

from tests.conftest import assert_table
from tests.decisions.makers import book
from wearcast.decisions.quoting import saved_rates as room
from wearcast.decisions.quoting.saved_rates import (
    catalogue_of,
    date_of,
    inherited,
    saved_rates,
)

PARTS = """
    part   kind   wears_as  edges  price  usual_hours  name
    G-50   blade  gum       4      10.5   90           Gum 50
    brush  brush  -         1      -      -            -
"""


def document(monkeypatch, **settings):
    monkeypatch.setattr(room, "rates_document", lambda wear: {"format": wear})
    logbook = replace(book(PARTS), settings=settings)
    logbook = replace(logbook, parts=logbook.parts.assign(source="parts.csv", row=2))
    return json.loads(json.dumps(saved_rates(logbook, 1), allow_nan=False))


def test_a_document_holds_the_date_and_the_settings_that_are_not_the_logbooks_own(monkeypatch):
    made = document(monkeypatch, currency="EUR", as_of="2026-12-31", dates="day first")
    assert (made["format"], made["as_of"]) == (1, "2026-12-31")
    assert made["settings"] == inherited({"currency": "EUR", "dates": "x"}) == {"currency": "EUR"}
    assert date_of(made) == pd.Timestamp("2026-12-31")


def test_the_catalogue_comes_back_as_it_was(monkeypatch):
    catalogue = catalogue_of(document(monkeypatch))
    assert_table(
        catalogue,
        """
        part   kind   wears_as  edges  price  usual_hours  name
        G-50   blade  gum       4      10.5   90           Gum 50
        brush  brush  brush     1      -      -            -
        """,
    )
    assert {"source", "row"}.isdisjoint(catalogue.columns)
    assert catalogue["catalogued"].tolist() == [True, True]
    assert catalogue["price"].dtype == catalogue["usual_hours"].dtype == np.float64


def test_rates_saved_without_a_catalogue_or_a_date_have_none():
    assert catalogue_of({}) is None
    assert catalogue_of({"parts": []}) is None
    assert pd.isna(date_of({}))
