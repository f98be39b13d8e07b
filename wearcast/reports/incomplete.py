"""What a quote lacks or guesses, in the sentences that stand beside its price."""

import pandas as pd

from wearcast.decisions.quoting.missing import (
    LEFT_OUT,
    NO_HOURS,
    NO_MINUTES,
    NO_PARTS,
    NO_PRICE,
    NOT_MEASURED,
    PLAN_ENDS,
    REFUSED,
    UNREAD,
)
from wearcast.logbook.schema.spelling import listed
from wearcast.reports.frames import shown_number

_SENTENCES = {
    NO_PRICE: "no price for {}",
    NO_MINUTES: "no minutes of a change or turn for {}",
    NO_HOURS: "no planned hours for {}",
    NO_PARTS: "no positions for {}",
    PLAN_ENDS: "days after the end of a plan, {}",
    REFUSED: "set aside in the proposal: {}",
}
MOST_NAMED = 6


def incomplete_words(missing: pd.DataFrame) -> list[str]:
    """One sentence for what the price lacks, one for what it guesses, one for what was unread.

    Parameters
    ----------
    missing : DataFrame
        See `wearcast.decisions.quoting.missing.what_is_missing`.

    Returns
    -------
    list of str
        Empty for a quote that is whole and rests on what was measured.
    """
    lacking = [
        words.format(_named(missing[missing["what"].eq(what)], what))
        for what, words in _SENTENCES.items()
        if missing["what"].eq(what).any()
    ]
    sentences = [f"Not in the price: {'; '.join(lacking)}."] if lacking else []
    guessed = missing[missing["what"].eq(NOT_MEASURED)]
    if len(guessed):
        sentences.append(f"{_resting(guessed)}: {_named(guessed, NOT_MEASURED)}.")
    unread = missing[missing["what"].eq(UNREAD)]
    if len(unread):
        sentences.append(f"Set aside in the log that was learnt from: {_named(unread, UNREAD)}.")
    return sentences


def lacks(missing: pd.DataFrame) -> bool:
    """Whether something is not in the price at all."""
    return bool(missing["what"].isin(LEFT_OUT).any())


def notice(missing: pd.DataFrame) -> str:
    """What a narrow place says before anything else; blank for a quote that is whole."""
    if lacks(missing):
        return "NOT COMPLETE, see the sheet Missing. "
    return "Partly guessed, see the sheet Missing. " if len(missing) else ""


def guessed_share(missing: pd.DataFrame) -> float:
    """Share of the expected money that rests on wear nobody measured; nan if it cannot be said."""
    return float(missing.loc[missing["what"].eq(NOT_MEASURED), "share"].sum(min_count=0))


def _resting(guessed: pd.DataFrame) -> str:
    # What has no price has no share: that is not known, not none.
    if guessed["share"].isna().any() or guessed["share"].eq(0).all():
        return "Less sure, as nobody measured the wear there"
    share = shown_number(100 * guessed["share"].sum(), 0)
    return f"Less sure: {share} % of the money is for wear that nobody measured"


def _named(rows: pd.DataFrame, what: str) -> str:
    cells = zip(rows["where"], rows["count"], rows["share"], strict=True)
    names = [_one(where, count, share, what) for where, count, share in cells]
    more = [f"{len(names) - MOST_NAMED} more"] if len(names) > MOST_NAMED else []
    return listed([*names[:MOST_NAMED], *more])


def _one(where: str, count: float, share: float, what: str) -> str:
    if what in (NO_PRICE, NO_MINUTES):
        return f"{where} ({shown_number(count, 1)} a year)"
    if what in (REFUSED, UNREAD):
        return f"{where} ({shown_number(count, 0)} {'row' if count == 1 else 'rows'})"
    if what == PLAN_ENDS:
        return f"{where} ({shown_number(count, 0)} days)"
    return where if share != share or share == 0 else f"{where} ({shown_number(100 * share, 0)} %)"
