"""The catalogue made complete; kinds and edges as the contract gives them."""

from pathlib import Path

import pandas as pd
import pytest

from tests.conftest import assert_table
from tests.logbook.makers import SOUND, read_tables
from tests.logbook.rules.test_names import drafts
from tests.logbook.test_frames import change
from wearcast.logbook.catalogue import fill_catalogue, one_kind, part_places


@pytest.mark.parametrize("table", ["stock", "on_order"])
def test_a_part_that_only_a_row_set_aside_names_besides_has_a_line(tmp_path: Path, table: str):
    # The change is set aside for its action; the part it names is known all the same.
    row = {"stock": "GB-7,4,main,2026-02-12\n", "on_order": "GB-7,4,2026-04-01,main\n"}[table]
    change = SOUND["changes"] + "M-014,2026-02-09,front blade,flip,GB-7,worn,\n"
    book = read_tables(tmp_path, {**SOUND, "changes": change, table: SOUND[table] + row})
    assert "GB-7" in set(getattr(book, table)["part"])
    assert book.parts["part"].tolist() == ["BR-2", "GB-1", "GB-7"]


def test_a_part_sits_where_positions_or_changes_put_it():
    made = drafts(
        positions=[{"machine": "A", "position": "front", "part": "GB"}],
        changes=[
            change("A", "front"),
            change("B", "rear", day=9, part="BR"),
            change("B", "rear", day=6),
            change("C", "deck", day=5, part="PD"),
            change("C", "deck", day=8),
            change("D", "deck", day=5, part="PD"),
        ],
    )
    # The rear of B was fitted first with something nobody named: a part of its own.
    places = part_places(made)
    assert sorted(places.to_numpy().tolist()) == [
        ["BR", "rear"], ["GB", "front"], ["PD", "deck"], ["rear", "rear"],
    ]  # fmt: skip
    assert places.index.tolist() == [0, 1, 2, 3]


def test_a_word_for_several_kinds_of_part_is_one_wear_class_of_each_kind():
    kinds = ["blade", "blade", "brush", "other", "pad"]
    words = ["x", "x", "x", "x", "y"]
    made = one_kind(pd.Series(words), pd.Series(kinds)).tolist()
    # Of a part of no known kind nothing says that it wears otherwise.
    assert made == ["x, blade", "x, blade", "x, brush", "x", "y"]


def test_the_catalogue_is_made_complete():
    made = drafts(
        parts=[
            {"part": "GB", "name": "gum blade", "price": 17.0, "from_pieces": 20.0, "pack": 2.0},
            {"part": "GB", "price": 18.5, "supplier": "R"},
            {"part": "PD", "min_order": 5.0, "kind": "pad", "edges": 3.0},
        ],
        changes=[change(part="AA", position="left brush"), change("B", "front", part="GB")],
    )
    parts, breaks = fill_catalogue(made)
    assert_table(
        parts.assign(catalogued=parts["catalogued"].astype(int)),
        """
        part  kind   edges  pack  min_order  from_pieces  price  supplier  catalogued  row
        AA    brush  1      1     0          1            -      -         0           0
        GB    blade  4      2     0          1            18.5   R         1           3
        PD    pad    3      1     5          1            -      -         1           4
        """,
    )
    assert parts["wears_as"].tolist() == ["AA", "GB", "PD"]
    assert breaks.to_numpy().tolist() == [["GB", 1.0, 18.5], ["GB", 20.0, 17.0]]
    assert parts.index.tolist() == [0, 1, 2]
