"""The quote's page: its figures first, what they rest on, nothing fetched, cautions with it."""

from types import SimpleNamespace

import pandas as pd
import pytest

from tests.conftest import table
from wearcast.logbook.choices import Choices
from wearcast.reports.quote.page import brief, quote_facts, quote_html
from wearcast.reports.texts import CAUTIONS, SPREAD_WORDS


def result(**changed):
    """A priced proposal of two years: 1,000 and 1,400, 500 hours a year, no area."""
    years = """
        year    mean  p10   p50   p80   p90   at_risk  per_hour  per_1000m2
        1       1000  800   990   1100  1200  1100     2.0       -
        2       1400  1100  1390  1600  1700  1600     2.8       -
    """
    total = """
        year    mean  p10   p50   p80   p90   at_risk  per_hour  per_1000m2
        1 to 2  2400  2000  2380  2600  2800  2600     2.4       -
    """
    made = SimpleNamespace(
        frame=table(years, year="str", per_1000m2="float").assign(parts=1200.0, labour=0.0),
        total=table(total, year="str", per_1000m2="float").assign(parts=2400.0, labour=0.0),
        start=pd.Timestamp("2027-01-05"),
        learnt=pd.DataFrame(
            [("2026-10-31", 1200, 30, 4)], columns=["to", "edges", "machines", "sites"]
        ),
        missing=pd.DataFrame(columns=["what", "where", "count", "share"]),
        hours=pd.DataFrame(
            [("N1", "hall", 20.0, 19.0, 21.0, "new")],
            columns=["machine", "site", "hours_per_week", "p10", "p90", "carries"],
        ),
        spread=pd.DataFrame(
            {"source": list(SPREAD_WORDS), "share": [0.4, 0.2, 0.1, 0.1, 0.1, 0.1]}
        ),
        moves=table("by  where  mean  share | part  GUM  1200  1.0"),
        units=table("""
            part  price  minutes  turn_minutes  pieces_a_year  mean  share
            GUM   10     -        -             120            1200  1.0
        """),
        sensitivity=pd.DataFrame(
            [("hours", "", "20 % more hours", 2880.0, 3120.0, 480.0, 520.0),
             ("edges", "", "every edge used", 2300.0, 2500.0, -100.0, -100.0)],
            columns=["what", "where", "step", "mean", "at_risk", "mean_change", "risk_change"],
        ),
        parts=table("""
            position     kind   floor  part  wears_as  pieces  hours_per_part  cost_per_100h
            front blade  blade  tile   GUM   gum       1       120             8.3
        """).assign(
            deck="", low=7.0, high=10.0, chance_cheapest=1.0, break_even=float("nan")
        ),
        proposal=SimpleNamespace(
            machines=pd.DataFrame({"machine": ["N1", "N2"]}),
            sources=("proposal",),
            positions=pd.DataFrame({"machine": ["N1", "N2"], "part": "GUM", "pieces": [2.0, None]}),
            parts=pd.DataFrame({"part": ["GUM"], "price": [12.5]}),
        ),
        choices=Choices(
            as_of=pd.Timestamp("2027-01-04"),
            order_from=pd.Timestamp("2027-04-01"),
            order_to=pd.Timestamp("2027-06-30"),
            currency="EUR",
        ),
        years=2,
        risk=0.8,
        told=(),
    )  # fmt: skip
    for name, value in changed.items():
        setattr(made, name, value)
    return made


@pytest.fixture(scope="module")
def page() -> str:
    return quote_html(result(), "0123456789ab").decode()


def test_the_figures_come_first_a_year_an_hour_and_by_area():
    # 2,400 and 2,600 over two years; no area rate is known.
    assert [(words, figure) for words, figure, _ in brief(result())] == [
        ("expected a year, EUR", "1,200"),
        ("enough in 80 of 100 cases, a year of the whole contract, EUR", "1,300"),
        ("expected an hour of machine work, EUR", "2.400"),
        ("expected for 1,000 m2 cleaned, EUR", "not known"),
    ]


def test_what_is_not_in_the_price_stands_beside_it(page: str):
    missing = pd.DataFrame(
        [("part without a price", "GUM", 6.0, float("nan"))],
        columns=["what", "where", "count", "share"],
    )
    words = "Not in the price: no price for GUM (6.0 a year)."
    assert words in quote_html(result(missing=missing), "x").decode()
    assert "Not in the price" not in page


def test_every_source_of_the_spread_is_explained(page: str):
    for name, words in SPREAD_WORDS.items():
        assert f"<li>{name}: {words}</li>" in page


def test_the_first_outfit_is_said_to_be_left_out():
    facts = {what: value for what, value, _ in quote_facts(result())}
    # Two pieces at 12.50 and, where nobody says how many, one.
    assert facts["First outfit"] == "37.50, not counted"
    assert facts["Labour"] == "not counted"


def test_the_cautions_stand_on_the_page(page: str):
    shown = " ".join(page.replace("&#39;", "'").split())
    for words in CAUTIONS:
        assert words in shown


def test_a_column_that_is_blank_throughout_is_left_out(page: str):
    assert ">Deck</th>" not in page
    other = result()
    decked = quote_html(result(parts=other.parts.assign(deck="brushes")), "x").decode()
    assert ">Deck</th>" in decked


def test_the_page_fetches_nothing_and_is_the_same_each_time(page: str):
    assert "http" not in page.replace("http://www.w3.org", "")
    assert quote_html(result(), "0123456789ab").decode() == page


def test_markup_in_a_name_stays_text():
    nasty = '<script>alert("x")</script>'
    made = result(moves=result().moves.assign(where=nasty))
    assert "<script" not in quote_html(made, "x").decode()
