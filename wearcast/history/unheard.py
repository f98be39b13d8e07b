"""Sites whose silence says nothing, since nobody writes down what is changed there."""

from collections.abc import Collection
from dataclasses import replace

import numpy as np

from wearcast.history.story import History


def never_wrote(history: History) -> list[str]:
    """Sites with something at work that never wrote a change, where others did; sorted."""
    last = history.running.groupby("site", sort=True)["silent_since"].max()
    never = last.index[last.isna()] if last.notna().any() else last.index[:0]
    return [str(site) for site in never]


def unheard(history: History, sites: Collection[str]) -> History:
    """The history without what silence seems to say at these sites.

    What is at work there is of an age that nobody knows, watched for no time.
    """
    running = history.running
    at = running["site"].isin(sites) & running["age"].isin(["known", "unknown"])
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
