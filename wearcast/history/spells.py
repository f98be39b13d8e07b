"""One row an edge at work, from when it went to the floor until it was turned or last seen.

Spells are [start, end) in run hours. The first spell of a position, of which only the end was
written, has no start and counts from the machine's first reading, of which only a part may have
been watched; on a machine that came with unused parts it starts with the machine. A spell without
a start and every one around a line that could not be read stay out of the fit.
"""

import numpy as np
import pandas as pd

from wearcast.history.steps import Ints, placed, starts_of

NO_LINE = np.iinfo(np.int64).max
"""Order of the line after the last one."""


def cut_spells(
    counted: pd.DataFrame, first_seen: pd.DataFrame, last_seen: pd.DataFrame
) -> pd.DataFrame:
    """Spells of every place with a written line, in order of place and time.

    Parameters
    ----------
    counted : DataFrame
        Lines as `wearcast.history.edges.count_edges` leaves them, with day, run (hours),
        on_curve (bool) and outfit (bool: an initial outfit).
    first_seen : DataFrame, index: place
        How each place begins: day, run (nan: never watched), new (bool).
    last_seen : DataFrame, index: place
        How each place ends: day, run, on_curve, retired (bool).

    Returns
    -------
    DataFrame
        place, part, edge, edges, start_day and end_day (start: from when it was watched), begin
        and finish (run hours), watched (run hours from when it was), cause, ended, replaced,
        end_turns, known_start, in_fit, forward, source and row (of the line that began the spell,
        or ended it where none did).
    """
    ends = counted[counted["ends"]]
    begun = pd.concat([_before_first_end(counted, first_seen), _begun(ends)], ignore_index=True)
    begun = begun.sort_values(["place", "order"], kind="stable", ignore_index=True)
    whole = _with_ends(begun, ends.reset_index(drop=True), last_seen)
    whole = whole[whole["on"]].reset_index(drop=True)
    return whole.assign(
        end_turns=_end_turns(whole, counted),
        replaced=whole["ended"].isin(["fit", "remove", "assumed fit"]),
        in_fit=_in_fit(whole),
        forward=_forward(whole),
    ).drop(columns=["on", "order", "next_order", "sure", "sure_end", "same_part"])


def _begun(ends: pd.DataFrame) -> pd.DataFrame:
    """The state that each line leaves: one row a line that ends a spell."""
    return pd.DataFrame(
        {
            "place": ends["place"],
            "order": ends["order"],
            "part": ends["part"],
            "edge": ends["edge"],
            "edges": ends["edges"],
            "start_day": ends["day"],
            "begin": ends["run"],
            "watched": ends["run"],
            "known_start": ends["known_start"],
            "on": ends["on"],
            "sure": ends["on_curve"],
            "source": ends["source"],
            "row": ends["row"],
        }
    )


def _before_first_end(counted: pd.DataFrame, first_seen: pd.DataFrame) -> pd.DataFrame:
    """The spell that was running when the log of a place began; none where it began with outfit."""
    first = counted[starts_of(counted["place"].to_numpy()) & ~counted["outfit"]]
    seen = first_seen.loc[first["place"]].set_axis(first.index)
    first_edge = first["edges_before"].eq(1) | seen["new"]
    return _begun(first).assign(
        order=-1,
        part=first["part_before"],
        edges=first["edges_before"],
        edge=np.where(first_edge, 1.0, np.nan),
        start_day=seen["day"],
        begin=seen["run"].where(seen["new"], 0.0),
        watched=seen["run"],
        known_start=seen["new"],
        on=True,
        sure=True,
    )


def _with_ends(begun: pd.DataFrame, ends: pd.DataFrame, last_seen: pd.DataFrame) -> pd.DataFrame:
    """Each spell with the line that ended it, or with where its place was last seen."""
    place = begun["place"].to_numpy()
    goes_on = np.append(place[1:] == place[:-1], False) if len(place) else np.zeros(0, dtype=bool)
    next_order = np.where(goes_on, np.roll(begun["order"].to_numpy(), -1), NO_LINE)
    at = np.where(goes_on, np.searchsorted(ends["order"].to_numpy(), next_order), -1)
    seen = last_seen.loc[place]
    observed = placed(ends["observed"], at, True)
    missed = placed(ends["missed"], at, False)
    fit_assumed = missed | placed(ends["assumed"], at, False)
    action = np.where(fit_assumed, "assumed fit", placed(ends["action"], at, ""))
    at_last = np.where(seen["retired"], "retired", "running")
    pick = {
        name: np.where(goes_on, placed(ends[name], at, blank), seen[name])
        for name, blank in (("day", 0), ("run", 0.0), ("on_curve", False))
    }
    end_day, finish = pick["day"].astype(np.int64), pick["run"].astype(float)
    finish = np.maximum(finish, begun["begin"])
    sure_end = pick["on_curve"].astype(bool) & observed & ~missed
    return begun.assign(
        next_order=next_order,
        start_day=np.fmin(begun["start_day"], end_day).astype(np.int64),
        end_day=end_day,
        finish=finish,
        # What nobody watched before its end was seen for no time at all.
        watched=np.fmin(begun["watched"], finish),
        ended=np.where(goes_on, np.where(observed, action, ""), at_last),
        cause=np.where(goes_on, np.where(observed, placed(ends["cause"], at, ""), ""), "running"),
        **{name: placed(ends[name], at, "") for name in ("by", "shift")},
        sure=begun["sure"] & sure_end,
        sure_end=sure_end & goes_on,
        same_part=placed(ends["part"], at, "") == begun["part"].to_numpy(),
    )


def _end_turns(whole: pd.DataFrame, counted: pd.DataFrame) -> Ints:
    """End-for-end turns during each spell."""
    turned = (~counted["ends"]).groupby(counted["place"]).cumsum()
    so_far = pd.Series(turned.to_numpy(), pd.MultiIndex.from_frame(counted[["place", "order"]]))
    last = counted.groupby("place")["order"].max()
    until = np.minimum(whole["next_order"], last.reindex(whole["place"]).to_numpy())
    at_start = so_far.reindex(pd.MultiIndex.from_frame(whole[["place", "order"]])).fillna(0)
    at_end = so_far.reindex(pd.MultiIndex.from_arrays([whole["place"], until]))
    return np.asarray(at_end.to_numpy() - at_start.to_numpy(), dtype=np.int64)


def _in_fit(whole: pd.DataFrame) -> pd.Series:
    """A spell teaches wear if both its ends are sure and it ran at all."""
    ran = whole["finish"].sub(whole["begin"]).gt(0)
    return whole["known_start"] & whole["sure"] & ran


def _forward(whole: pd.DataFrame) -> pd.Series:
    """Whether a spell of unknown start was watched to a sure end.

    Which part it was is taken for known if the same one was there after its end.
    """
    first = whole["order"].lt(0) & ~whole["known_start"]
    ran = whole["finish"].sub(whole["watched"]).gt(0)
    return first & whole["sure_end"] & whole["same_part"] & ran
