"""What wears otherwise since some month, at a site or in a class, is told before any figure."""

import numpy as np
import pandas as pd
import pytest

from tests.wear.diagnostics.test_speed_changes import DAYS, FIRST, fleet
from wearcast.told import GRAVE
from wearcast.wear.diagnostics.level_shift import tell_level_shifts


def told(*sites: float):
    """Findings about three sites of ten machines whose pads wear so many times as fast from 2026
    on; behind the three: the brushes there."""
    made = [fleet(10, seed, faster) for seed, faster in enumerate(sites)]
    spells = [
        history.spells.assign(
            site=f"site {number % 3}",
            machine=history.spells["machine"] + str(number % 3),
            wears_as="pad" if number < 3 else "brush",
        )
        for number, (history, _) in enumerate(made)
    ]
    history, wear = made[0]
    wear.spells["brush"] = None
    wear.worn.terms += ("log rate[brush, tile]", "log shape[brush]")
    wear.worn.mean = np.tile(wear.worn.mean, 2)
    history.spells = pd.concat(spells, ignore_index=True)
    history.exposure = pd.concat([one.exposure for one, _ in made], ignore_index=True)
    history.as_of = FIRST + pd.Timedelta(days=DAYS)
    return tell_level_shifts(history, wear)


@pytest.mark.parametrize("faster", [1.6, 0.6])
def test_a_change_at_all_sites_is_of_the_class(faster):
    (found,) = told(faster, faster, faster)
    assert found.wrong.startswith("pad wears about ")
    assert " 2026 as before" in found.wrong or " December 2025 as before" in found.wrong
    assert found.weight >= GRAVE


def test_a_change_of_one_class_at_one_site_is_told_of_that():
    (found,) = told(1.0, 1.8, 1.0, 1.0, 1.0, 1.0)
    assert found.wrong.startswith("pad at site 1 wears about 1.")


def test_a_change_of_all_classes_at_one_site_is_told_of_the_site():
    (found,) = told(1.0, 1.8, 1.0, 1.0, 1.8, 1.0)
    assert found.wrong.startswith("all at site 1 wears about 1.")


def test_where_nothing_changed_or_little_nothing_is_told():
    assert told(1.0, 1.0, 1.0) == told(1.08, 1.08, 1.08) == []
