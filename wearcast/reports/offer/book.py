"""The offer as a workbook for the client, quote.xlsx: the price and the scope, values alone."""

from typing import TYPE_CHECKING

import pandas as pd

from wearcast.reports.fields import Field
from wearcast.reports.offer.words import Offer, offer_of
from wearcast.reports.workbook.papers import Papers, book_bytes

if TYPE_CHECKING:
    from wearcast.decisions.quotes import QuoteResult

_OFFER = (Field("topic", "text", "Offer", ""), Field("meaning", "text", "What it says", ""))
_SCOPE = (
    Field("site", "text", "Site", ""),
    Field("machines", "text", "Machines", ""),
    Field("hours_per_week", "hours", "Hours a week", ""),
    Field("floors", "text", "Floors, by hours", ""),
)


def offer_workbook(result: "QuoteResult", run: str) -> bytes:
    """The bytes of the client's workbook."""
    offer = offer_of(result)

    def fill(papers: Papers) -> None:
        draft = "DRAFT, not complete, not to be sent. " if offer.draft else ""
        papers.table("Offer", _OFFER, _rows(offer), f"{draft}{offer.title}.")
        papers.table("Scope", _SCOPE, offer.scope, "Machines, planned hours and floors by site.")

    return book_bytes(offer.title, run, result.choices.as_of, fill)


def _rows(offer: Offer) -> pd.DataFrame:
    """Everything that the offer says, a row each."""
    rows = [
        *(("Not complete", words) for words in offer.draft),
        *offer.head,
        *((f"Price for {what}", value) for what, value in offer.prices),
        *(("In the price", words) for words in offer.included),
        ("Parts", offer.parts),
        *(("Not in the price", words) for words in offer.excluded),
        *(("Assumed", words) for words in offer.assumed),
        ("What it rests on", offer.source),
    ]
    return pd.DataFrame(rows, columns=["topic", "meaning"])
