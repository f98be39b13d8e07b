"""The logbook tables of README, written from the one declaration.

``python -m tests.readme_tables`` writes them anew between the two marks; a test holds that
README says what `wearcast.logbook.schema.tables` says.
"""

from pathlib import Path

from wearcast.logbook.schema.tables import SETTINGS, TABLES, Column

README = Path(__file__).parent.parent / "README.md"
BEGIN = "<!-- tables: written by python -m tests.readme_tables -->"
END = "<!-- end of tables -->"


def column_line(column: Column) -> str:
    name = f"**{column.name}**" if column.needed else column.name
    unit = f" [{column.unit}]" if column.unit else ""
    choices = f" ({', '.join(column.choices)})" if column.choices else ""
    return f"| {name} | {column.meaning}{unit}{choices} |"


def tables_text() -> str:
    lines = [BEGIN, ""]
    for table in TABLES:
        lines += [f"### {table.name}", "", f"A row says: {table.says}.", ""]
        lines += ["| column | what it holds |", "|---|---|"]
        lines += [column_line(column) for column in table.columns] + [""]
    lines += ["### The settings", "", "| setting | meaning | unless said |", "|---|---|---|"]
    for setting in SETTINGS:
        choices = f" ({' / '.join(setting.choices)})" if setting.choices else ""
        lines.append(f"| {setting.name} | {setting.meaning}{choices} | {setting.default} |")
    return "\n".join([*lines, "", END])


def with_tables(readme: str) -> str:
    before, rest = readme.split(BEGIN)
    return before + tables_text() + rest.split(END)[1]


if __name__ == "__main__":
    README.write_text(with_tables(README.read_text(encoding="utf-8")), encoding="utf-8")
