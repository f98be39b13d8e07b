"""Sites and machines whose silence says nothing, since nobody writes what is changed there."""

from collections.abc import Collection
from dataclasses import replace

import numpy as np

from wearcast.history.story import History


def never_wrote(history: History) -> list[str]:
    """Sites with something at work that never wrote a change, where others did; sorted."""
    last = history.running.groupby("site", sort=True)["silent_since"].max()
    never = last.index[last.isna()] if last.notna().any() else last.index[:0]
    return [str(site) for site in never]


def machines_never_written(history: History) -> list[str]:
    """Machines with something at work, none of it ever changed, at sites that wrote; sorted."""
    running = history.running
    wrote = history.spells.loc[history.spells["ended"].ne("running"), "machine"]
    never = running["age"].eq("unknown") & running["silent_since"].notna()
    return sorted(set(running.loc[never, "machine"]) - set(wrote))


def unheard(history: History, sites: Collection[str], machines: Collection[str] = ()) -> History:
    """The history without what silence seems to say at these sites and of these machines.

    What is at work there is of an age that nobody knows, watched for no time.
    """
    running = history.running
    at = running["site"].isin(sites) | running["machine"].isin(machines)
    at &= running["age"].isin(["known", "unknown"])
    if not at.any():
        return history
    return replace(
        history,
        running=running.assign(
            age=running["age"].mask(at, "unknown"),
            edge=running["edge"].mask(at & running["edges"].gt(1), np.nan),
        ),
        running_exposure=history.running_exposure.mask(at, 0.0),
    )
