import numpy as np
import pytest

from wearcast.logbook.drafting.meters import are_meters


@pytest.mark.parametrize(
    ("sequences", "told"),
    [
        ([[100, 120, 145, 160, 190]], True),
        ([[190, 160, 145, 120, 100]], True),
        ([[20, 31, 18, 25, 30, 19]], False),
        ([[20.0] * 6], False),
        ([[1000, 1010, 1010, 1010, 1010, 1010]], True),
        ([[900, 1500, 920, 1520, 950, 1540]], None),
        ([[100, 120]], None),
    ],
)
def test_meters_rise_and_hours_run_do_not(sequences, told):
    assert are_meters(map(np.array, sequences)) is told
