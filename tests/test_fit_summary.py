"""What a fit says of itself: hours, ranges, basis; the statistics of a log rate never."""

import numpy as np
import pandas as pd
import pytest

import wearcast
from tests import fleets


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> wearcast.Logbook:
    fleet = fleets.make_fleet(3, machines=6, sites=2, history=80)
    return wearcast.read_logbook(fleets.write_log(fleet, tmp_path_factory.mktemp("log")))


@pytest.fixture(scope="module", params=["blended", "data only"])
def fitted(book: wearcast.Logbook, request: pytest.FixtureRequest) -> wearcast.Fit:
    return wearcast.fit(book, fit=request.param)


def test_the_frame_has_the_hours_of_the_floors_file(fitted: wearcast.Fit):
    frame = fitted.summary_frame()
    table = fitted.wear.floor_table.set_index(["wears_as", "floor"])
    pd.testing.assert_series_equal(frame["hours_per_edge"], table["hours_per_edge"])
    known = frame.dropna(subset=["hours_per_edge", "low"])
    assert known["hours_per_edge"].between(known["low"], known["high"]).all()


def test_the_text_has_a_line_a_wear_class_and_floor_with_its_basis(fitted: wearcast.Fit):
    text = str(fitted.summary())
    for (wears_as, floor), row in fitted.summary_frame().iterrows():
        line = next(each for each in text.splitlines() if each.startswith(f"{wears_as}, {floor}"))
        hours = row["hours_per_edge"]
        assert ("not known" if np.isnan(hours) else f"{hours:,.0f}") in line
        assert line.endswith(row["basis"])


def test_the_method_is_called_what_it_is(fitted: wearcast.Fit):
    text = str(fitted.summary())
    blended = fitted.choices.fit == "blended"
    assert ("blended with typical lives" in text) == blended
    assert ("maximum likelihood" in text.lower()) != blended


@pytest.mark.parametrize("words", ["P>|z|", "log rate", "AIC", "Time:"])
def test_nothing_is_said_that_nobody_can_hold_against_a_shelf(fitted: wearcast.Fit, words: str):
    assert words not in str(fitted.summary())


def test_the_summary_is_the_same_whenever_it_is_made(fitted: wearcast.Fit):
    assert str(fitted.summary()) == str(fitted.summary())
    assert fitted.summary().as_html().startswith("<table")
