"""Rows of some whole machines at a time."""

import numpy as np

from wearcast.outlook.pieces import whole_machines


def test_rows_are_cut_between_machines_wherever_the_last_begins():
    machine = np.array(["M1", "M1", "M2", "M2", "M2"])
    for size in range(1, 7):
        cuts = list(whole_machines(machine, size))
        assert np.concatenate([np.arange(5)[cut] for cut in cuts]).tolist() == [0, 1, 2, 3, 4]
        assert {cut.start for cut in cuts} <= {0, 2}
    assert list(whole_machines(machine[:0], 3)) == [slice(0, 0)]
