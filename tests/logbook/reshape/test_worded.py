"""Words of theirs for cells, blank ones too."""

from wearcast.logbook.reshape.mapping import Word
from wearcast.logbook.reshape.worded import BLANK, word_of
from wearcast.logbook.schema.spelling import phrase_key


def test_a_word_for_blank_cells_speaks_of_them():
    words = {phrase_key(BLANK): (Word(ours="skip"),)}
    assert word_of(None, words) == Word(ours="skip")
    assert word_of("turn", words) is None
    assert word_of(None, {}) is None
