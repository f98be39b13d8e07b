"""The priors as they are meant: how wide in all, and which others the data may choose."""

import numpy as np
import pytest

from wearcast.wear.fitting.priors import ENDS, REMOVALS, WEAR, CellPrior, candidates


@pytest.mark.parametrize("cells", [ENDS, REMOVALS], ids=["damage", "removal"])
def test_a_rate_of_other_ends_is_open_by_one_in_its_logarithm(cells):
    # However it is shared out among kind, class and floor: sd 1 about one end in 2,000 h.
    one = np.ones((1, 1))
    assert cells.cov(one, one) == pytest.approx(np.ones((1, 1)))


@pytest.mark.parametrize("cells", [WEAR, ENDS], ids=["wear", "damage"])
def test_the_data_choose_around_the_floor_sd_that_was_given(cells):
    tried = candidates(cells)
    best = max(tried, key=lambda one: one[1])[0]
    sds = {one.floor_sd for one, _ in tried}
    assert best.floor_sd == cells.floor_sd
    assert min(sds) < 0.6 * cells.floor_sd < 1.3 * cells.floor_sd < max(sds)


def test_only_floor_sd_and_sharing_are_chosen():
    given = CellPrior(0.1, 0.2, 0.3, 0.4)
    assert {(one.kind_sd, one.class_sd) for one, _ in candidates(given)} == {(0.1, 0.2)}
