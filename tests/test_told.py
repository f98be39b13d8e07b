"""How findings are worded and where they are said to stand."""

from wearcast.told import Problem, Tally, sentence, with_sources


def found(source: str, table: str) -> Problem:
    return Problem(source, table, (), "", "", "note", "x", "")


def test_a_finding_that_knows_its_table_alone_gets_the_tables_file():
    tallies = [
        Tally("a/parts.csv", "parts", 1, 1, 0, 0),
        Tally("a/stock.csv", "stock", 1, 1, 0, 0),
        Tally("b/stock.csv", "stock", 1, 1, 0, 0),
    ]
    told = [found("", "parts"), found("parts", "parts"), found("stock", "stock"),
            found("", "plans"), found("a/x.csv", "parts")]  # fmt: skip
    assert [each.source for each in with_sources(told, tallies)] == [
        "a/parts.csv", "a/parts.csv", "logbook", "logbook", "a/x.csv",
    ]  # fmt: skip


def test_a_sentence_names_forty_rows_and_counts_the_rest():
    rows = tuple(range(2, 100, 2))
    finding = Problem("changes.csv", "changes", rows, "cause", "", "note", "blank", "Write why")
    assert sentence(finding).startswith("changes.csv, rows 2, 4, 6, ")
    assert ", 80 and 9 more, cause: blank. Write why." in sentence(finding)
