"""How the cells of our workbooks look: one format for each kind of figure and its traits."""

from dataclasses import dataclass

from xlsxwriter import Workbook
from xlsxwriter.format import Format

TYPE = 10  # points
INK, SHADE, INPUT, MARK = "#1B4965", "#E3EDF3", "#FFF4CC", "#E69F00"
_NUMBERS = {
    "count": "#,##0",
    "pieces": "#,##0.0",
    "money": "#,##0.00",
    "rate": "#,##0.000",
    "hours": "#,##0.0",
    "number": "#,##0.00",
    "share": "0.0%",
    "date": "yyyy-mm-dd",
    "text": "@",
}


@dataclass(frozen=True, slots=True)
class Looks:
    """The formats of one workbook."""

    book: Workbook
    formats: dict[tuple[str, ...], Format]

    def of(self, kind: str, *traits: str) -> Format:
        """The format of a kind of figure, with traits: heading, input, bold, wrap, mark ..."""
        key = (kind, *sorted(traits))
        if key not in self.formats:
            self.formats[key] = self.book.add_format(_look(kind, set(traits)))
        return self.formats[key]

    def drawn(self, trait: str) -> Format:
        """What a trait alone adds to a cell that has a format already."""
        key = ("", trait)
        if key not in self.formats:
            self.formats[key] = self.book.add_format(_TRAITS[trait])
        return self.formats[key]


def looks_of(book: Workbook) -> Looks:
    """The formats of a workbook, made as they are first asked for."""
    return Looks(book, {})


_TRAITS: dict[str, dict[str, object]] = {
    "heading": {
        "bold": True, "font_color": "#FFFFFF", "bg_color": INK, "text_wrap": True,
        "valign": "vcenter", "border": 1, "border_color": "#FFFFFF",
    },
    "upright": {"rotation": 90, "align": "center"},
    "title": {"indent": 0, "bold": True, "font_size": 15, "font_color": INK},
    "input": {"bg_color": INPUT, "border": 1, "border_color": "#C9B458"},
    "line": {"bottom": 1, "bottom_color": "#9FB4C0"},
    "bold": {"bold": True},
    "total": {"bold": True, "top": 2, "top_color": INK},
    "sum": {"bold": True, "top": 1, "top_color": INK},
    "wrap": {"text_wrap": True},
    "pale": {"font_color": "#5B6B73"},
    "left": {"align": "left", "indent": 1},
    "flush": {"indent": 0},
    "formula": {"num_format": "General"},  # in a text cell it would turn into its own text
    "unsure": {"num_format": '#,##0"?"'},
    "short": {"font_color": "#B03A00", "bold": True},
    "mark": {"bg_color": MARK, "bold": True},
    "shade": {"bg_color": SHADE},
}  # fmt: skip


def _look(kind: str, traits: set[str]) -> dict[str, object]:
    look: dict[str, object] = {"valign": "top", "num_format": _NUMBERS[kind], "font_size": TYPE}
    look |= {"indent": 1, "align": "left"} if kind == "text" else {"align": "right"}
    for trait in sorted(traits):
        look |= _TRAITS[trait]
    return look
