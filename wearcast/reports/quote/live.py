"""The sheet Price of the working paper: margin, hours and growth that can be changed in place.

Its formulas know the long run only: parts, work and run hours go with the hours planned, and
prices grow from the start of the contract. What they do not know is written below them.
"""

from typing import TYPE_CHECKING

from wearcast.decisions.quoting.offer import MONTHS, offer_price
from wearcast.reports.incomplete import notice
from wearcast.reports.workbook.papers import Papers, Sheet
from wearcast.reports.workbook.sheets import set_print, write_cell

if TYPE_CHECKING:
    from wearcast.decisions.quotes import QuoteResult

SHEET = "Price"
FIRST_YEAR = 8
"""Row of the first contract year, from 0."""
_WIDTHS = (42, 16, 16, 16, 16)
_INPUTS = (
    ("Margin, share of the price", "share", "margin"),
    ("Hours, times those priced", "number", "hours"),
    ("Growth of prices in a year", "share", "growth"),
)
_UNKNOWN = (
    "Yellow cells may be changed; wearcast quote works the same out anew, with what these formulas"
    " do not know: price steps by volume, whole pieces, parts that last longer than the term, what"
    " machines carry at the start (with fewer hours the first parts serve for longer), and growth"
    " of the prices before the start. The step from the expected cost to the chosen risk stays as"
    " it is here. For hours far from those priced ask the program."
)


def live_sheet(papers: Papers, result: "QuoteResult") -> None:
    """Add the sheet; cells hold the values as quoted until something is changed."""
    paper = papers.add(SHEET)
    sheet, looks = paper.sheet, paper.looks
    sheet.write_string(0, 0, "Price of the offer", looks.of("text", "title"))
    sheet.write_string(1, 0, notice(result.missing), looks.of("text", "short"))
    values = {"margin": result.choices.margin, "hours": 1.0, "growth": result.choices.price_growth}
    for row, (words, kind, name) in enumerate(_INPUTS, 2):
        sheet.write_string(row, 0, words, looks.of("text"))
        sheet.write_number(row, 1, values[name], looks.of(kind, "input"))
    end = _years(paper, result)
    _price(paper, result, end)
    sheet.merge_range(end + 10, 0, end + 13, 4, _UNKNOWN, looks.of("text", "wrap"))
    for column, width in enumerate(_WIDTHS):
        sheet.set_column(column, column, width)
    set_print(sheet, widths=_WIDTHS, last_row=end + 13, heading=None, foot=paper.foot)


def _years(paper: Sheet, result: "QuoteResult") -> int:
    """Expected cost of each year as quoted, and as the inputs have it; the row below them."""
    sheet, looks = paper.sheet, paper.looks
    headings = ("Contract year", "Parts, as quoted", "Work, as quoted", "Parts", "Work")
    for column, words in enumerate(headings):
        sheet.write_string(FIRST_YEAR - 1, column, words, looks.of("text", "heading"))
    was = result.choices.price_growth
    years = result.frame[["parts", "labour"]].to_numpy(float)
    for number, (parts, labour) in enumerate(years):
        row, at = FIRST_YEAR + number, FIRST_YEAR + number + 1
        write_cell(sheet, row, 0, number + 1, looks.of("count"))
        write_cell(sheet, row, 1, parts, looks.of("money"))
        write_cell(sheet, row, 2, labour, looks.of("money"))
        grown = f"((1+$B$5)/(1+{was!r}))^{number + 0.5!r}"
        sheet.write_formula(row, 3, f"=B{at}*$B$4*{grown}", looks.of("money"), parts)
        sheet.write_formula(row, 4, f"=C{at}*$B$4*{grown}", looks.of("money"), labour)
    return FIRST_YEAR + len(years)


def _price(paper: Sheet, result: "QuoteResult", end: int) -> None:
    """Expected cost, cost at the chosen risk and the price, whole and by unit."""
    sheet, looks = paper.sheet, paper.looks
    total, price = (
        result.total.iloc[0],
        offer_price(result.total, result.years, result.choices.margin),
    )
    mean, risky = float(total["mean"]), float(total["at_risk"])
    first, row = FIRST_YEAR + 1, end + 2
    months = MONTHS * result.years
    hours, area = float(total["per_hour"]), float(total["per_1000m2"])
    lines = [
        ("Expected cost of the term", f"=SUM(D{first}:E{end})", mean),
        (f"Cost, enough in {100 * result.risk:g} of 100 cases", f"=B{row}*{risky / mean!r}", risky),
        ("Price a month", f"=ROUNDUP(ROUND(B{row + 1}/(1-$B$3)/{months},6),2)", price.month),
        ("Price a year", f"=B{row + 2}*{MONTHS}", price.year),
        ("Price of the term", f"=B{row + 2}*{months}", price.whole),
        ("Price of an hour of machine work", f"=B{row + 4}/({mean / hours!r}*$B$4)", price.hour),
    ]
    if area == area:
        lines.append(
            ("Price of 1,000 m2 cleaned", f"=B{row + 4}/({mean / area!r}*$B$4)", price.area)
        )
    for at, (words, formula, value) in enumerate(lines, end + 1):
        sheet.write_string(at, 0, words, looks.of("text"))
        kind = "rate" if at > end + 5 else "money"
        sheet.write_formula(at, 1, formula, looks.of(kind, "bold"), value)
