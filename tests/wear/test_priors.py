"""The priors as they are meant: where they stand, how wide in all, and what the data may choose."""

import numpy as np
import pytest

from wearcast.wear.priors import (
    ENDS,
    LIVES_TO_TEAR,
    TYPICAL_HOURS,
    USUAL_SD,
    WEAR,
    WIDE_HOURS,
    WIDE_SD,
    CellPrior,
    candidates,
    centre_of,
)


def test_a_rate_of_damage_is_open_by_one_in_its_logarithm():
    # However it is shared out among kind, class and floor: sd 1 about one end in so many lives.
    one = np.ones((1, 1))
    assert ENDS.cov(one, one) == pytest.approx(np.ones((1, 1)))


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


def test_a_class_with_a_wider_sd_of_its_own_widens_its_own_cells_alone():
    cov = CellPrior(0.0, 0.7, 0.5, 0.5).cov(np.eye(2), np.ones((2, 2)), np.array([0.7, 1.5]))
    assert cov == pytest.approx(np.array([[0.74, 0.125], [0.125, 2.5]]))


@pytest.mark.parametrize(
    ("kind", "usual", "hours", "sd"),
    [
        pytest.param("blade", np.nan, TYPICAL_HOURS["blade"], WEAR.class_sd, id="common practice"),
        pytest.param("blade", 80.0, 80.0, USUAL_SD, id="the catalogue's word"),
        pytest.param("blade", 0.0, TYPICAL_HOURS["blade"], WEAR.class_sd, id="no word"),
        pytest.param("filter", np.nan, WIDE_HOURS, WIDE_SD, id="nobody knows"),
    ],
)
def test_a_class_stands_where_most_is_known_of_it(kind, usual, hours, sd):
    assert centre_of("worn", kind, usual) == (kind, hours, sd)


@pytest.mark.parametrize(("kind", "usual"), [("brush", np.nan), ("pad", 50.0)])
def test_damage_scales_with_the_life_of_the_part(kind, usual):
    life, torn = centre_of("worn", kind, usual).hours, centre_of("torn", kind, usual).hours
    assert torn == LIVES_TO_TEAR * life
