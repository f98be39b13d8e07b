"""Names of positions that stand for several, or that one position had before and after a day.

What was done to the left and the right brush is two changes: a row for both is set aside, and
both places count as changed by hands unknown, so that no life is counted twice.
"""

import re
from collections.abc import Collection

import pandas as pd

from wearcast.logbook.findings.drafts import Draft, Drafts, Finding, gathered, settle
from wearcast.logbook.findings.places import among, place_keys
from wearcast.logbook.schema.names import kind_of
from wearcast.logbook.schema.spelling import fold, listed, tidy
from wearcast.logbook.schema.vocabulary import AND_WORDS, KIND_NOUNS

_AND = re.compile(rf"\s*[+&/,;]\s*|\s+(?:{'|'.join(AND_WORDS)})\s+", re.IGNORECASE)
FEWEST = 2
"""Changes under either name from which one may have become the other; chosen here."""


def with_positions(drafts: Drafts) -> Drafts:
    """The drafts with such rows of changes settled."""
    changes = settle(drafts["changes"], gathered(_several(drafts)))
    drafts = {**drafts, "changes": changes}
    return {**drafts, "changes": settle(changes, gathered(_renamed(drafts)))}


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


def _renamed(drafts: Drafts) -> list[Finding]:
    """Positions that begin, on all their machines, where another one of their kind ends."""
    findings = []
    changes = drafts["changes"].used
    for old, new in renamed_positions(drafts):
        rows = changes.index[changes["position"].eq(new)]
        wrong = f"begins where {old} ends, on every machine; one may have become the other"
        cure = f"If so, write one name, or {old} and {new} in a table words (changes, position);"
        cure += " if not, list both in the table positions"
        findings.append(Finding(rows, "position", "set aside", "kept", wrong, cure))
    return findings


def renamed_positions(drafts: Drafts) -> list[tuple[str, str]]:
    """Pairs of names, the second of which seems to have taken the place of the first."""
    known = drafts["changes"].known
    if "spans" not in known:
        known["spans"] = _spans(drafts["changes"])
    spans: pd.DataFrame = known["spans"]
    spans = spans[spans["size"].ge(FEWEST)]
    if spans.empty or spans["max"].min() >= spans["min"].max():
        return []  # none ends before another one begins
    changes = drafts["changes"].used
    changes = changes[changes["date"].notna()]
    declared = set(drafts["positions"].used["position"])
    seats = {str(name): set(here) for name, here in changes.groupby("position")["machine"]}
    pairs = []
    for new in map(str, spans.index):
        before = spans.index[spans["max"].lt(spans["min"][new])]
        olds = [old for old in map(str, before) if _alike(new, old, seats, declared)]
        if len(olds) == 1:
            pairs.append((olds[0], new))
    return pairs


def _spans(changes: Draft) -> pd.DataFrame:
    """From when to when each position is dated, and how often: min, max, size; by its name."""
    names = changes.coded("position")
    dates = changes.frame["date"]
    rows = changes.used_rows & dates.notna().to_numpy()
    codes = names.codes
    if not rows.all():
        codes, dates = codes[rows], dates[rows]
    spans = dates.groupby(codes).agg(["min", "max", "size"])
    return spans.set_axis(pd.Index(names.names[spans.index.to_numpy()], dtype=object))


def _alike(new: str, old: str, seats: dict[str, set[str]], declared: set[str]) -> bool:
    """Whether two names differ in their noun alone, on the same machines, not both declared."""
    same = len(seats[new] & seats[old]) * 2 > len(seats[new])
    kind = kind_of(new)
    placed = _placement(new) == _placement(old) and kind == kind_of(old) != "other"
    return same and placed and not {new, old} <= declared


def _placement(name: str) -> list[str]:
    """The words of a position but for its nouns, in any order: front, left."""
    nouns = {noun.strip() for _, names in KIND_NOUNS for noun in names}
    words = re.findall(r"[^\W_]+", tidy(name).casefold())
    return sorted(word for word in words if word.removesuffix("s") not in nouns)
