"""Rows that stand twice at most changes of a position may be a piece each."""

import pandas as pd
import pytest

from tests.logbook.rules.test_names import drafts
from wearcast.logbook.findings.drafts import settle
from wearcast.logbook.rules.checks import duplicate_rows
from wearcast.logbook.rules.each_piece import each_piece
from wearcast.told import GRAVE


@pytest.mark.parametrize(("doubled", "pieces", "told"), [(12, 1, 1), (12, 2, 0), (9, 1, 0)])
def test_it_is_asked_unless_the_pieces_are_written_or_they_are_few(doubled, pieces, told):
    rows = [
        {"machine": "A", "date": date, "position": "deck", "action": "fit"}
        for date in pd.date_range("2025-01-06", periods=12, freq="7D")
    ]
    carried = [{"machine": "A", "position": "deck", "part": "P", "pieces": pieces}]
    made = drafts(changes=[*rows, *rows[:doubled]], positions=carried)
    made["changes"] = settle(made["changes"], duplicate_rows(made["changes"]))
    found = each_piece(made)
    assert [finding.weight for finding in found] == [GRAVE] * told
