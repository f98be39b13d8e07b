"""What README shows and does not write itself: the tables, and what its example prints.

``python -m tests.readme`` writes both anew: the tables from the one declaration, the outputs by
running the example. Tests hold that nothing has to be written.
"""

import contextlib
import io
import os
from doctest import DocTestParser, Example
from pathlib import Path

from wearcast.logbook.schema.tables import SETTINGS, TABLES, Column

ROOT = Path(__file__).parents[1]
README = ROOT / "README.md"
TABLE_MARKS = ("<!-- tables: written by python -m tests.readme -->", "<!-- end of tables -->")
EXAMPLE_MARKS = (
    "<!-- example: outputs written by python -m tests.readme -->",
    "<!-- end of example -->",
)


def between(text: str, marks: tuple[str, str]) -> tuple[str, str, str]:
    """The text before, between and after two marks, which stay with the outer ones."""
    before, rest = text.split(marks[0])
    inside, after = rest.split(marks[1])
    return before + marks[0], inside, marks[1] + after


def column_word(column: Column) -> str:
    return f"**{column.name}**" if column.needed else column.name


def with_tables(text: str) -> str:
    before, _, after = between(text, TABLE_MARKS)
    lines = ["", "| table | a row says | columns |", "|---|---|---|"]
    for table in TABLES:
        columns = ", ".join(map(column_word, table.columns))
        lines.append(f"| {table.name} | {table.says} | {columns} |")
    names = ", ".join(each.name for each in SETTINGS)
    lines += ["", f"The settings (`wearcast help settings`): {names}.", ""]
    return before + "\n".join(lines) + after


def run(example: Example, names: dict[str, object]) -> str:
    """What a person would see who types it."""
    shown = io.StringIO()
    with contextlib.redirect_stdout(shown):
        exec(compile(example.source, "README.md", "single"), names)
    return shown.getvalue()


def with_outputs(text: str) -> str:
    """The example with what it prints now; every `>>>` line is run, in order."""
    before, inside, after = between(text, EXAMPLE_MARKS)
    names: dict[str, object] = {}
    made = []
    for piece in DocTestParser().parse(inside):
        if isinstance(piece, str):
            made.append(piece)
        else:
            prompts = [
                "... " if number else ">>> " for number in range(len(piece.source.splitlines()))
            ]
            lines = zip(prompts, piece.source.splitlines(keepends=True), strict=True)
            made += [prompt + line for prompt, line in lines]
            made.append(run(piece, names))
    return before + "".join(made) + after


if __name__ == "__main__":
    os.chdir(ROOT)
    text = README.read_text(encoding="utf-8")
    README.write_text(with_outputs(with_tables(text)), encoding="utf-8")
