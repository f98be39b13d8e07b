"""Options that several commands share, each declared once."""

import re
from collections.abc import Callable
from datetime import date
from typing import Any

import click

Command = Callable[..., int]


class IsoDate(click.ParamType[date]):
    """A date such as 2026-10-31."""

    name = "date"

    def convert(
        self, value: object, param: click.Parameter | None, ctx: click.Context | None
    ) -> date:
        """The date, or a usage error."""
        try:
            return date.fromisoformat(str(value))
        except ValueError:
            self.fail(f"{value!r} is not a date like 2026-10-31", param, ctx)


class Number(click.ParamType[float]):
    """A number."""

    name = "number"

    def convert(
        self, value: object, param: click.Parameter | None, ctx: click.Context | None
    ) -> float:
        """The number, or a usage error."""
        try:
            return float(str(value))
        except ValueError:
            self.fail(f"{value!r} is not a number", param, ctx)


class Share(click.ParamType[float]):
    """A chance, written 0.95 or 95 %."""

    name = "share"

    def convert(
        self, value: object, param: click.Parameter | None, ctx: click.Context | None
    ) -> float:
        """The chance as a share of 1, or a usage error."""
        text = str(value).strip()
        try:
            share = float(text.removesuffix("%")) / (100 if text.endswith("%") else 1)
        except ValueError:
            share = -1.0
        if not 0 < share < 1:
            self.fail(f"{value!r} is not a chance such as 0.95 or 95%", param, ctx)
        return share


class PriceChange(click.ParamType[tuple[str, float]]):
    """A supplier and by how much its prices change, written ``Harbour Supply=5%``."""

    name = "price change"

    def convert(
        self, value: object, param: click.Parameter | None, ctx: click.Context | None
    ) -> tuple[str, float]:
        """The supplier and the change as a share of 1, or a usage error."""
        supplier, _, text = str(value).rpartition("=")
        found = re.fullmatch(r"\s*([+-]?[0-9]+(?:[.,][0-9]+)?)\s*%\s*", text)
        change = float(found[1].replace(",", ".")) / 100 if found else -1.0
        if not supplier.strip() or not change > -1:
            self.fail(f"{value!r} is not a change such as Supplier=5%", param, ctx)
        return supplier.strip(), change


class Quarter(click.ParamType[str]):
    """A calendar quarter; ``Q1 2027`` is read as 2027Q1."""

    name = "quarter"

    def convert(
        self,
        value: object,
        param: click.Parameter | None,  # noqa: ARG002 (click's signature)
        ctx: click.Context | None,  # noqa: ARG002 (click's signature)
    ) -> str:
        """The quarter, year first."""
        return re.sub(r"^\s*[Qq]([1-4])[-/ ]?([0-9]{4})\s*$", r"\2Q\1", str(value))


def logbooks(command: Command) -> Command:
    """The logbook or logbooks to read."""
    return click.argument("logbooks", metavar="LOGBOOK...", nargs=-1, required=True)(command)


def logbooks_or_workbook(command: Command) -> Command:
    """The logbook or logbooks to read, or an edited order in their place."""
    return _with(
        command,
        click.argument("logbooks", metavar="[LOGBOOK...]", nargs=-1),
        click.option("--from-workbook", type=click.Path(), metavar="FILE",
                     help="An order.xlsx as you edited it, in place of a logbook: write what was "
                     "approved, as CSV and as order documents."),
    )  # fmt: skip


def common(command: Command) -> Command:
    """What every command that computes takes."""
    return computing(1000)(command)


def computing(draws: int) -> Callable[[Command], Command]:
    """The same for a command that draws so many futures unless told otherwise."""
    return lambda command: _with(
        command,
        click.option("--as-of", type=IsoDate(), metavar="DATE", help="Stand on this day; rows "
                     "after it are left out. Default: the newest date in the logbook."),
        click.option("--dates", type=click.Choice(["day first", "month first"]),
                     help="How dates like 03/02 are meant, where the logbook leaves it open."),
        click.option("--seed", type=int, metavar="N",
                     help="Start of the random numbers.  [default: 1]"),
        click.option("--draws", type=int, metavar="N",
                     help=f"How many futures are drawn.  [default: {draws}]"),
        *_answer_options(),
    )  # fmt: skip


def answering(command: Command) -> Command:
    """What every command takes."""
    return _with(command, *_answer_options())


def _answer_options() -> tuple[Callable[[Command], Command], ...]:
    return (
        click.option("--json", "as_json", is_flag=True,
                     help="The answer as one JSON document on stdout."),
        click.option("-q", "--quiet", is_flag=True, help="No progress and no notes."),
    )  # fmt: skip


def window(command: Command) -> Command:
    """Which period is ordered for, and how surely."""
    return _with(
        command,
        click.option("--quarter", type=Quarter(), metavar="2027Q1",
                     help="Order to last to the end of this calendar quarter.  [default: until "
                     "the next order has come]"),
        click.option("--from", "order_from", type=IsoDate(), metavar="DATE",
                     help="Order for the weeks from this day on.  [default: the day after as-of, "
                     "where --weeks is given]"),
        click.option("--weeks", type=Number(), metavar="N",
                     help="How many weeks to order for.  [default: 13, where --from is given]"),
        click.option("--service-level", type=Share(), metavar="P",
                     help="Chance of no shortage until the next order arrives.  [default: 0.95]"),
        click.option("--compare", type=click.Path(), metavar="DIR",
                     help="An earlier report's folder: say what changed in the order."),
    )  # fmt: skip


def what_if(command: Command) -> Command:
    """What the order would be on other terms."""
    return _with(
        command,
        click.option("--ordering", type=click.Choice(["at once", "by date"]),
                     help="All lines go out at once, or each by its order-by date.  "
                     "[default: at once]"),
        click.option("--price-change", "price_changes", type=PriceChange(), multiple=True,
                     metavar="SUPPLIER=5%", help="What if a supplier changed its prices; may be "
                     "given several times."),
        click.option("--only-supplier", metavar="NAME", help="Show one supplier's lines only."),
        click.option("--only-depot", metavar="NAME", help="Show one depot's lines only."),
        click.option("--budget", type=Number(), metavar="MONEY",
                     help="Order for so much at most: what a shortage would cost most, first."),
    )  # fmt: skip


def hours(command: Command) -> Command:
    """What if the machines ran more, or less."""
    return click.option(
        "--hours", "hours_factor", type=Number(), metavar="F",
        help="What if: F times the hours ahead; a third shift beside two is 1.5.",
    )(command)  # fmt: skip


def due_weeks(command: Command) -> Command:
    """How far the due list looks ahead."""
    return click.option(
        "--due-weeks", type=Number(), metavar="N",
        help="How many weeks the due list looks ahead.  [default: 6]",
    )(command)  # fmt: skip


def site(command: Command) -> Command:
    """Which site is shown."""
    return click.option(
        "--site",
        metavar="SITE",
        help="Show this site only; the whole fleet is fitted all the same.",
    )(command)


def folder(needed: bool) -> Callable[[Command], Command]:
    """Where the files go."""
    return click.option(
        "-o", "--output", type=click.Path(), metavar="DIR", required=needed,
        help="Folder for the files; made if it is not there.",
    )  # fmt: skip


def _with(command: Command, *options: Callable[[Any], Any]) -> Command:
    """The command with the options, in the order given."""
    for option in reversed(options):
        command = option(command)
    return command
