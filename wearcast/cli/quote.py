"""``wearcast quote``: a year's consumables for a site that nobody has cleaned yet."""

from collections.abc import Sequence
from datetime import date
from pathlib import Path

import click

from wearcast.cli import options
from wearcast.cli.asking import given, read
from wearcast.cli.rates_files import blaming, read_rates
from wearcast.cli.telling import (
    SET_ASIDE,
    Progress,
    exit_code,
    print_columns,
    print_json,
    print_table,
    print_text,
)
from wearcast.decisions.cheapest import saving
from wearcast.decisions.quotes import QuoteResult
from wearcast.decisions.quoting.offer import offer_price
from wearcast.errors import UnknownChoice, UnusableTable
from wearcast.forecast import Fit, fit
from wearcast.quote import quote as price
from wearcast.reports.fields import OUTPUTS, fields_named
from wearcast.reports.frames import heaviest_first, problems_frame, rows_for_json, shown_number
from wearcast.reports.incomplete import incomplete_words
from wearcast.reports.listing import quote_table
from wearcast.reports.offer.words import price_rows
from wearcast.reports.parcel import write_quote
from wearcast.reports.quote.side_by_side import side_by_side
from wearcast.reports.writing.folder import refuse_folder
from wearcast.told import sentence

LEAST_RISK, MOST_RISK = 0.5, 0.99
MOST_MOVES, MOST_FINDINGS, MOST_STEPS = 5, 8, 10
_STEPS = ("step", "mean", "mean_change", "risk_change")
_WORK = ("parts", "labour")
_HOURS = "Hours a week as priced"


@click.command()
@click.argument("proposal", metavar="PROPOSAL")
@click.argument("more", metavar="[LOGBOOK...]", nargs=-1)
@click.option("--rates", type=click.Path(), multiple=True, metavar="rates.json",
              help="Rates that wearcast floors saved; again for each operator.")  # fmt: skip
@click.option("--learn-from", multiple=True, metavar="LOGBOOK",
              help="A logbook to learn the rates from; more of them may follow.")  # fmt: skip
@click.option("--years", type=click.IntRange(1, 10), default=3, show_default=True, metavar="N",
              help="How many contract years.")  # fmt: skip
@click.option("--risk", type=options.Share(), default=0.8, show_default=True, metavar="P",
              help="Chance that the price at risk is enough, 0.5 to 0.99.")  # fmt: skip
@click.option("--hours", type=click.FloatRange(0.1, 5), default=1, show_default=True, metavar="F",
              help="What if: all planned hours times F.")  # fmt: skip
@click.option("--cheapest", is_flag=True,
              help="With the part that costs least at each position.")  # fmt: skip
@click.option("--compare", type=click.Path(), metavar="DIR",
              help="Side by side with the quote in that folder.")  # fmt: skip
@click.option("--margin", type=options.Share(), metavar="P",
              help="Share of the offer's price that is not cost.")  # fmt: skip
@options.folder(needed=False)
@options.common
def quote(
    proposal: str,
    more: tuple[str, ...],
    rates: tuple[str, ...],
    learn_from: tuple[str, ...],
    years: int,
    risk: float,
    hours: float,
    cheapest: bool,
    compare: str | None,
    output: str | None,
    as_of: date | None,
    dates: str | None,
    as_json: bool,
    quiet: bool,
    **asked: object,
) -> int:
    """Price the consumables of a proposed fleet: expected, and at a chosen risk, a year.

    PROPOSAL is a logbook without readings: machines, floors, positions, plans, parts.
    The contract begins with the first plan, or on --as-of. Into DIR go the offer for the client
    (quote.html, quote.xlsx) and the paper behind it (working.html, working.xlsx).
    """
    learned = [*learn_from, *more] if learn_from else []
    if bool(rates) == bool(learn_from) or (more and not learn_from):
        raise UnknownChoice("give either --rates FILE or --learn-from LOGBOOK")
    if not LEAST_RISK <= risk <= MOST_RISK:
        raise UnknownChoice(f"--risk {risk:g}: must be from {LEAST_RISK:g} to {MOST_RISK:g}")
    if output is not None:
        refuse_folder(output, [proposal, *learned])
    progress = Progress(quiet)
    progress("Reading the proposal")
    fleet = read([proposal], as_of, dates, proposal=True)
    progress("Learning the rates")
    known = [read_rates(each) for each in rates] or _learned_rates(learned, dates, asked)
    progress("Drawing the contract years")
    with blaming(rates):
        plain = price(fleet, known, years=years, risk=risk, hours=hours, **given(asked))
        result = plain if not cheapest else price(
            fleet, known, years=years, risk=risk, hours=hours, cheapest=True, **given(asked)
        )  # fmt: skip
    _refuse_nothing(result)
    if output is not None:
        write_quote(result, output, [proposal, *learned])
    progress.done()
    if as_json:
        _print_json(result)
    else:
        _print_price(result, quiet)
        _print_swaps(result, plain)
        _print_beside(result, compare)
    if not quiet:
        _print_findings(result)
    return SET_ASIDE if len(result.missing) else exit_code(result.told)


def _refuse_nothing(result: QuoteResult) -> None:
    """Stop where there is nothing to price: no hours, or no price."""
    if result.total["per_hour"].isna().all():
        raise UnusableTable(
            "no hours are planned for any machine of the proposal, so there is nothing to price; "
            "add a table plans with machine, start and hours_per_week"
        )
    if result.total["mean"].eq(0).all():
        raise UnusableTable(
            "no part of the proposal has a price; add a table parts with part and price, or save "
            "the rates with wearcast floors --save-rates FILE --with-prices"
        )


def _learned_rates(logbooks: Sequence[str], dates: str | None, asked: dict[str, object]) -> Fit:
    return fit(read(logbooks, None, dates), **given(asked))


def _print_json(result: QuoteResult) -> None:
    tables = {
        "quote": quote_table(result),
        "missing": result.missing,
        "priced_hours": result.hours,
        "learnt": result.learnt,
        "spread": result.spread,
        "sensitivity": result.sensitivity,
        "moves": result.moves,
        "units": result.units,
        "part_choice": result.parts,
        "swaps": result.swaps,
        "problems": problems_frame(result.told),
    }
    rows = {name: rows_for_json(name, frame) for name, frame in tables.items()}
    day, start = (each.strftime("%Y-%m-%d") for each in (result.choices.as_of, result.start))
    print_json(
        command="quote", as_of=day, start=start, years=result.years, risk=result.risk, **rows
    )


def _print_price(result: QuoteResult, quiet: bool) -> None:
    """The price by year, where its spread comes from and what the money goes to."""
    choices = result.choices
    money = f", in {choices.currency}" if choices.currency else ""
    for words in incomplete_words(result.missing):
        print_text(words, "  ")
    title = f"Consumables by contract year from {result.start:%Y-%m-%d}{money}; at chosen risk: "
    shown = [field for field in OUTPUTS["quote"] if choices.labour_rate or field.name not in _WORK]
    print_table(f"{title}enough in {100 * result.risk:g} of 100 cases", quote_table(result), shown)
    _print_offer(result)
    print_table(
        _HOURS
        if result.factor == 1
        else f"{_HOURS}: what if {result.factor:g} times those planned",
        result.hours,
        OUTPUTS["priced_hours"],
    )
    learnt = [field for field in OUTPUTS["learnt"] if field.name in result.learnt]
    print_table("What the rates were learnt from", result.learnt, learnt)
    print_table("Where the spread of the whole contract comes from", result.spread,
                OUTPUTS["spread"])  # fmt: skip
    print_table("What moves the price of the whole contract", result.sensitivity.head(MOST_STEPS),
                fields_named("sensitivity", _STEPS))  # fmt: skip
    moves = result.moves[result.moves["by"].isin(["part", "floor"])].groupby("by").head(MOST_MOVES)
    print_table("What the money goes to, most first", moves, OUTPUTS["moves"])
    print_columns(shown, quiet)


def _print_swaps(result: QuoteResult, plain: QuoteResult) -> None:
    """The parts that were put in place of the proposal's, if asked for, and what that saves."""
    if result is plain:
        return
    saved, chance = saving(plain.contract, result.contract)
    print_table("Parts that cost less, in place of the proposal's", result.swaps, OUTPUTS["swaps"])
    money = f" {result.choices.currency}" if result.choices.currency else ""
    print_text(
        f"They save {shown_number(saved, 2)}{money} over the contract; the chance that they save at"
        f" all is {shown_number(100 * chance, 0)} %. Whether they clean as well, and whether the"
        " machine's maker approves of them, is not considered."
        if len(result.swaps)
        else "The proposal has the cheapest part of its use at every position.",
        "  ",
    )


def _print_beside(result: QuoteResult, folder: str | None) -> None:
    """Both quotes' years, if another was named."""
    if folder is not None:
        table = side_by_side(result, Path(folder))
        print_table(f"Side by side with {folder}", table, OUTPUTS["side_by_side"])


def _print_offer(result: QuoteResult) -> None:
    """What the offer asks, if a margin is named."""
    margin = result.choices.margin
    if not margin:
        return
    rows = price_rows(
        offer_price(result.total, result.years, result.choices.margin), result.choices.currency
    )
    prices = ", ".join(f"{value} for {what}" for what, value in rows)
    print_text(f"Price with a margin of {100 * margin:g} %: {prices}.", "  ")
    click.echo()


def _print_findings(result: QuoteResult) -> None:
    """The heaviest findings, on stderr: no other command lists those of a quote."""
    told = heaviest_first(result.told)
    for each in told[:MOST_FINDINGS]:
        print_text(sentence(each), "  ", err=True)
    if len(told) > MOST_FINDINGS:
        more = len(told) - MOST_FINDINGS
        print_text(f"{more} more findings: in working.html with -o DIR, or --json.", err=True)
