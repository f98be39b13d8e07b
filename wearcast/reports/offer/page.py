"""The offer as a page for the client, two sheets of A4."""

from typing import TYPE_CHECKING

from wearcast.reports.offer.words import offer_of
from wearcast.reports.page.paper import filled

if TYPE_CHECKING:
    from wearcast.decisions.quotes import QuoteResult


def offer_html(result: "QuoteResult", run: str) -> bytes:
    """The page, UTF-8."""
    return filled("offer/offer.html.jinja", offer=offer_of(result), run=run)
