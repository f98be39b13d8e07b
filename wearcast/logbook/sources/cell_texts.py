"""What a cell says, whatever its type: its text, or that it holds nothing."""

from wearcast.logbook.schema.spelling import tidy
from wearcast.logbook.schema.vocabulary import DITTO_WORDS, ERROR_WORDS, MISSING_WORDS
from wearcast.logbook.sources.sheet import CellError

_MARKS = "-?\"'.^\u2013\u2014\u201c\u201d\u3003 "
"""A text of these alone stands for nothing; two small strokes mean the cell above."""
LONGEST_MARK = 12
"""Letters of a word for nothing, or for the cell above."""


def text_of(cell: object) -> str:
    """The cell as the person sees it."""
    if isinstance(cell, str):
        return cell
    if cell is None:
        return ""
    if isinstance(cell, bool):
        return "TRUE" if cell else "FALSE"
    if isinstance(cell, float):
        return str(int(cell)) if cell.is_integer() and abs(cell) < 1e15 else repr(cell)
    return str(cell).removesuffix(" 00:00:00")


def is_empty(cell: object) -> bool:
    """Whether the cell holds blanks only."""
    return isinstance(cell, str) and not cell[:1].isalnum() and not tidy(cell)


def says_ditto(cell: object) -> bool:
    """Whether the cell says that the one above it holds here too."""
    if not isinstance(cell, str) or len(cell) > LONGEST_MARK:
        return False
    word = cell.strip().lower()
    marked = '"' in word or "''" in word or bool({*word} & {*"\u201c\u201d\u3003"})
    return (marked and not word.strip(_MARKS)) or word in DITTO_WORDS


def says_missing(cell: object) -> bool:
    """Whether the cell holds a word or an error that says there is nothing."""
    if isinstance(cell, CellError):
        return True
    if not isinstance(cell, str) or len(cell) > LONGEST_MARK:
        return False
    word = cell.strip().lower()
    only_marks = bool(word) and not word.strip(_MARKS)
    return only_marks or word in MISSING_WORDS or word in ERROR_WORDS
