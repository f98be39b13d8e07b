"""One list of ends: what each is called and which law it follows."""

import numpy as np
import pytest

from wearcast.wear.causes import CAUSES, CODES, LAW_OF, LAWS, chances_of, follows


def test_every_cause_follows_a_law_all_of_them_or_none():
    assert {cause.law for cause in CAUSES} == {"", "any", *LAWS}


def test_a_word_stands_in_the_list_once():
    assert len({cause.word for cause in CAUSES}) == len(CAUSES)


@pytest.mark.parametrize(("word", "code"), CODES.items())
def test_a_known_end_counts_in_its_law_alone(word, code):
    (chances,) = chances_of(np.array([code]))
    own = LAW_OF[word] if LAW_OF[word] in LAWS else {"any": "worn", "": None}[LAW_OF[word]]
    assert chances.tolist() == [float(law == own) for law in LAWS]


def test_an_end_of_unknown_cause_surely_follows_no_single_law():
    code = np.array([CODES["unknown"], CODES["worn"]])
    assert follows(code, "any").tolist() == [True, False]
    assert follows(code, "worn").tolist() == [False, True]
