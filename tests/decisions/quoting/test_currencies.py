"""Crowns are no euros: prices are never relabelled."""

import pandas as pd
import pytest

from wearcast.decisions.quoting.currencies import differ, in_currency, in_first_currency

PARTS = pd.DataFrame({"part": ["SQ"], "price": [9.5]})
BREAKS = pd.DataFrame({"part": ["SQ"], "from_pieces": [20.0], "price": [8.0]})


@pytest.mark.parametrize(
    ("one", "other", "whether"),
    [("EUR", "crowns", True), ("EUR", "€", False), ("eur", "EUR ", False), ("", "EUR", False)],
)
def test_two_words_for_a_currency(one, other, whether):
    assert differ(one, other) is whether


def test_prices_in_another_currency_are_left_out_and_told():
    (parts, breaks), (told,) = in_currency((PARTS, BREAKS), "crowns", "EUR")
    assert parts["price"].isna().all()
    assert breaks.empty
    assert told.wrong == "the rates' prices are in crowns, not in EUR: none of them is used"
    assert in_currency((PARTS, BREAKS), "EUR", "EUR") == ((PARTS, BREAKS), [])


def test_of_several_rates_the_first_currency_holds():
    documents = [{"settings": {"currency": name}} for name in ("EUR", "crowns", "EUR")]
    priced, told = in_first_currency(documents, [(PARTS, BREAKS)] * 3)
    assert [one["price"].notna().all() for one, _ in priced] == [True, False, True]
    assert len(told) == 1
