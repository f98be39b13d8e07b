"""One class out of a block."""

import numpy as np

from wearcast.wear.blocks import class_block
from wearcast.wear.records import Block

TERMS = (
    "log rate[pad, tile]",
    "log shape[pad]",
    "log rate[blade, tile]",
    "front[blade]",
    "log shape[blade]",
    "log spread[blade]",
)


def test_a_class_alone_keeps_its_means_and_how_they_move_together():
    cov = np.add.outer(np.arange(6.0), np.arange(6.0))
    both = Block("wear: any", TERMS, np.arange(6.0), cov, -1.0)
    alone = class_block(both, "blade", ("tile",), ("front",))
    assert alone.terms == TERMS[2:]
    assert alone.mean.tolist() == [2.0, 3.0, 4.0, 5.0]
    assert alone.cov.tolist() == [[4, 5, 6, 7], [5, 6, 7, 8], [6, 7, 8, 9], [7, 8, 9, 10]]


def test_a_term_that_is_held_is_in_no_class():
    both = Block("wear: any", TERMS, np.zeros(6), np.eye(6), -1.0)
    assert class_block(both, "pad", ("tile",)).terms == TERMS[:2]
