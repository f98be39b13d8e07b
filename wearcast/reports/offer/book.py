"""The offer as a workbook for the client, quote.xlsx: two sheets of one page each, values alone."""

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

from wearcast.reports.offer.words import MONEY_DIGITS, Offer, offer_of, price_figures
from wearcast.reports.workbook.papers import Papers, Sheet, book_bytes
from wearcast.reports.workbook.sheets import HEADING_HEIGHT, set_height, write_cell

if TYPE_CHECKING:
    from wearcast.decisions.quotes import QuoteResult

_OFFER, _SCOPE = (26, 66), (20, 30, 11, 31)
"""Characters of the columns; on A4 upright they are set at 8 point or more."""
_HEADINGS = ("Site", "Machines", "Hours a week", "Floors, by hours")


def offer_workbook(result: "QuoteResult", run: str) -> bytes:
    """The bytes of the client's workbook."""
    offer, currency = offer_of(result), result.choices.currency

    def fill(papers: Papers) -> None:
        _offer_sheet(papers, offer, currency)
        _scope_sheet(papers, offer)

    return book_bytes(offer.title, run, result.choices.as_of, fill)


def _offer_sheet(papers: Papers, offer: Offer, currency: str) -> None:
    """Who, when, how much, and what is in it."""
    paper = _page(papers, "Offer", _OFFER, offer.title)
    row = 2
    if offer.draft:
        words = ("DRAFT: not complete, not to be sent.", *offer.draft)
        row = _texts(paper, row, words, _OFFER, "short") + 1
    for pair in offer.head:
        row = _line(paper, row, pair, _OFFER)
    row = _section(paper, row + 1, f"Price, {currency}" if currency else "Price")
    for at, (what, digits, value) in enumerate(price_figures(offer.price), row):
        kind = "money" if digits == MONEY_DIGITS else "rate"
        write_cell(paper.sheet, at, 0, what, paper.looks.of("text"))
        write_cell(paper.sheet, at, 1, round(value, digits), paper.looks.of(kind, "left"))
        row = at + 1
    row = _section(paper, row + 1, "Terms")
    row = _texts(paper, row, offer.included, _OFFER)
    row = _section(paper, row + 1, "Not in the price")
    _texts(paper, row, offer.excluded, _OFFER)


def _scope_sheet(papers: Papers, offer: Offer) -> None:
    """What the price is for, and what it rests on."""
    paper = _page(papers, "Scope", _SCOPE, "Scope")
    row = _texts(paper, 2, (offer.parts,), _SCOPE) + 1
    paper.sheet.set_row(row, HEADING_HEIGHT)
    for column, words in enumerate(_HEADINGS):
        paper.sheet.write_string(row, column, words, paper.looks.of("text", "heading"))
    for cells in offer.scope.itertuples(index=False):
        row = _line(paper, row + 1, tuple(cells), _SCOPE) - 1
    row = _section(paper, row + 2, "What the price assumes")
    row = _texts(paper, row, offer.assumed, _SCOPE)
    row = _section(paper, row + 1, "What it rests on")
    _texts(paper, row, (offer.source,), _SCOPE)


def _page(papers: Papers, name: str, widths: Sequence[float], title: str) -> Sheet:
    """A sheet that prints on one page of A4 upright."""
    paper = papers.add(name)
    sheet = paper.sheet
    for column, width in enumerate(widths):
        sheet.set_column(column, column, width)
    sheet.set_paper(9)
    sheet.set_portrait()
    sheet.set_margins(left=0.5, right=0.5, top=0.6, bottom=0.7)
    sheet.fit_to_pages(1, 1)
    sheet.hide_gridlines(2)
    sheet.set_footer(f"&L&10{paper.foot.replace('&', '&&')}&R&10&P / &N")
    sheet.write_string(0, 0, title, paper.looks.of("text", "title"))
    return paper


def _section(paper: Sheet, row: int, words: str) -> int:
    """A heading within a page; the row below it."""
    paper.sheet.write_string(row, 0, words, paper.looks.of("text", "bold"))
    return row + 1


def _line(paper: Sheet, row: int, cells: Sequence[object], widths: Sequence[float]) -> int:
    """A row of cells; the row below it."""
    for column, value in enumerate(cells):
        look = ("text", "wrap") if isinstance(value, str) else ("hours",)
        write_cell(paper.sheet, row, column, value, paper.looks.of(*look))
    set_height(paper.sheet, row, zip(cells, widths, strict=True))
    return row + 1


def _texts(
    paper: Sheet, row: int, texts: Iterable[str], widths: Sequence[float], *traits: str
) -> int:
    """Texts across the page, one below the other; the row below them."""
    look = paper.looks.of("text", "wrap", *traits)
    for at, words in enumerate(texts, row):
        paper.sheet.merge_range(at, 0, at, len(widths) - 1, "", look)
        write_cell(paper.sheet, at, 0, words, look)
        set_height(paper.sheet, at, [(words, sum(widths))])
        row = at + 1
    return row
