"""By site: the pieces of the order go to those who use them."""

from dataclasses import replace

import pytest

from tests.reports import makers
from wearcast.reports.workbook.site_sheet import by_site


def test_the_sites_pieces_add_up_to_the_order():
    forecast = makers.forecast()
    shared = by_site(forecast).groupby(["depot", "part"])["of_order"].sum()
    ordered = forecast.order.set_index(["depot", "part"])["order_pieces"]
    assert shared.to_dict() == pytest.approx(ordered.reindex(shared.index).to_dict())


def test_an_order_in_the_place_of_another_part_goes_to_the_sites_of_both():
    forecast = makers.forecast()
    parts = forecast.book.parts
    forecast.book = replace(forecast.book, parts=parts.assign(replaced_by=["", "PAD-9", ""]))
    order = makers.order()
    order.loc[3, ["depot", "order_pieces"]] = ["north", 10.0]
    forecast.order = order
    frame = by_site(forecast).set_index(["site", "part"])
    assert frame.loc[("Hall A", "PAD-9"), ["share", "of_order", "use"]].tolist() == [1.0, 10.0, 0.0]
