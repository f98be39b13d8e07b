"""An approved order as a document that purchasing systems exchange: UBL 2.1 Order.

OASIS Standard "Universal Business Language Version 2.1" (4 November 2013), document type Order;
element names and their order are the schema's. Quantities are in pieces: unit code H87 of UN/ECE
Recommendation 20. Currencies are ISO 4217 codes; a currency that is none is XXX, "no currency",
and a note says in which money the amounts are.
"""

import re
from collections.abc import Iterable
from typing import Any
from xml.etree import ElementTree as ET

import pandas as pd

from wearcast.reports.order.approved import Approved
from wearcast.reports.order.orders import URGENT

NAMESPACE = "urn:oasis:names:specification:ubl:schema:xsd:Order-2"
_NAMESPACES = {
    "xmlns": NAMESPACE,
    "xmlns:cac": "urn:oasis:names:specification:ubl:schema:xsd:CommonAggregateComponents-2",
    "xmlns:cbc": "urn:oasis:names:specification:ubl:schema:xsd:CommonBasicComponents-2",
}
_PIECE = "H87"
_NO_CURRENCY = "XXX"
_NOT_XML = re.compile("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
"""What no XML 1.0 document may hold (section 2.2)."""
Line = dict[str, Any]


def order_document(approved: Approved, lines: pd.DataFrame) -> bytes:
    """One order as a UBL document.

    Parameters
    ----------
    approved : Approved
        Whose addresses these are.
    lines : DataFrame
        The lines of one order, see `Approved.lines`.

    Returns
    -------
    bytes
        UTF-8, indented, the same for the same lines.
    """
    rows: list[Line] = lines.to_dict("records")  # type: ignore[assignment]
    first = rows[0]
    code = currency_code(first["currency"])
    root = ET.Element("Order", _NAMESPACES)
    _add(root, "cbc:UBLVersionID", "2.1")
    _add(root, "cbc:ID", first["order_number"])
    _add(root, "cbc:IssueDate", _day(first["goes_out"]))
    for note in _notes(rows):
        _add(root, "cbc:Note", note)
    _add(root, "cbc:DocumentCurrencyCode", code)
    _add(root, "cbc:LineCountNumeric", len(rows))
    _add_party(root, "cac:BuyerCustomerParty", approved.sender)
    _add_party(root, "cac:SellerSupplierParty", first["supplier"])
    _add_total(root, rows, code)
    for line in rows:
        _add_line(root, line, approved, code)
    ET.indent(root)
    text: bytes = ET.tostring(root, encoding="utf-8", xml_declaration=True)
    return text + b"\n"


def currency_code(currency: str) -> str:
    """The currency as a code of three capitals; XXX, no currency, for another word or none."""
    return currency if re.fullmatch("[A-Z]{3}", currency) else _NO_CURRENCY


def _notes(rows: list[Line]) -> list[str]:
    """What the amounts do not say by themselves."""
    currency = str(rows[0]["currency"])
    notes = []
    if currency_code(currency) == _NO_CURRENCY and currency:
        notes.append(f"Amounts in {currency}.")
    bare = sum(pd.isna(line["unit_price"]) for line in rows)
    if bare:
        notes.append(f"{bare} of {len(rows)} lines without price.")
    return notes


def _add_party(root: ET.Element, tag: str, words: str) -> None:
    """A party by its name, the first line of what was typed, and its address, the others."""
    name, *address = _address_lines(words)
    party = _add(_add(root, tag), "cac:Party")
    _add(_add(party, "cac:PartyName"), "cbc:Name", name)
    if address:
        _add_address(party, "cac:PostalAddress", address)


def _address_lines(words: str) -> list[str]:
    """The lines of an address, which may be typed with commas in between; at least one."""
    parts = words.splitlines() if "\n" in words.strip() else words.split(",")
    return [part.strip() for part in parts if part.strip()] or ["not named"]


def _add_address(parent: ET.Element, tag: str, lines: Iterable[str]) -> None:
    address = _add(parent, tag)
    for line in lines:
        _add(_add(address, "cac:AddressLine"), "cbc:Line", line)


def _add_total(root: ET.Element, rows: list[Line], code: str) -> None:
    """The sum of the priced lines; none where no line has a price."""
    amounts = [float(line["line_total"]) for line in rows if pd.notna(line["line_total"])]
    if amounts:
        total = _add(root, "cac:AnticipatedMonetaryTotal")
        for tag in ("cbc:LineExtensionAmount", "cbc:PayableAmount"):
            _add(total, tag, _amount(sum(amounts)), currencyID=code)


def _add_line(root: ET.Element, line: Line, approved: Approved, code: str) -> None:
    order_line = _add(root, "cac:OrderLine")
    if line["urgent"]:
        _add(order_line, "cbc:Note", URGENT)
    item_line = _add(order_line, "cac:LineItem")
    _add(item_line, "cbc:ID", line["line"])
    _add(item_line, "cbc:Quantity", _figure(line["pieces"]), unitCode=_PIECE)
    priced = pd.notna(line["unit_price"])
    if priced:
        amount = _amount(line["line_total"])
        _add(item_line, "cbc:LineExtensionAmount", amount, currencyID=code)
    _add_delivery(item_line, line, approved)
    if priced:
        price = _add(item_line, "cac:Price")
        _add(price, "cbc:PriceAmount", _figure(line["unit_price"]), currencyID=code)
        _add(price, "cbc:BaseQuantity", "1", unitCode=_PIECE)
    _add_item(item_line, line)


def _add_delivery(item_line: ET.Element, line: Line, approved: Approved) -> None:
    """Where to, and by when unless it is urgent."""
    delivery = _add(item_line, "cac:Delivery")
    location = _add(delivery, "cac:DeliveryLocation")
    _add(location, "cbc:Name", line["depot"])
    address = approved.addresses.get(line["depot"], "")
    if address:
        _add_address(location, "cac:Address", _address_lines(address))
    if pd.notna(line["wanted"]) and not line["urgent"]:
        _add(_add(delivery, "cac:RequestedDeliveryPeriod"), "cbc:EndDate", _day(line["wanted"]))


def _add_item(item_line: ET.Element, line: Line) -> None:
    item = _add(item_line, "cac:Item")
    _add(item, "cbc:PackQuantity", _figure(line["packs"]))
    _add(item, "cbc:PackSizeNumeric", _figure(line["pack"]))
    _add(item, "cbc:Name", line["name"] or line["part"])
    _add(_add(item, "cac:BuyersItemIdentification"), "cbc:ID", line["part"])
    if line["article"]:
        _add(_add(item, "cac:SellersItemIdentification"), "cbc:ID", line["article"])


def _add(parent: ET.Element, tag: str, text: object = "", **attributes: str) -> ET.Element:
    """A further element in a parent; what XML cannot hold is left out of its text."""
    element = ET.SubElement(parent, tag, {key: _plain(text) for key, text in attributes.items()})
    element.text = _plain(text) or None
    return element


def _plain(text: object) -> str:
    return _NOT_XML.sub("", str(text))


def _day(day: pd.Timestamp) -> str:
    return f"{day:%Y-%m-%d}"


def _amount(money: float) -> str:
    return f"{money:.2f}"


def _figure(number: float) -> str:
    """A number without an exponent, and without needless decimals."""
    return f"{number:.8f}".rstrip("0").rstrip(".")
