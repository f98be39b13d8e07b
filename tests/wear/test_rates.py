"""Saved rates: the whole posterior, there and back."""

import json

import pandas as pd
import pytest

from wearcast.errors import UnreadableFile
from wearcast.wear.draws import draw_wear
from wearcast.wear.rates import rates_document, wear_of_rates


def test_rates_draw_the_same_after_saving(wear, fleet):
    history = fleet[0]
    back = wear_of_rates(json.loads(json.dumps(rates_document(wear), allow_nan=False)))
    for name in ("rate", "shape", "pace", "damage", "removal", "replaced_worn"):
        here, there = (
            getattr(draw_wear(one, history.running, history.running_exposure, 5, 20), name)
            for one in (wear, back)
        )
        assert (here == there).all(), name


def test_rates_saved_twice_are_the_same_document(wear):
    once = json.dumps(rates_document(wear))
    assert json.dumps(rates_document(wear_of_rates(json.loads(once)))) == once


def test_tables_come_back_as_they_were(wear):
    back = wear_of_rates(json.loads(json.dumps(rates_document(wear))))
    for name in ("floor_table", "machine_table", "edge_table"):
        pd.testing.assert_frame_equal(getattr(back, name), getattr(wear, name), check_dtype=False)


@pytest.mark.parametrize("document", [{}, {"format": 99}, [], "rates"], ids=str)
def test_another_document_is_refused(document):
    with pytest.raises(UnreadableFile, match="not a file of saved rates"):
        wear_of_rates(document)


def test_a_damaged_document_is_refused(wear):
    document = rates_document(wear)
    del document["blocks"]
    with pytest.raises(UnreadableFile, match="damaged"):
        wear_of_rates(document)
