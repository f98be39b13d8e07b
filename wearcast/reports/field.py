"""One column of an output file, and the columns that many files have."""

from dataclasses import dataclass
from typing import Literal

Kind = Literal["text", "date", "count", "pieces", "money", "rate", "hours", "number", "share"]


@dataclass(frozen=True, slots=True)
class Field:
    """One column of an output file."""

    name: str
    kind: Kind
    heading: str
    """Heading for people."""
    note: str
    """One sentence that says what the figure means."""


PART = Field("part", "text", "Part", "The part's number or name in the catalogue.")
SITE = Field("site", "text", "Site", "Where the machine works.")
MACHINE = Field("machine", "text", "Machine", "The machine's own number or name.")
POSITION = Field("position", "text", "Position", "Where on the machine.")
WEAR_CLASS = Field("wears_as", "text", "Wears as", "Parts with the same word are fitted together.")
LEVEL = Field("level", "text", "Level", "What the row stands for: the fleet or a part of it.")
WHERE = Field("where", "text", "Where", "Which one of that level.")
PERIOD = Field("period", "text", "Period", "The quarter or year after as-of, or a month.")


def range_of(low: str, high: str, of: str, kind: Kind = "number") -> tuple[Field, Field]:
    """The two ends of a 90 % range."""
    return (
        Field(low, kind, "Low", f"Lower end of the 90 % range of {of}."),
        Field(high, kind, "High", f"Upper end of the 90 % range of {of}."),
    )


def quantile(name: str, kind: Kind, of: str) -> Field:
    """A quantile column named like ``p05`` or ``use_p05``."""
    percent = int(name[-2:])
    words = "as likely more as less" if percent == 50 else f"{percent} % chance of less"
    return Field(name, kind, f"P{percent:02d}", f"{of[:1].upper()}{of[1:]}: {words}.")
