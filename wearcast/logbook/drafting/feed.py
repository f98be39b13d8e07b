"""One table that a sheet feeds: its headings in our words, and where its words stand."""

from dataclasses import dataclass, replace
from typing import Literal

from wearcast.logbook.drafting.outline import Lane, Outline

Named = Literal["[sheet]", "[file]", ""]
"""What names the machine of a sheet without a column for it; blank: not sure."""
UNDECIDED = ""
DOWN = "[down]"
"""Behind a heading: a blank cell takes what stands above it."""
Pairs = list[tuple[str, str]]


@dataclass(frozen=True, slots=True)
class Feed:
    """One table that a sheet feeds."""

    table: str
    headings: tuple[tuple[str, str], ...]
    """(theirs, ours) in the order of the sheet; ours is blank where it is not sure."""
    words: tuple[tuple[str, tuple[Lane, ...]], ...] = ()
    """Our column and the lanes that hold its words; words of several lanes are joined."""
    unfolded: tuple[Lane, ...] = ()
    """Lanes of a grid, each by itself; their headings are words too."""
    site: Lane | None = None
    """The lane of the site where the machine works."""
    sure: bool = True
    """False where the person has to complete its headings."""

    def with_machine(self, theirs: str) -> "Feed":
        """The feed with something in front of the machine's number."""
        pairs = list(self.headings)
        at = next(place for place, (_, ours) in enumerate(pairs) if ours == "machine")
        return replace(self, headings=(*pairs[:at], (theirs, "machine"), *pairs[at:]))


Fed = list[tuple[Outline, Feed]]
"""Sheets with the tables that they feed."""
