"""Rules within one table: rows that stand twice, and rows that contradict each other.

What a meter's curve contradicts is judged where the curve is made (`wearcast.history.meters`).
"""

import pandas as pd

from wearcast.errors import UnusableTable
from wearcast.logbook.findings.coded import coded, key_of
from wearcast.logbook.findings.drafts import Draft, Finding, gathered, one_a_group
from wearcast.logbook.rules.batches import batch_machines, without_own_hours
from wearcast.logbook.rules.whole_tables import FACTS
from wearcast.logbook.schema.spelling import listed
from wearcast.told import row_words

KEYS: dict[str, tuple[str, ...]] = {
    "machines": ("machine", "since"),
    "parts": ("part", "from_pieces"),
    "positions": ("machine", "position"),
    "plans": ("machine", "start"),
    "suppliers": ("supplier",),
    "depots": ("depot",),
    "settings": ("setting",),
    "columns": ("table", "sheet", "theirs"),
}
"""What may stand only once in a table."""
TWO_PARTS = "If two parts were changed, give each position a name, or write pieces 2"
"""What rows may mean that say the same deed twice."""
TWO_SHIFTS = "If two shifts are meant, write their hours together into one row"
BLANK_IS = {"from_pieces": 1.0, "pieces": 1.0}
"""What a blank cell says in columns where it says something."""


def duplicate_rows(draft: Draft) -> list[Finding]:
    """Rows that stand twice: the later ones are not counted."""
    columns = [column.name for column in draft.table.columns]
    used = draft.used
    if len(used) < 2 or draft.table.name in FACTS:
        return []
    needed = [one.name for one in draft.table.columns if one.needed and one.kind != "number"]
    alike = used[draft.alike(needed)]
    twice = alike.index[alike.duplicated(columns, keep="first")]
    if draft.table.name == "changes" and len(twice):
        twice = twice.difference(_as_many_deeds(used, twice))
    if twice.empty:
        return []
    wrong = "the same row stands in the table already; it was counted once"
    cure = {"changes": TWO_PARTS, "plans": TWO_SHIFTS}.get(draft.table.name, "")
    return [Finding(twice, "", "note", "ignored", wrong, cure, "")]


def _as_many_deeds(used: pd.DataFrame, twice: pd.Index) -> pd.Index:
    """Equal rows of one sheet that are as many deeds: written together, later."""
    rows = used.loc[twice]
    used = used[used["machine"].isin(rows["machine"])]  # each machine is told by its own rows
    place = key_of([coded(used[name].to_numpy()) for name in ("machine", "position")])
    batches = batch_machines(used, place)
    rows = rows[rows["machine"].isin(batches) & without_own_hours(used)[rows.index]]
    once_a_sheet = used.drop_duplicates([*_DEED, "origin"]).index
    return rows.index.difference(once_a_sheet)


_DEED = ("machine", "date", "position", "action", "part", "cause")


def contradictions(draft: Draft) -> list[Finding]:
    """Rows that say different things about what may stand only once: all are set aside."""
    key = KEYS.get(draft.table.name)
    used = draft.used
    if key is None or len(used) < 2:
        return []
    used = used.fillna({name: one for name, one in BLANK_IS.items() if name in used})
    clashing = used[used.duplicated(list(key), keep=False)]
    _refuse_two_sites(draft, clashing)

    def word(name: tuple[object, ...], rows: pd.DataFrame) -> Finding:
        subject = " ".join(str(part) for part in name if isinstance(part, str))
        wrong = f"{_places(rows)} say different things about {subject}"
        remedy = "Keep the right one"
        if draft.table.name == "machines":
            remedy += ", or give the later one a date under since"
        if draft.table.name == "plans":
            remedy += f". {TWO_SHIFTS}"
        return Finding(rows.index, _differing(draft, rows), "set aside", "row", wrong, remedy)

    return one_a_group(clashing, key, word)


def _places(rows: pd.DataFrame) -> str:
    """Where rows stand; the file is named only if there are several."""
    if len(set(rows["source"])) == 1:
        return row_words(rows["row"])
    pairs = sorted(zip(rows["source"], rows["row"], strict=True))
    return " and ".join(f"{source} row {row}" for source, row in pairs)


def _differing(draft: Draft, rows: pd.DataFrame) -> str:
    """The first column in which the rows differ, one that they all fill if there is any."""
    names = [column.name for column in draft.table.columns]
    unlike = [name for name in names if not rows.duplicated([name], keep=False).all()]
    filled = (name for name in unlike if rows[name].notna().all() and rows[name].ne("").all())
    return next(filled, unlike[0])


def _refuse_two_sites(draft: Draft, clashing: pd.DataFrame) -> None:
    """One machine name with two sites in two files is two machines: nothing can be told apart."""
    if draft.table.name != "machines":
        return
    named = clashing[clashing["site"].ne("")]
    kinds = named.groupby(["machine", "since"], dropna=False)[["site", "source"]]
    two = named[kinds.transform("nunique").gt(1).all(axis=1)].sort_values("machine")
    if len(two):
        machine = two["machine"].iloc[0]
        sites = two[two["machine"].eq(machine)].groupby("site")["source"].first()
        where = " and ".join(f"{site} in {source}" for site, source in sites.items())
        raise UnusableTable(
            f"machines: {machine} works at {where}; give each machine a name of its"
            " own, or a date under since if it moved, then run again."
        )


def backward_dates(draft: Draft, first: str, last: str) -> list[Finding]:
    """Rows whose last day comes before their first."""
    used = draft.used
    rows = used.index[used[last].lt(used[first])]
    if rows.empty:
        return []
    wrong, remedy = f"{last} comes before {first}", "Correct one of the two dates"
    return [Finding(rows, last, "set aside", "row", wrong, remedy)]


def hours_off_limits(draft: Draft) -> list[Finding]:
    """Planned hours that do not lie between their likely limits."""
    used = draft.used
    planned = used["hours_per_week"]
    rows = used.index[used["hours_low"].gt(planned) | used["hours_high"].lt(planned)]
    if rows.empty:
        return []
    wrong = "the hours do not lie between hours_low and hours_high; both count as blank"
    return [
        Finding(rows, "hours_low", "set aside", "cell", wrong, "Correct the limits"),
        Finding(rows, "hours_high", "set aside", "cell", wrong, quiet=True),
    ]


def replaced_in_circles(draft: Draft) -> list[Finding]:
    """Parts that come back to themselves by ``replaced_by``: none of them would be ordered."""
    used = draft.used
    lines = used[used["replaced_by"].ne("")]
    by = dict(zip(lines["part"], lines["replaced_by"], strict=True))
    circles = {tuple(sorted(_ring_of(part, by))) for part in by} - {()}
    findings = []
    for ring in sorted(circles):
        names = " and ".join(ring) if len(ring) < 3 else listed(ring)
        how = "replace each other in a circle" if len(ring) > 1 else "is replaced by itself"
        rows = lines.index[lines["part"].isin(ring)]
        wrong = f"{names} {how}; the cell counts as blank"
        remedy = "Leave it blank at the part that is still sold"
        findings.append(Finding(rows, "replaced_by", "set aside", "cell", wrong, remedy))
    return gathered(findings)


def _ring_of(part: str, by: dict[str, str]) -> list[str]:
    """The parts from this one back to it; empty where there is no way back."""
    ring = [part]
    while by.get(ring[-1], part) != part and by[ring[-1]] not in ring:
        ring.append(by[ring[-1]])
    return ring if by.get(ring[-1]) == part else []
