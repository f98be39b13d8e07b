"""Whose files they are, and what lies in a folder."""

from pathlib import Path

from wearcast.reports.writing.ownership import Label

REPORT = Label("run1", "report", "0.1.0", "2026-10-31", 1, 100)
LATER = Label("run2", "report", "0.1.0", "2026-11-30", 1, 100)


def names(place: Path) -> list[str]:
    return sorted(path.name for path in place.iterdir())
