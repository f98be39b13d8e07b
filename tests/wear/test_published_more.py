"""Published life data as logbooks, read and fitted as a clerk's would be.

Meeker & Escobar, Statistical Methods for Reliability Data (1998), ch. 15: Device-G, thirty units,
surge and wear-out as competing ends, eight units still good at 300 (thousand cycles; hours here).
The estimates were printed as location 5.83 and scale .23 for wear-out (from memory); the digits
used are those of two programs written apart from each other that agree to six digits.
"""

from pathlib import Path

import pandas as pd
import pytest
from scipy.special import gamma

import wearcast

SURGE = [2, 10, 13, 23, 23, 28, 30, 65, 80, 88, 106, 143, 173, 247, 261]
WEAR_OUT = [147, 181, 212, 245, 266, 275, 293]
STILL_GOOD = [300] * 8
FIRST, LAST = "2026-01-05", "2026-06-01"


@pytest.fixture(scope="module")
def device_g(tmp_path_factory):
    """Each unit a machine with one part, new on the first day; all ends fall on the last."""
    folder: Path = tmp_path_factory.mktemp("device")
    units = [(hours, "damaged") for hours in SURGE]
    units += [(hours, "worn") for hours in WEAR_OUT] + [(hours, "") for hours in STILL_GOOD]
    readings, changes = [], []
    for number, (hours, cause) in enumerate(units):
        name = f"U{number:02d}"
        readings += [(name, FIRST, 0), (name, LAST, hours)]
        changes.append((name, FIRST, "unit", "fit", "DEVICE", "", 0))
        if cause:
            changes.append((name, LAST, "unit", "fit", "DEVICE", cause, hours))
    write = {
        "readings": pd.DataFrame(readings, columns=["machine", "date", "hours"]),
        "changes": pd.DataFrame(
            changes, columns=["machine", "date", "position", "action", "part", "cause", "hours"]
        ),
        "parts": pd.DataFrame({"part": ["DEVICE"], "kind": ["other"], "edges": [1]}),
        "settings": pd.DataFrame({"setting": ["fit", "pace"], "value": ["data only", "off"]}),
    }
    for name, table in write.items():
        table.to_csv(folder / f"{name}.csv", index=False)
    return wearcast.forecast(wearcast.read_logbook(folder), draws=100).floors.iloc[0]


def test_wear_out_of_device_g_has_the_published_shape_and_mean(device_g):
    assert device_g["shape"] == pytest.approx(4.337282, rel=1e-5)
    mean = 340.3842 * gamma(1 + 1 / 4.337282)
    assert device_g["hours_per_edge"] == pytest.approx(mean, rel=1e-4)


def test_surge_of_device_g_has_the_rate_of_its_exponential_fit(device_g):
    assert device_g["damaged_per_1000h"] == pytest.approx(1000 / 354.0667, rel=1e-5)


def test_edges_of_device_g_are_counted_by_how_they_ended(device_g):
    assert (device_g["worn"], device_g["damaged"]) == (7, 15)
    assert device_g["hours"] == sum(SURGE) + sum(WEAR_OUT) + sum(STILL_GOOD)
