"""The offer: what the client reads, and what the client must not."""

import subprocess
from dataclasses import replace
from pathlib import Path

import pandas as pd
import pytest

from tests.reports.page.browser import asked, needs_browser
from tests.reports.quote.test_page import result
from tests.reports.workbook.office import converted, edited, needs_office, needs_poppler, values
from wearcast.decisions.quoting.missing import LEFT_OUT, NO_PRICE, NOT_MEASURED
from wearcast.decisions.quoting.offer import offer_price
from wearcast.reports.offer.book import offer_workbook
from wearcast.reports.offer.page import offer_html
from wearcast.reports.offer.words import MOST_SITES, floor_words, offer_of
from wearcast.reports.quote.book import quote_workbook


def priced(**changed):
    """The two years of `result`, 2,600 at the chosen risk, with a margin of 20 %."""
    made = result()
    made.choices = replace(
        made.choices,
        margin=0.2,
        client="Salt Museum",
        offered_by="Tidewater",
        draws=1000,
        valid_until="2026-12-31",
    )
    made.proposal.floors = pd.DataFrame(
        [("N1", "tile", 0.25), ("N1", "vinyl", 0.75)], columns=["machine", "floor", "share"]
    )
    made.proposal.positions = pd.DataFrame({"machine": ["N1"], "part": ["GUM"], "pieces": 1.0})
    made.proposal.parts = pd.DataFrame(
        {"part": ["GUM"], "name": ["gum blade, front"], "price": 9.0}
    )
    for name, value in changed.items():
        setattr(made, name, value)
    return made


def test_the_price_covers_the_cost_at_risk_and_leaves_the_margin():
    price = offer_price(priced().total, 2, 0.2)
    # 2,600 / 0.8 are 24 months of 135.4166; 2,400 expected are 1,000 h at 2.4 an hour.
    assert price[:4] == pytest.approx((3250.08, 1625.04, 135.42, 3.25008))
    assert price.area != price.area  # not known


def test_the_client_reads_price_scope_and_terms_but_no_cost_of_ours():
    page = offer_html(priced(), "0123456789ab").decode()
    for words in ("Salt Museum", "Tidewater", "3,250.08 EUR", "135.42 EUR", "2027-01-05",
                  "2 years, to 2029-01-03", "vinyl 75\u00a0%, tile 25\u00a0%", "gum blade, front",
                  "80 of 100", "1,200 edges of 30 machines at 4 sites"):  # fmt: skip
        assert words in page, words
    for ours in ("2,600", "2,400", "1,200.00", "margin", "8.3", "Draft"):
        assert ours not in page.partition("<main>")[2].replace("1,200 edges", ""), ours


def test_what_is_not_complete_is_a_draft():
    missing = pd.DataFrame(
        [(NO_PRICE, "GUM", 4.0, 0.1)], columns=["what", "where", "count", "share"]
    )
    made = priced(missing=missing)
    assert offer_of(made).draft
    assert b"not to be sent" in offer_html(made, "x")
    assert "DRAFT" in str(values(offer_workbook(made, "x"))["Offer"]["A3"].value)


def test_what_nobody_filled_in_makes_a_draft():
    made = priced()
    assert offer_of(made).draft == ()
    made.choices = replace(made.choices, client="", currency="")
    assert offer_of(made).draft == ("Not filled in: currency, client (settings of the proposal).",)


def test_a_mix_of_floors_goes_by_the_hours_on_them():
    # 30 h of tile, and 10 h half tile, half vinyl: 35 and 5 of 40.
    hours = pd.DataFrame({"machine": ["A", "B"], "hours_per_week": [30.0, 10.0]})
    floors = pd.DataFrame(
        [("A", "tile", 1.0), ("B", "tile", 0.5), ("B", "vinyl", 0.5)],
        columns=["machine", "floor", "share"],
    )
    assert floor_words(hours, floors, 60) == "tile 88\u00a0%, vinyl 12\u00a0%"
    assert floor_words(hours, floors, 20) == "tile 88\u00a0%, others 12\u00a0%"


def crowded(sites: int, machines: int):
    """As many and as long names as a large operator may have, and much that is missing."""
    names = [f"machine {number:04d} of a very long name" for number in range(sites * machines)]
    homes = [f"site {number % sites:03d} with a long name" for number in range(len(names))]
    hours = pd.DataFrame(
        {"machine": names, "site": homes, "hours_per_week": 10.0, "carries": "used"}
    )
    made = priced(hours=hours)
    made.proposal.floors = pd.DataFrame(
        [(name, f"floor {number} of stone", 0.1) for name in names for number in range(10)],
        columns=["machine", "floor", "share"],
    )
    parts = [f"part {number:03d}" for number in range(60)]
    made.proposal.positions = pd.DataFrame({"machine": names[0], "part": parts})
    made.proposal.parts = pd.DataFrame({"part": parts, "name": [f"{p}, front" for p in parts]})
    made.missing = pd.DataFrame(
        [(what, f"{where} of a long name", 4.0, 0.1)
         for what in (*LEFT_OUT, NOT_MEASURED) for where in parts],
        columns=["what", "where", "count", "share"],
    )  # fmt: skip
    long = "A house of many words, " * 9
    made.choices = replace(made.choices, client=long, offered_by=long, price_growth=0.03)
    return made


def test_many_sites_are_summed_up():
    scope = offer_of(crowded(40, 2)).scope
    assert len(scope) == MOST_SITES
    assert scope["hours_per_week"].sum() == 800
    assert scope.iloc[-1]["site"] == f"{40 - MOST_SITES + 1} more sites"
    assert scope.iloc[-1]["machines"] == f"{2 * (40 - MOST_SITES + 1)} in all"


def pages(path: Path) -> list[str]:
    """The text of each page of a PDF."""
    told = subprocess.run(["pdftotext", "-layout", str(path), "-"], check=True, capture_output=True)
    return told.stdout.decode().split("\f")[:-1]


@needs_browser
@needs_poppler
@pytest.mark.parametrize(("sites", "machines"), [(1, 60), (5, 9), (40, 2)])
def test_the_page_prints_on_two_sheets(tmp_path: Path, sites: int, machines: int):
    (tmp_path / "quote.html").write_bytes(offer_html(crowded(sites, machines), "0123456789ab"))
    asked(tmp_path / "quote.html", f"--print-to-pdf={tmp_path / 'o.pdf'}")
    first, second = pages(tmp_path / "o.pdf")
    assert "not to be sent" in first
    assert "What it rests on" in second


@needs_office
@needs_poppler
def test_the_workbook_prints_on_two_sheets(tmp_path: Path):
    first, second = pages(converted(offer_workbook(crowded(5, 9), "0123456789ab"), "pdf", tmp_path))
    assert "not to be sent" in first
    assert "What it rests on" in second


@needs_office
def test_the_working_paper_reckons_anew_with_margin_hours_and_growth(tmp_path: Path):
    book = quote_workbook(priced(), "0123456789ab")
    sheet = values(book)["Price"]
    rows = {sheet.cell(row, 1).value: row for row in range(1, sheet.max_row + 1)}
    price = rows["Price of the term"]
    assert sheet.cell(price, 2).value == pytest.approx(3250.08)
    steps = [f'Type_("Price", "{cell}", {value})' for cell, value in
             (("B3", 0.5), ("B4", 1.5), ("B5", 0.1))]  # fmt: skip
    after = values(edited(book, tmp_path, *steps))["Price"]
    # Two years of 1,200 for parts, grown for half a year and for one and a half; months in cents.
    mean = 1200 * 1.5 * (1.1**0.5 + 1.1**1.5)
    assert after.cell(price, 2).value == pytest.approx(mean * 2600 / 2400 / 0.5, abs=0.24)
    hour = rows["Price of an hour of machine work"]
    assert after.cell(hour, 2).value == pytest.approx(mean * 2600 / 2400 / 0.5 / 1500, rel=3e-5)
