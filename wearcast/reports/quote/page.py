"""The priced proposal as one self-contained page."""

from typing import TYPE_CHECKING

import pandas as pd

from wearcast.decisions.quoting.offer import first_outfit, offer_price
from wearcast.reports.fields import OUTPUTS
from wearcast.reports.frames import FEW_ROWS, problems_frame, shown_number
from wearcast.reports.incomplete import incomplete_words
from wearcast.reports.listing import quote_table
from wearcast.reports.page.paper import PageTable, drawings, filled, table_with
from wearcast.reports.quote.charts import change_chart, share_chart, year_chart
from wearcast.reports.texts import CAUTIONS, QUOTE_METHOD, SPREAD_WORDS, sources_words

if TYPE_CHECKING:
    from wearcast.decisions.quotes import QuoteResult

SECTIONS = (
    ("years", "By year"),
    ("spread", "Why not surer"),
    ("sensitivity", "What moves it"),
    ("moves", "What it goes to"),
    ("parts", "Choice of part"),
    ("problems", "Findings"),
    ("method", "Method and cautions"),
)


def quote_html(result: "QuoteResult", run: str) -> bytes:
    """The page, UTF-8."""
    by_part = result.moves[result.moves["by"].eq("part")].head(15)
    names, shares = list(by_part["where"].map(str)), list(by_part["share"])
    sources = list(result.spread["source"]), list(result.spread["share"])
    currency = result.choices.currency
    return filled(
        "quote/quote.html.jinja",
        run=run,
        sections=SECTIONS,
        choices=result.choices,
        start=result.start,
        years=result.years,
        risk=result.risk,
        brief=brief(result),
        incomplete=incomplete_words(result.missing),
        tables=_tables(result),
        charts=drawings({
            "years": year_chart(result.frame, result.risk, currency),
            "spread": share_chart("spread", *sources, "Where the uncertainty comes from",
                                  "spread"),
            "sensitivity": change_chart(result.sensitivity, currency),
            "moves": share_chart("moves", names, shares, "What the money goes to, by part",
                                 "money"),
        }),
        sources=[(name, SPREAD_WORDS[name]) for name in sources[0]],
        method=QUOTE_METHOD,
        facts=quote_facts(result),
        cautions=CAUTIONS,
    )  # fmt: skip


def brief(result: "QuoteResult") -> list[tuple[str, str, str]]:
    """The figures that come first: words, figure, where it is explained."""
    total, years = result.total.iloc[0], float(result.years)
    money = f", {result.choices.currency}" if result.choices.currency else ""
    risk = f"enough in {100 * result.risk:g} of 100 cases, a year of the whole contract{money}"
    return [
        (f"expected a year{money}", shown_number(total["mean"] / years, 0), "years"),
        (risk, shown_number(total["at_risk"] / years, 0), "years"),
        (f"expected an hour of machine work{money}", shown_number(total["per_hour"], 3), "years"),
        (f"expected for 1,000 m2 cleaned{money}",
         shown_number(total["per_1000m2"], 3) or "not known", "years"),
    ]  # fmt: skip


def quote_facts(result: "QuoteResult") -> list[tuple[str, str, str]]:
    """What the price rests on: what, its value, what it means."""
    choices, proposal = result.choices, result.proposal
    asked = shown_number(offer_price(result.total, result.years, choices.margin).year, 2)
    return [
        ("Start", f"{result.start:%Y-%m-%d}", "First day of the contract; a contract year has 365 "
         "days."),
        ("Risk", f"{100 * result.risk:g} %", "The price at risk is enough in so many of 100 "
         "futures."),
        ("Margin", f"{100 * choices.margin:g} % of the price", f"The offer asks {asked} a year: "
         "the cost at the chosen risk over what the margin leaves."),
        ("Machines", f"{proposal.machines['machine'].nunique()}", "Nobody has measured them: "
         "their pace is drawn from the spread of the fleet that was measured."),
        ("First outfit", f"{shown_number(first_outfit(proposal), 2)}, not counted",
         _outfit_words(result.hours["carries"])),
        ("Labour", _labour_words(choices.labour_rate), "The work of every change and turn, "
         "where the parts give their minutes."),
        ("Price growth", f"{100 * choices.price_growth:g} % a year", "Prices of the learnt "
         "catalogue grow from the day of its log to the start; those of the proposal hold at the "
         "start. Later years are in the money of those years."),
        *_learnt_facts(result.learnt),
        ("Proposal", sources_words(proposal.sources), "What was read."),
        ("Futures", f"{choices.draws} draws, seed {choices.seed}", "Same input, same figures."),
    ]  # fmt: skip


def _outfit_words(carries: pd.Series) -> str:
    """What the machines carry when they come, and what that does to the first year."""
    used = int(carries.ne("new").sum())
    if not used:
        return (
            "The machines come with new parts, so the first year uses fewer of them than the later "
            "ones."
        )
    rest = "The other machines come with new parts." if used < len(carries) else ""
    words = f"{used} of {len(carries)} machines come with used parts, which wear out sooner. {rest}"
    return words.strip()


def _learnt_facts(learnt: pd.DataFrame) -> list[tuple[str, str, str]]:
    """What each log held that the rates are of."""
    return [
        (
            "Learnt from",
            f"{row.edges:,} edges",
            f"{row.machines} machines at {row.sites} sites, to {row.to}.",
        )
        for row in learnt.itertuples()
    ]


def _labour_words(rate: float | None) -> str:
    return "not counted" if rate is None else f"counted at {rate:g} an hour"


def _tables(result: "QuoteResult") -> dict[str, PageTable]:
    told = problems_frame(result.told, rows=FEW_ROWS)
    frames = {
        "years": ("quote", quote_table(result)),
        "sensitivity": ("sensitivity", result.sensitivity),
        "moves": ("moves", result.moves),
        "units": ("units", result.units),
        "parts": ("part_choice", result.parts),
        "problems": ("problems", told),
        "missing": ("missing", result.missing),
        "hours": ("priced_hours", result.hours),
    }
    return {
        name: table_with(OUTPUTS[fields], frame, "quote" if name == "years" else "")
        for name, (fields, frame) in frames.items()
    }
