"""The declaration of the tables as a whole: other people's logbooks rely on every bound in it."""

import pytest

from wearcast.logbook.findings.drafts import IMPORTANCE
from wearcast.logbook.schema.tables import BY_NAME, EDGES_BY_KIND, KINDS, SETTINGS, TABLES, Column


def line_of(column: Column) -> str:
    """What a column may hold, in one line; a bound or mark that is not set is left out."""
    marks = {
        "needed": column.needed, "holds row": column.holds_row, "low": column.low,
        "high": column.high, "unit": column.unit, "choices": column.choices,
        "refers": column.refers, "unknown is": column.unknown_is,
    }  # fmt: skip
    unset = (None, False)  # by identity: a bound of 0 is one
    said = [
        f"{name} {value}"
        for name, value in marks.items()
        if value not in ("", ()) and not any(value is one for one in unset)
    ]
    return f"  {column.name}: {', '.join([column.kind, *said])}"


def test_what_each_column_and_setting_may_hold_is_as_it_was(golden):
    lines = []
    for table in TABLES:
        lines += [table.name, *map(line_of, table.columns), f"  words: {', '.join(table.texts)}"]
    lines.append("every setting")
    for one in SETTINGS:
        ends = f"{one.low} to {one.high}" if one.low is not None else ", ".join(one.choices)
        lines.append(f"  {one.name}: {one.kind}, {ends or 'any'}; else {one.default or 'nothing'}")
    golden("declaration.txt", "\n".join(lines) + "\n")


def test_names_are_picked_from_the_first_column_of_their_table():
    # The drop-downs of the blank logbook rely on it.
    referred = {column.refers for table in TABLES for column in table.columns} - {""}
    firsts = {f"{table.name}.{table.columns[0].name}" for table in TABLES}
    assert referred <= firsts


@pytest.mark.parametrize(("kind", "edges"), [("blade", 4), ("pad", 2), ("brush", 1), ("other", 1)])
def test_a_part_that_says_nothing_else_has_the_edges_of_its_kind(kind, edges):
    # Common practice, no source: a blade is turned to each of its four edges, a pad to its back.
    assert EDGES_BY_KIND[kind] == edges
    assert set(EDGES_BY_KIND) == set(BY_NAME["parts"].column("kind").choices) == set(KINDS)


def test_every_table_has_its_importance():
    assert set(IMPORTANCE) == set(BY_NAME)
