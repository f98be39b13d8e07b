"""Files of saved rates, as they are named on the command line."""

import json
import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

from wearcast.decisions.quoting.learnt import sound_document
from wearcast.errors import UnreadableFile
from wearcast.reports.writing.ownership import refuse_other_than_file

MOST_BYTES = 50_000_000
"""Of a rates file; 100,000 spells take a fifth of it."""
_ODD = (ArithmeticError, AttributeError, LookupError, TypeError, ValueError)
"""What numbers and tables raise that are not what they should be."""


def read_rates(path: str) -> dict[str, object]:
    """A rates document as `wearcast floors --save-rates` wrote it."""
    place = Path(path)
    try:
        refuse_other_than_file(place, MOST_BYTES)
        document = json.loads(place.read_text(encoding="utf-8"), parse_constant=_no_number)
        json.dumps(document, ensure_ascii=False).encode()  # half a letter cannot be written
    except OSError as error:
        raise UnreadableFile(
            f"{path} cannot be opened ({error.strerror}); check the name"
        ) from error
    except (ValueError, RuntimeError) as error:  # nested without end, a link in a circle
        raise UnreadableFile(
            f"{path} is not a rates file; save one with wearcast floors"
        ) from error
    if not isinstance(document, dict):
        raise UnreadableFile(f"{path} is not a rates file; save one with wearcast floors")
    try:
        sound_document(document)
    except UnreadableFile as error:
        raise UnreadableFile(f"{path}: {error}") from error
    return document


def _no_number(text: str) -> float:
    """NaN and Infinity, which JSON does not know and no rates file of ours holds."""
    raise ValueError(text)


@contextmanager
def blaming(paths: Sequence[str]) -> Iterator[None]:
    """A rates file may hold anything; what it leads to is told of it."""
    try:
        yield
    except _ODD as error:
        if not paths or sys.flags.dev_mode:
            raise
        raise UnreadableFile(
            f"{', '.join(paths)} cannot be priced by ({type(error).__name__}: {error}); if"
            " another program made it, save the rates anew with wearcast floors"
        ) from error
