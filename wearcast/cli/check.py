"""``wearcast check``: read and judge a logbook."""

from collections.abc import Sequence
from contextlib import suppress
from datetime import date

import click
import pandas as pd

from wearcast.cli import options
from wearcast.cli.asking import given, read
from wearcast.cli.rates_files import blaming, read_rates
from wearcast.cli.telling import (
    SET_ASIDE,
    Progress,
    exit_code,
    print_json,
    print_table,
    print_text,
    printable,
    text_lines,
)
from wearcast.decisions.quotes import QuoteResult
from wearcast.errors import (
    NothingToFit,
    NothingWritten,
    UnknownChoice,
    UnusableTable,
    WearcastError,
)
from wearcast.forecast import forecast
from wearcast.history.story import read_history
from wearcast.logbook.book import Logbook
from wearcast.logbook.choices import Asked
from wearcast.quote import quote
from wearcast.reports.fields import OUTPUTS
from wearcast.reports.frames import heaviest_first, problems_frame, rows_for_json
from wearcast.reports.incomplete import incomplete_words
from wearcast.reports.marked import write_marked
from wearcast.told import Problem, Tally, recount, sentence

FEW_DRAWS = 50
"""Findings do not depend on how many futures are drawn."""


@click.command()
@options.logbooks
@click.option(
    "--marked",
    type=click.Path(),
    metavar="COPY.xlsx",
    help="Write a copy of the workbook with the cells in question marked and explained.",
)
@click.option(
    "--proposal",
    is_flag=True,
    help="The logbook is a proposal for wearcast quote: no readings, no changes.",
)
@click.option("--rates", type=click.Path(), multiple=True, metavar="rates.json",
              help="With --proposal: tell what a quote by them would lack or guess.")  # fmt: skip
@options.computing(FEW_DRAWS)
def check(
    logbooks: tuple[str, ...],
    marked: str | None,
    proposal: bool,
    rates: tuple[str, ...],
    as_of: date | None,
    dates: str | None,
    as_json: bool,
    quiet: bool,
    **asked: object,
) -> int:
    """Read a logbook and list what was set aside, repaired or is worth knowing."""
    if rates and not proposal:
        raise UnknownChoice("--rates goes with --proposal: it tells what a quote would lack")
    progress = Progress(quiet)
    progress("Reading the logbook")
    try:
        book = read(logbooks, as_of, dates, proposal=proposal)
    except NothingWritten as blank:
        return _on_blank(logbooks, str(blank), marked, as_json)
    except UnusableTable as stop:
        if proposal or not _proposes(logbooks, dates):
            raise
        hint = "if this is a proposal for wearcast quote, check it with --proposal"
        raise UnusableTable(f"{str(stop).rstrip('.')}; {hint}.") from stop
    progress("Looking for what does not fit")
    quoted = _quoted(book, rates, given(asked)) if rates else None
    told = _tell_proposal(book, quoted) if proposal else _all_told(book, given(asked))
    progress.done()
    tallies = recount(book.tallies, set(told) - set(book.told))
    if marked is not None:
        write_marked(logbooks, told, marked)
    if as_json:
        _print_json(book, tallies, told, quoted)
    else:
        _print_tallies(book, tallies)
        _print_quoted(quoted)
        _print_findings(told)
    return SET_ASIDE if quoted and len(quoted.missing) else exit_code(told)


def _proposes(logbooks: tuple[str, ...], dates: str | None) -> bool:
    """Whether the logbook carries parts but has neither readings nor changes: a proposal."""
    with suppress(WearcastError):
        book = read(logbooks, None, dates, proposal=True)
        return book.readings.empty and book.changes.empty and not book.positions.empty
    return False


def _on_blank(logbooks: tuple[str, ...], words: str, marked: str | None, as_json: bool) -> int:
    """A logbook that nobody has begun holds no fault."""
    if marked is not None:
        write_marked(logbooks, [], marked)
    if as_json:
        print_json(command="check", as_of=None, tables=[], problems=[])
    else:
        click.echo(words[:1].upper() + words[1:])
    return 0


def _all_told(book: Logbook, asked: Asked) -> list[Problem]:
    """Every finding that a report on this logbook would list, heaviest first."""
    wanted: Asked = {"draws": FEW_DRAWS, **asked}
    try:
        told = {*forecast(book, **wanted).told}
    except NothingToFit:
        told = {*book.told, *read_history(book).told}
    return heaviest_first(told)


def _quoted(book: Logbook, rates: Sequence[str], asked: Asked) -> QuoteResult:
    """What a quote of one year would be: its gaps do not depend on how many futures are drawn."""
    wanted: Asked = {"draws": FEW_DRAWS, **asked}
    known = [read_rates(each) for each in rates]
    with blaming(rates):
        return quote(book, known, years=1, **wanted)


def _tell_proposal(book: Logbook, quoted: QuoteResult | None) -> list[Problem]:
    """Every finding on a proposal, heaviest first."""
    if quoted is not None:
        return heaviest_first(set(quoted.told))
    happened = () if pd.isna(book.as_of) else read_history(book).told
    return heaviest_first({*book.told, *happened})


def _print_json(
    book: Logbook, tallies: tuple[Tally, ...], told: list[Problem], quoted: QuoteResult | None
) -> None:
    gaps = {} if quoted is None else {"missing": rows_for_json("missing", quoted.missing)}
    print_json(
        command="check",
        as_of=_day_words(book) or None,
        tables=[each._asdict() for each in tallies],
        problems=rows_for_json("problems", problems_frame(told)),
        **gaps,
    )


def _day_words(book: Logbook) -> str:
    """The as-of date; blank for a proposal that gives none."""
    return "" if book.as_of != book.as_of else f"{book.as_of:%Y-%m-%d}"


def _standing(book: Logbook) -> str:
    """The day the logbook stands on; of a proposal the day its contract starts."""
    if not book.proposal:
        return f"As of {_day_words(book)}"
    if pd.isna(book.as_of):
        return "Contract from no date: a row in plans gives it"
    return f"Contract from {_day_words(book)}"


def _print_tallies(book: Logbook, tallies: tuple[Tally, ...]) -> None:
    """What became of the rows of each table."""
    click.echo(_standing(book))
    names = ["source", "table", "read", "used", "set aside", "ignored"]
    names += ["skipped"] if any(each.skipped for each in tallies) else []
    cells = ([str(cell) for cell in each[: len(names)]] for each in tallies)
    columns = list(zip(names, *cells, strict=True))
    for line in text_lines(columns, [True, True, *[False] * (len(names) - 2)]):
        click.echo(line)
    click.echo()


def _print_quoted(quoted: QuoteResult | None) -> None:
    """What a quote would lack or guess, and the hours it would price."""
    if quoted is None:
        return
    for words in incomplete_words(quoted.missing) or ["A quote by these rates lacks nothing."]:
        print_text(words, "  ")
    click.echo()
    print_table("Hours a week as priced", quoted.hours, OUTPUTS["priced_hours"])


def _print_findings(told: list[Problem]) -> None:
    """Every finding in a line of its own, under what was done."""
    for severity, title in (
        ("set aside", "Set aside"),
        ("repaired", "Repaired"),
        ("note", "Worth knowing"),
    ):
        found = [each for each in told if each.severity == severity]
        if found:
            click.echo(f"{title} ({len(found)})")
        for each in found:
            click.echo(f"  {printable(sentence(each))}")
    if not told:
        click.echo("Nothing to report: every row was used as it stands.")
