"""What a proposal takes from the catalogue that the rates were learnt with."""

import numpy as np

from tests.decisions.makers import book
from wearcast.decisions.quoting.proposals import with_catalogue

LEARNT = """
    part   kind   wears_as  edges  price  usual_hours
    G-50   blade  gum       4      10     90
    G-70   blade  gum       4      12     -
"""


def taken(proposed):
    learnt = book(LEARNT).parts
    return with_catalogue(book(proposed), learnt).parts.set_index("part")


def test_a_part_that_both_list_wears_as_it_was_learnt():
    parts = taken("part  kind  edges  price | G-50  other  1  11")
    assert parts.loc["G-50", ["wears_as", "kind", "edges", "price"]].tolist() == [
        "gum", "blade", 4, 11,
    ]  # fmt: skip
    assert parts.loc["G-50", "usual_hours"] == 90


def test_a_class_and_edges_that_the_proposal_names_hold():
    parts = taken("""
        part  kind   wears_as  edges  price  usual_hours
        G-50  blade  felt      2      11     40
        G-70  blade  -         2      -      -
    """)
    assert parts.loc["G-50", ["wears_as", "edges", "usual_hours"]].tolist() == ["felt", 2, 40]
    assert parts.loc["G-70", ["wears_as", "edges", "price"]].tolist() == ["gum", 2, 12]
    assert np.isnan(parts.loc["G-70", "usual_hours"])


def test_a_part_that_the_other_catalogue_does_not_list_stays():
    parts = taken("part  kind  edges  price | X-1  brush  1  30")
    assert parts.loc["X-1", ["wears_as", "kind", "price"]].tolist() == ["X-1", "brush", 30]


def test_without_another_catalogue_nothing_changes():
    proposal = book("part  kind  edges  price | G-50  other  1  11")
    assert with_catalogue(proposal, None) is proposal
