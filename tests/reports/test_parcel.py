"""The files of a run: what a site that was asked for makes of them."""

from dataclasses import replace

from tests.reports import makers
from wearcast.reports.parcel import OF_SITE, report_frames


def test_files_of_single_machines_are_of_the_site_asked_for_and_orders_of_the_fleet():
    made = makers.forecast()
    whole = report_frames(made)
    here = report_frames(makers.forecast(choices=replace(made.choices, site="Hall B")))
    for name in OF_SITE:
        assert set(whole[name]["site"]) > set(here[name]["site"]) == {"Hall B"}, name
    assert set(whole["spells"]["machine"]) > set(here["spells"]["machine"])
    assert set(here["spells"]["machine"]) <= {"M2"}
    assert len(here["order"]) == len(whole["order"])
