"""The priced proposal as a workbook for those who price it, working.xlsx."""

from typing import TYPE_CHECKING

import pandas as pd

from wearcast.reports.fields import OUTPUTS
from wearcast.reports.frames import FEW_ROWS, problems_frame
from wearcast.reports.incomplete import notice
from wearcast.reports.listing import quote_table
from wearcast.reports.quote.live import live_sheet
from wearcast.reports.quote.page import quote_facts
from wearcast.reports.texts import CAUTIONS
from wearcast.reports.workbook.papers import FACTS, Papers, book_bytes

if TYPE_CHECKING:
    from wearcast.decisions.quotes import QuoteResult


def quote_workbook(result: "QuoteResult", run: str) -> bytes:
    """The bytes of working.xlsx."""

    def fill(papers: Papers) -> None:
        money = f" Money in {result.choices.currency}." if result.choices.currency else ""
        papers.table("Quote", OUTPUTS["quote"], quote_table(result),
                     f"{notice(result.missing)}Consumables by contract year; at risk: enough in "
                     f"{100 * result.risk:g} of 100 cases.{money}")  # fmt: skip
        live_sheet(papers, result)
        papers.table("Missing", OUTPUTS["missing"], result.missing,
                     "What the price leaves out, or takes from what is usual.")  # fmt: skip
        papers.table("Hours", OUTPUTS["priced_hours"], result.hours, "Hours a week as priced.")
        papers.table("Spread", OUTPUTS["spread"], result.spread,
                     "Where the uncertainty of the whole contract's cost comes from.")  # fmt: skip
        papers.table("Moves", OUTPUTS["sensitivity"], result.sensitivity,
                     "The whole contract with one thing otherwise, all else the same.")  # fmt: skip
        papers.table("Unit costs", OUTPUTS["units"], result.units,
                     "What a piece is taken to cost, and how many a mean year takes.")  # fmt: skip
        papers.table("Goes to", OUTPUTS["moves"], result.moves, "What the money goes to.")
        papers.table("Choice of part", OUTPUTS["part_choice"], result.parts,
                     "Cost of 100 run hours of each part that could sit there.")  # fmt: skip
        papers.table("Problems", OUTPUTS["problems"], problems_frame(result.told, rows=FEW_ROWS),
                     "What was set aside, repaired or is worth knowing.")  # fmt: skip
        facts = [*quote_facts(result), *(("Caution", "", words) for words in CAUTIONS)]
        frame = pd.DataFrame(facts, columns=[field.name for field in FACTS])
        papers.table("Assumptions", FACTS, frame, "What the figures rest on.")

    return book_bytes("Working paper of a quote", run, result.choices.as_of, fill)
