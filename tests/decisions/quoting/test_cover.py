"""A quote holds what strangers really cost; `tests.studies.strangers` measures how often."""

import numpy as np

from tests.studies.strangers import study


def test_a_strangers_years_lie_around_the_quote():
    pairs = [study(seed, 0.1, lives=200, draws=200, machines=18) for seed in (1, 2)]
    # Two logs of six sites: what each got wrong once and for all moves its cover by some .12.
    assert 0.55 < np.mean([pair.p80 for pair in pairs]) < 0.98
    assert all(pair.p80 <= pair.p90 for pair in pairs)
    assert 0.8 < np.mean([pair.mean for pair in pairs]) < 1.25
