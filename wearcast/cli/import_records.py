"""``wearcast import``: draft how records are read that were kept before anybody knew this tool."""

import shlex
from collections.abc import Sequence
from pathlib import Path

import click

from wearcast.cli import options
from wearcast.cli.asking import read
from wearcast.cli.telling import exit_code, print_json, print_text
from wearcast.errors import CannotWrite, UnusableTable
from wearcast.logbook.drafting.chosen import NEEDED
from wearcast.logbook.drafting.draft import MappingDraft, draft_mapping
from wearcast.logbook.drafting.mapping_book import mapping_book
from wearcast.logbook.mapping import read_mapping
from wearcast.logbook.sources.files import read_sheets
from wearcast.logbook.template import filled_logbook
from wearcast.reports.writing.folder import put_file


@click.command(name="import")
@click.argument("records", metavar="RECORDS...", nargs=-1, required=True)
@click.option(
    "-o",
    "--output",
    type=click.Path(),
    metavar="MAPPING.xlsx",
    help="Write the draft: the sheets columns and words, to look through and complete.",
)
@click.option(
    "--write",
    type=click.Path(),
    metavar="LOGBOOK.xlsx",
    help="Turn the records, read through their mapping, into a plain logbook once.",
)
@options.answering
def import_records(
    records: tuple[str, ...], output: str | None, write: str | None, as_json: bool, quiet: bool
) -> int:
    """Draft how the records you keep are read: which sheet feeds what, what each phrase means.

    RECORDS are workbooks, folders or text files as you keep them; they stay untouched. What is
    sure stands in the draft, blanks are for you. Then give records and mapping together to any
    command: wearcast report RECORDS... MAPPING.xlsx -o out. A mapping among RECORDS keeps what
    you decided, and the draft adds what is new.
    """
    if output is None and write is None:
        raise click.UsageError("say where the draft goes: -o MAPPING.xlsx")
    for name in (output, write):
        if name is not None and Path(name).suffix.lower() != ".xlsx":
            raise CannotWrite(f"{name}: this is written as a workbook; give a name ending in .xlsx")
    code, answer = 0, dict[str, object]()
    if output is not None:
        code, answer = _draft(records, output, as_json or quiet)
    if write is not None:
        through = [*records, output] if output is not None else list(records)
        written, counts = _write(through, write, as_json or quiet)
        code, answer = max(code, written), answer | counts
    if as_json:
        print_json(command="import", **answer)
    return code


def _draft(records: Sequence[str], output: str, silent: bool) -> tuple[int, dict[str, object]]:
    """Write the draft and say how far it goes."""
    sheets, _ = read_sheets(records)
    mapping, _ = read_mapping(sheets)
    draft = draft_mapping(sheets, mapping)
    if not draft.tables:
        cure = "Type a reading and a change a row into a blank logbook: wearcast new LOGBOOK.xlsx."
        raise UnusableTable(" ".join([*draft.told, cure]))
    put_file(mapping_book(draft), output, _never)
    if not silent:
        _tell(draft, records, output)
    whole = set(NEEDED) <= draft.tables
    return 0 if whole else 1, {
        "mapping": output,
        "phrases": draft.phrases,
        "decided": draft.decided,
        "told": list(draft.told),
    }


def _tell(draft: MappingDraft, records: Sequence[str], output: str) -> None:
    left = draft.phrases - draft.decided
    yours = f"{left} for you" if left else "none left for you"
    if draft.phrases:
        click.echo(f"{draft.decided} of {draft.phrases} phrases decided, {yours}.")
    for words in draft.told:
        print_text(f"- {words}", "  ")
    given = shlex.join(records)
    sheets = ["columns"] * any(row.open for row in draft.columns) + ["words"] * bool(left)
    look = (
        f"complete the yellow rows of its sheet {' and '.join(sheets)}"
        if sheets
        else "look it through"
    )
    print_text(f"{output} is ready: {look}, then run wearcast check {given} {output}")


def _write(records: Sequence[str], write: str, silent: bool) -> tuple[int, dict[str, object]]:
    """Write the plain logbook and say what it holds."""
    book = read(records, None, None)
    changes = book.changes[book.changes["observed"]]
    filled = filled_logbook({"readings": book.readings, "changes": changes})
    put_file(filled, write, _never)
    aside = sum(tally.set_aside for tally in book.tallies)
    if not silent:
        holds = f"{write} holds {len(book.readings)} readings and {len(changes)} changes"
        left = f"; {aside} rows were set aside: see wearcast check" if aside else ""
        print_text(f"{holds}{left}")
    return exit_code(book.told), {
        "logbook": write,
        "readings": len(book.readings),
        "changes": len(changes),
        "set_aside": aside,
    }


def _never(content: bytes) -> bool:  # noqa: ARG001 (whatever it holds)
    """A workbook that is there already is somebody's work."""
    return False
