"""Each site left out in turn and quoted as if nobody had measured it, against what it really cost.

The fit takes all other sites; the quote is given the site's machines, floors, parts and the hours
they really ran in the last 365 days, with parts of unknown age; prices are today's on both sides.
"""

from dataclasses import replace
from typing import Unpack

import numpy as np
import pandas as pd

from wearcast.backtesting.part import without
from wearcast.errors import NothingToFit
from wearcast.forecast import fit
from wearcast.history.story import History, read_history
from wearcast.logbook.book import Logbook
from wearcast.logbook.choices import Asked
from wearcast.quote import quote

DAYS = 365
LEAST_HISTORY_DAYS = 547
"""A year to quote and half a year before it."""
FEWEST_SITES = 3
COLUMNS = (
    "site", "machines", "hours_per_week", "actual", "mean", "p10", "p50", "p80", "p90",
    "within_p80", "within_p90",
)  # fmt: skip


def left_out_sites(book: Logbook, **asked: Unpack[Asked]) -> pd.DataFrame:
    """What a quote would have said of each site that it had never seen.

    Parameters
    ----------
    book : Logbook
        Of three sites at least, over a year and a half.
    **asked
        Options as for `wearcast.forecast.fit`.

    Returns
    -------
    DataFrame
        site, machines, hours_per_week (of all of them) [h], actual, mean, p10, p50, p80, p90
        (money of parts in the last 365 days), within_p80, within_p90 (``yes`` or ``no``: whether
        the actual cost is no more), a row a site that used priced parts.

    Raises
    ------
    NothingToFit
        If there are fewer sites, or the log is shorter.
    """
    truth = read_history(book)
    start = truth.as_of - pd.Timedelta(days=DAYS)
    sites = _sites(truth, start)
    if len(sites) < FEWEST_SITES or (truth.as_of - truth.meters["date"].min()).days < (
        LEAST_HISTORY_DAYS
    ):
        raise NothingToFit(
            "leaving sites out takes three sites and a year and a half of log; nothing was left out"
        )
    rows = [_row(book, truth, site, start, asked) for site in sites]
    return pd.DataFrame(rows, columns=list(COLUMNS))


def _sites(truth: History, start: pd.Timestamp) -> list[str]:
    used = truth.uses[truth.uses["date"].gt(start)]
    carried = truth.running[truth.running["part"].isin(used["part"])]
    return sorted(set(used["site"].astype(str)) & set(carried["site"].astype(str)))


def _row(
    book: Logbook, truth: History, site: str, start: pd.Timestamp, asked: Asked
) -> dict[str, object]:
    here = truth.machines.index[truth.machines["site"].eq(site)]
    hours = run_hours(truth, here, start)
    told = quote(
        proposal_like(book, truth, hours, start),
        fit(without(book, here), **asked),
        years=1,
        **_today(asked),
    )
    figures = told.total.iloc[0]
    actual = _actual(book, truth, here, start)
    return {
        "site": site,
        "machines": len(here),
        "hours_per_week": float(hours.sum()),
        "actual": actual,
        **{name: float(figures[name]) for name in ("mean", "p10", "p50", "p80", "p90")},
        **{f"within_{name}": "yes" if actual <= figures[name] else "no" for name in ("p80", "p90")},
    }


def _today(asked: Asked) -> Asked:
    """The options, for parts at today's prices."""
    kept: Asked = {**asked, "price_growth": 0.0}
    kept.pop("labour_rate", None)
    return kept


def run_hours(truth: History, machines: pd.Index, start: pd.Timestamp) -> pd.Series:
    """Run hours a week since a day, by machine [h]."""
    knots = truth.meters[truth.meters["machine"].isin(machines)]
    day = (knots["date"] - start).dt.days.to_numpy(float)
    ran = {
        name: np.diff(np.interp([0, DAYS], day[rows], knots["hours"].to_numpy(float)[rows]))[0]
        for name, rows in knots.groupby("machine").indices.items()
    }
    return pd.Series(ran, dtype=float) * 7 / DAYS


def proposal_like(book: Logbook, truth: History, hours: pd.Series, start: pd.Timestamp) -> Logbook:
    """Some machines of a log as a proposal: what they carry and ran, nothing of what wore out."""
    machines = book.machines[book.machines["machine"].isin(hours.index)]
    machines = machines.drop_duplicates("machine", keep="last")
    floors = book.floors[book.floors["machine"].isin(hours.index)]
    carried = truth.running[truth.running["machine"].isin(hours.index)]
    positions = carried[["machine", "position", "part", "pieces"]]
    plans = pd.DataFrame(
        {
            "machine": hours.index,
            "start": start + pd.Timedelta(days=1),
            "hours_per_week": hours.to_numpy(),
        }
    )
    before = start - pd.Timedelta(days=DAYS)
    return replace(
        book,
        machines=machines.assign(in_service=before, retired=pd.Timestamp("NaT")),
        settings={name: text for name, text in book.settings.items() if name != "labour_rate"},
        floors=floors.reset_index(drop=True),
        positions=_like(book.positions, positions),
        plans=_like(book.plans, plans),
        readings=book.readings[:0],
        changes=book.changes[:0],
        as_of=start + pd.Timedelta(days=1),
        told=(),
        tallies=(),
        proposal=True,
    )


def _like(table: pd.DataFrame, rows: pd.DataFrame) -> pd.DataFrame:
    """Rows in the columns of a table of the logbook, and of their kinds."""
    full = rows.reindex(columns=table.columns).reset_index(drop=True)
    kinds = {name: kind for name, kind in table.dtypes.items() if name in rows or kind.kind != "i"}
    return full.astype(kinds)


def _actual(book: Logbook, truth: History, machines: pd.Index, start: pd.Timestamp) -> float:
    """Money of what these machines used since a day, at today's prices."""
    uses = truth.uses[truth.uses["date"].gt(start) & truth.uses["machine"].isin(machines)]
    price = uses["part"].map(book.parts.drop_duplicates("part").set_index("part")["price"])
    return float((price.astype(float) * uses["pieces"]).sum())


def left_out_words(frame: pd.DataFrame) -> list[str]:
    """How often the price at 80 and at 90 % was enough, and how far the expected one was off."""
    count = len(frame)
    off = frame["actual"].sum() / frame["mean"].sum() - 1
    return [
        f"Each of {count} sites was quoted from the others alone. P80 was enough at "
        f"{frame['within_p80'].eq('yes').sum()}, P90 at {frame['within_p90'].eq('yes').sum()} of "
        f"them; all together cost {abs(off):.0%} {'more' if off > 0 else 'less'} than expected."
    ]
