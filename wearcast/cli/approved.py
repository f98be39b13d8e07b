"""``wearcast order --from-workbook``: what was approved, for a purchasing system."""

from pathlib import Path

import click

from wearcast.cli.telling import print_json, print_table, print_text
from wearcast.reports.fields import fields_named
from wearcast.reports.frames import rows_for_json
from wearcast.reports.order.approved import Approved, read_approved
from wearcast.reports.order.approved_files import approved_table, write_approved
from wearcast.reports.order.document import currency_code

_COLUMNS = (
    "order_number", "goes_out", "supplier", "line", "part", "depot", "packs", "pieces",
    "unit_price", "line_total", "wanted",
)  # fmt: skip


def hand_over(workbook: str, output: str | None, as_json: bool, quiet: bool) -> int:
    """Write the approved order of an edited workbook and show it.

    Parameters
    ----------
    workbook : str
        An edited order.xlsx.
    output : str, optional
        The folder to write; without it ``approved`` beside the workbook.
    as_json, quiet : bool
    """
    approved = read_approved(workbook)
    folder = Path(output) if output is not None else Path(workbook).parent / "approved"
    written = write_approved(approved, folder, workbook)
    table = approved_table(approved)
    if as_json:
        print_json(command="order", approved=rows_for_json("approved", table))
        return 0
    print_table("Approved", table, fields_named("approved", _COLUMNS))
    currency = next(iter(table["currency"]), "")
    click.echo(f"Total {table['line_total'].sum():,.2f} {currency}".rstrip())
    if not quiet:
        print_text(f"Written to {folder}: {', '.join(written.files)}.", err=True)
        for words in _doubts(approved):
            print_text(words, err=True)
    return 0


def _doubts(approved: Approved) -> list[str]:
    """What the documents cannot say as it stands."""
    lines, words = approved.lines, []
    if approved.left_out:
        words.append(f"Proposed, and not ordered: {'; '.join(approved.left_out)}.")
    if not approved.signed:
        words.append("Nobody has signed on the sheet Approve: nothing says that this is approved.")
    if not approved.sender:
        words.append("Nobody is named as From on the sheet Addresses; the documents say so.")
    bare = int(lines["line_total"].isna().sum())
    if bare:
        words.append(f"Lines without a price: {bare}; the total leaves them out.")
    currency = next(iter(lines["currency"]), "")
    if len(lines) and currency_code(currency) != currency:
        words.append(
            f'The currency "{currency}" is no ISO 4217 code such as EUR; the documents say XXX.'
        )
    return words
