"""Far fewer worn edges in the newest days than their ages let one expect are told."""

import numpy as np
import pandas as pd

from tests.wear.diagnostics.test_speed_changes import DAYS, FIRST, fleet
from wearcast.told import GRAVE
from wearcast.wear.diagnostics.lately import tell_few_lately


def known(quiet, every=1):
    """Forty machines; ends are written every so many days, and none in the newest ones."""
    history, wear = fleet(40, seed=1)
    spells, until = history.spells, DAYS - quiet
    back = (FIRST + pd.Timedelta(days=until) - spells["end"]) / pd.Timedelta(days=every)
    on = np.ceil(until - np.floor(back) * every).clip(upper=DAYS)
    lost = spells["end"].gt(FIRST + pd.Timedelta(days=until))
    begun = spells["start"].lt(FIRST + pd.Timedelta(days=until))
    spells = spells.assign(
        site="Hall",
        end=FIRST + pd.to_timedelta(on.mask(lost, DAYS), "D"),
        cause=spells["cause"].mask(lost, "running"),
    )
    history.spells, history.exposure = spells[begun], history.exposure[begun]
    names = np.repeat(np.unique(spells["machine"]), 2)
    dates = [FIRST, FIRST + pd.Timedelta(days=DAYS)] * 40
    history.meters = pd.DataFrame({"machine": names, "date": dates, "hours": [0.0, DAYS] * 40})
    history.as_of = FIRST + pd.Timedelta(days=DAYS)
    return history, wear


def test_weeks_without_the_ends_that_were_due_are_told_unless_the_site_is_silent():
    (told,) = tell_few_lately(*known(quiet=20), [])
    assert told.wrong.startswith("0 edges are written as worn in the last ")
    assert told.weight >= GRAVE
    assert tell_few_lately(*known(quiet=20), ["Hall"]) == []


def test_a_log_as_ever_is_not():
    assert tell_few_lately(*known(quiet=0), []) == []
    assert tell_few_lately(*known(quiet=20, every=22), []) == []
