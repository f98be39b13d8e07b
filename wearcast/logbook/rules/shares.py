"""Shares of a machine's hours on its floors: they sum to 1 for each machine and date.

Within 0.05 of 1 (or of 100) they are scaled; otherwise the whole set is set aside. Blank shares
split what is left equally. The first set of a machine reaches back to its beginning.
"""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pandas as pd

from wearcast.logbook.findings.drafts import SET_ASIDE, USED, Draft, Finding, one_a_group, settle

NEAR = 0.05
"""How far from 1 a sum may be and still be scaled."""
EXACT = 0.0015
"""Three thirds written with three decimals sum to 0.999: nothing to tell."""
_SET = ["machine", "since"]


def check_shares(draft: Draft) -> Draft:
    """The floors with shares that sum to 1, the first set of each machine without a date."""
    draft = settle(_with_company(draft), _broken_sets(draft))
    if draft.used.empty:
        return draft
    draft = _blanks_filled(draft)
    used = draft.used
    total = used.groupby(_SET, dropna=False)["share"].transform("sum")
    unit = pd.Series(np.where((total / 100 - 1).abs() <= NEAR + 1e-9, 100.0, 1.0), used.index)
    off = (total / unit - 1).abs()
    near = off <= NEAR + 1e-9
    draft = settle(draft, _on_dates(used[~near]))
    left = draft.used
    draft = settle(draft, _on_sums(left[~near[left.index]], total, "set aside"))
    draft = settle(draft, _on_sums(used[near & (off > EXACT)], total, "repaired"))
    frame = draft.frame.copy()
    good = used.index[near]
    frame.loc[good, "share"] = frame.loc[good, "share"] / total[good]
    for name in ("share_low", "share_high"):
        frame.loc[good, name] = frame.loc[good, name] / unit[good]
    draft = replace(draft, frame=frame)
    return _reaching_back(settle(draft, _off_limits(draft)))


def _broken_rows(draft: Draft) -> pd.DataFrame:
    """Rows of the sets in which a row was set aside and others are left that lack it.

    A row whose date cannot be read may belong to any set of its machine that is not whole.
    """
    frame = draft.frame
    if not frame["state"].eq(SET_ASIDE).any():
        return frame[:0]
    aside = frame["state"].eq(SET_ASIDE) & frame["machine"].ne("")
    used = frame["state"].eq(USED)
    lacking = used & ~_whole(_set_sums(frame, used))
    adrift = aside & frame["since"].isna() & draft.written["since"].ne("")
    broken = pd.Series(False, frame.index)
    for bad, key in ((aside, _SET), (adrift, ["machine"])):
        by = [frame[name] for name in key]
        both = pd.DataFrame({"bad": bad, "lacking": lacking}).groupby(by, dropna=False)
        found = both.transform("any").all(axis=1)
        broken |= found & (bad | lacking)
    return frame[broken]


def _set_sums(frame: pd.DataFrame, rows: pd.Series, by: Sequence[str] = ()) -> pd.Series:
    """What the shares of each row's set sum to; nan where one of them is blank."""
    key = [frame[name] for name in (*_SET, *by)]
    shares = frame["share"].where(rows, 0.0)
    total = shares.groupby(key, dropna=False).transform("sum")
    return total.mask(shares.isna().groupby(key, dropna=False).transform("any"))


def _whole(total: pd.Series) -> pd.Series:
    """Whether shares sum to 1 or to 100."""
    return (total - 1).abs().le(EXACT) | (total / 100 - 1).abs().le(EXACT)


def in_fractions(draft: Draft) -> Draft:
    """The floors with shares that sum to 100 in one sheet as parts of 1, as others have them."""
    frame = draft.frame
    rows = frame["state"].eq(USED)
    sums = _set_sums(frame, rows, ["origin"])
    percent = rows & _whole(sums) & sums.gt(2)
    if not percent.any():
        return draft
    names = ["share", "share_low", "share_high"]
    parts = frame[names].mask(percent, frame[names] / 100).round(12)
    return replace(draft, frame=frame.assign(**{name: parts[name] for name in names}))


def _broken_sets(draft: Draft) -> list[Finding]:
    """The rows left of a set that lacks one: its shares cannot sum to 1."""
    left = _broken_rows(draft)
    left = left[left["state"].eq(USED)]
    return [Finding(left.index, "share", "set aside", "row", "", quiet=True)] if len(left) else []


def _with_company(draft: Draft) -> Draft:
    """The draft whose findings say that the other rows of the set go with the bad one."""
    broken = _broken_rows(draft)
    if not broken["state"].eq(USED).any():
        return draft
    bad = broken[broken["state"].eq(SET_ASIDE)]
    places = set(zip(bad["source"], bad["row"], strict=True))
    told = tuple(
        problem._replace(
            wrong=f"{problem.wrong}; the machine's other floors of that date go with it"
        )
        if problem.severity == "set aside"
        and any((problem.source, row) in places for row in problem.rows)
        else problem
        for problem in draft.told
    )
    return replace(draft, told=told)


def _blanks_filled(draft: Draft) -> Draft:
    """Blank shares split equally what the others leave of 1 (or of 100)."""
    used = draft.used
    if used["share"].notna().all():
        return draft
    sets = used.groupby(_SET, dropna=False)["share"]
    given = sets.transform("sum")
    blanks = used["share"].isna().groupby([used["machine"], used["since"]], dropna=False)
    whole = np.where(given > 1 + NEAR, 100.0, 1.0)
    rest = (whole - given).clip(lower=0.0) / blanks.transform("sum")
    frame = draft.frame.copy()
    empty = used.index[used["share"].isna()]
    frame.loc[empty, "share"] = rest[empty]
    return replace(draft, frame=frame)


def _on_dates(rows: pd.DataFrame) -> list[Finding]:
    """One finding for each machine whose broken sets together sum to 1: a date is missing."""
    total = rows.groupby("machine")["share"].transform("sum")
    always = rows["since"].fillna(pd.Timestamp(0))
    dates = always.groupby(rows["machine"]).transform("nunique")
    together = rows[_whole(total) & dates.gt(1)]

    def word(name: tuple[str], found: pd.DataFrame) -> Finding:
        wrong = f"the shares of {name[0]} sum to 1 only over several dates"
        remedy = "Write the same date under since beside the floors that belong together"
        return Finding(found.index, "since", "set aside", "row", wrong, remedy)

    return one_a_group(together, ["machine"], word)


def _on_sums(rows: pd.DataFrame, total: pd.Series, severity: str) -> list[Finding]:
    """One finding for each set whose shares do not sum to 1."""

    def word(name: tuple[str, object], found: pd.DataFrame) -> Finding:
        machine, since = name
        when = f" from {since:%Y-%m-%d}" if isinstance(since, pd.Timestamp) else ""
        whole = f"the shares of {machine}{when} sum to {total[found.index[0]]:.4g}"
        if severity == "repaired":
            return Finding(found.index, "share", "repaired", "kept", f"{whole}; scaled to 1")
        wrong = f"{whole}, which is neither 1 nor 100"
        remedy = "Correct the shares of that machine and date"
        return Finding(found.index, "share", "set aside", "row", wrong, remedy)

    return one_a_group(rows, _SET, word)


def _off_limits(draft: Draft) -> list[Finding]:
    """Shares that do not lie between their likely limits."""
    used = draft.used
    off = used["share_low"].gt(used["share"]) | used["share_high"].lt(used["share"])
    rows = used.index[off]
    if rows.empty:
        return []
    wrong = "the share does not lie between share_low and share_high; both count as blank"
    remedy = "Correct the limits"
    return [
        Finding(rows, "share_low", "set aside", "cell", wrong, remedy),
        Finding(rows, "share_high", "set aside", "cell", wrong, quiet=True),
    ]


def _reaching_back(draft: Draft) -> Draft:
    """The earliest set of each machine holds from its beginning."""
    used = draft.used
    frame = draft.frame.copy()
    blank = used["since"].isna().groupby(used["machine"]).transform("any")
    first = used["since"].eq(used.groupby("machine")["since"].transform("min")) & ~blank
    frame.loc[used.index[first], "since"] = pd.NaT
    return replace(draft, frame=frame)
