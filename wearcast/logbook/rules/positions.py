"""Names of positions that stand for several.

What was done to the left and the right brush is two changes: a row for both is set aside, and
both places count as changed by hands unknown, so that no life is counted twice.
"""

import re
from collections.abc import Collection

import pandas as pd

from wearcast.logbook.findings.drafts import Drafts, Finding, gathered, settle
from wearcast.logbook.findings.places import among, place_keys
from wearcast.logbook.schema.spelling import fold, listed, tidy
from wearcast.logbook.schema.vocabulary import AND_WORDS

_AND = re.compile(rf"\s*[+&/,;]\s*|\s+(?:{'|'.join(AND_WORDS)})\s+", re.IGNORECASE)


def with_positions(drafts: Drafts) -> Drafts:
    """The drafts with such rows of changes settled."""
    return {**drafts, "changes": settle(drafts["changes"], gathered(_several(drafts)))}


def seats_of(drafts: Drafts) -> dict[str, set[str]]:
    """The positions of each machine, as the table positions and used changes name them."""
    rows = [drafts[name].used[["machine", "position"]] for name in ("positions", "changes")]
    places = pd.concat(rows).drop_duplicates()
    return {str(name): set(here) for name, here in places.groupby("machine")["position"]}


def positions_in(name: str, known: Collection[str]) -> list[str]:
    """The known positions that a name stands for: both of *left + right brush*; else none."""
    keys = {fold(one): one for one in known}
    parts = [part for part in _AND.split(tidy(name)) if part]
    if len(parts) > 1:
        last = parts[-1].split()[-1]
        found = [keys.get(fold(part)) or keys.get(fold(f"{part} {last}")) for part in parts]
        return [one for one in found if one] if all(found) else []
    words = set(tidy(name).casefold().split())
    fuller = [one for one in known if words < set(tidy(one).casefold().split())]
    return sorted(fuller) if len(fuller) > 1 else []


def _several(drafts: Drafts) -> list[Finding]:
    """Rows whose position stands for several of the machine's others."""
    if not _unlisted(drafts):
        return []
    changes = drafts["changes"].used
    own = _pairs(drafts["positions"].used)
    seats = seats_of(drafts)
    meant = {
        (machine, name): tuple(positions_in(name, seats[machine] - {name}))
        for machine, name in sorted(_pairs(changes) - own)
    }
    several: dict[tuple[str, tuple[str, ...]], list[int]] = {}
    pairs = zip(changes.index, changes["machine"], changes["position"], strict=True)
    for label, machine, name in pairs if any(meant.values()) else ():
        if meant.get((machine, name)):
            several.setdefault((name, meant[machine, name]), []).append(label)
    return [_on_several(rows, name, list(names)) for (name, names), rows in several.items()]


def _unlisted(drafts: Drafts) -> bool:
    """Whether a change is of a place that the table positions does not list."""
    listed, changed = place_keys(drafts)
    listed = listed[drafts["positions"].used_rows]
    return not among(changed[drafts["changes"].used_rows], listed).all()


def _pairs(rows: pd.DataFrame) -> set[tuple[str, str]]:
    """Machine and position of the rows."""
    return set(zip(rows["machine"], rows["position"], strict=True))


def _on_several(rows: list[int], name: str, meant: list[str]) -> Finding:
    if _AND.search(tidy(name)):
        wrong = f"stands for {listed(meant)} together; each is a change of its own"
        cure = "Write a row for each, or decide the phrase under did in a table words"
    else:
        wrong = f"can be {' or '.join(meant[:4])}"
        cure = "Write which one; for both, a row each"
    return Finding(rows, "position", "set aside", "row", wrong, cure)
