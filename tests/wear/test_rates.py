"""Saved rates: what holds for a stranger, there and back."""

import json
from dataclasses import replace

import numpy as np
import pandas as pd
import pytest

from tests.wear.test_draws import SLOTWISE
from wearcast.errors import UnreadableFile
from wearcast.wear.draws import draw_wear
from wearcast.wear.rates import for_strangers, rates_document, wear_of_rates


def there_and_back(wear):
    return wear_of_rates(json.loads(json.dumps(rates_document(wear), allow_nan=False)))


def drawn_for(wear, history):
    """Draws for a stranger with machines of the same names."""
    return draw_wear(wear, history.running, history.running_exposure, 5, 20, stranger=True)


@pytest.mark.parametrize("name", [*SLOTWISE, "habit", "stress", "twin"])
def test_rates_draw_the_same_for_a_stranger_after_saving(wear, fleet, name):
    here, there = (drawn_for(one, fleet[0]) for one in (for_strangers(wear), there_and_back(wear)))
    assert (getattr(here, name) == getattr(there, name)).all()


def test_a_document_names_no_machine_and_no_site(wear, fleet):
    spells = fleet[0].spells
    # Findings aside, which are the log's own words.
    text = json.dumps({**rates_document(wear), "told": []})
    assert [name for name in {*spells["machine"], *spells["site"]} if name in text] == []


def test_how_much_sites_and_machines_differ_is_kept(wear):
    assert there_and_back(wear).worn.spreads == wear.worn.spreads


def test_a_strangers_site_of_a_logged_name_is_not_that_site(wear, fleet):
    history = fleet[0]
    known, there = (
        draw_wear(one, history.running, history.running_exposure, 5, 2000).site_lift.std(axis=1)
        for one in (wear, for_strangers(wear))
    )
    assert (there > known).all()


def test_rates_saved_twice_are_the_same_document(wear):
    once = json.dumps(rates_document(wear))
    assert json.dumps(rates_document(wear_of_rates(json.loads(once)))) == once


@pytest.mark.parametrize("name", ["floor_table", "effect_table"])
def test_tables_come_back_as_they_were(wear, name):
    back = getattr(there_and_back(wear), name)
    pd.testing.assert_frame_equal(back, getattr(wear, name), check_dtype=False)


def test_laws_without_a_term_come_back_as_they_were(wear):
    document = rates_document(wear)
    document["torn"] |= {"terms": [], "mean": [], "cov": []}
    assert wear_of_rates(document).torn.cov.shape == (0, 0)


@pytest.mark.parametrize("document", [{}, {"format": 1}, {"format": 99}, [], "rates"], ids=str)
def test_another_document_is_refused(document):
    with pytest.raises(UnreadableFile, match="not a file of saved rates"):
        wear_of_rates(document)


@pytest.mark.parametrize("part", ["worn", "torn", "off", "habits", "paired", "floor_table"])
def test_a_damaged_document_is_refused(wear, part):
    document = rates_document(wear)
    del document[part]
    with pytest.raises(UnreadableFile, match="damaged"):
        wear_of_rates(document)


def test_a_habit_of_a_law_that_is_none_is_refused(wear):
    document = rates_document(wear)
    document["habits"][0]["law"] = "melted"
    with pytest.raises(UnreadableFile, match="damaged"):
        wear_of_rates(document)


def test_effects_of_a_place_hold_at_places_of_that_name(wear):
    places = {("gum", "M1", "front"): (0.5, 0.2), ("gum", "M2", "front"): (0.5, -0.4)}
    kept = for_strangers(replace(wear, place_effects=places)).place_effects
    assert kept == {("gum", "", "front"): pytest.approx(np.array([0.5, -0.1]))}
