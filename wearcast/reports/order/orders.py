"""What goes to one supplier on one day is one order: its number, its lines, when they are wanted.

The sheets of the suppliers, the lines for a purchasing system and the order documents follow from
this one table, so that they bear the same numbers.
"""

import numpy as np
import pandas as pd

from wearcast.decisions.ordering.workdays import first_working_day
from wearcast.logbook.choices import Choices

URGENT = "urgent, as soon as possible"
"""In place of a day, where a line could not arrive in time any more."""


def lines_by_order(order: pd.DataFrame, choices: Choices) -> pd.DataFrame:
    """Every line that stands on an order, or may yet be put on one, in the order of printing.

    Parameters
    ----------
    order : DataFrame
        All lines of the order, those to watch too.
    choices : Choices

    Returns
    -------
    DataFrame
        The lines with ``order`` (1, 2, ...), ``number`` (of the order, until the buyer gives it
        another), ``goes_out`` (date), ``urgent`` (bool) and ``wanted`` (a working day; blank where
        urgent). A line to watch stands on its supplier's first order; where there is none, on one
        that goes out on the next working day if packs are typed for it.
    """
    lines = with_order_days(order, choices)
    lines = lines.assign(goes_out=lines["order_on"], watched=order["order_pieces"].le(0))
    lines = lines[lines["goes_out"].notna()].sort_values(
        ["supplier", "goes_out", "watched", "order_by", "depot", "part"], ignore_index=True
    )
    place = lines.groupby(["supplier", "goes_out"], sort=True).ngroup() + 1
    late = lines["order_by"] < lines["goes_out"]
    return lines.assign(
        order=place,
        number=[f"{choices.as_of:%Y%m%d}-{each}" for each in place],
        urgent=late,
        wanted=_wanted(lines, choices).where(~late),
    )


def with_order_days(order: pd.DataFrame, choices: Choices) -> pd.DataFrame:
    """The lines, those to watch with the day of their supplier's first order, or the next one."""
    wanted = order["order_pieces"] > 0
    first = order[wanted].groupby("supplier")["order_on"].min()
    # Where nothing is ordered the days are of no type at all.
    usual = pd.to_datetime(order["supplier"].map(first.to_dict()))
    usual = usual.fillna(
        first_working_day(choices.as_of + pd.Timedelta(days=1), choices.closed_days)
    )
    return order.assign(order_on=pd.to_datetime(order["order_on"]).where(wanted, usual))


def _wanted(lines: pd.DataFrame, choices: Choices) -> pd.Series:
    """The first working day after the usual time of delivery."""
    lead = pd.to_timedelta(np.ceil(lines["lead_days"].astype(float)), unit="D")
    arrives = lines["goes_out"] + lead
    days = [first_working_day(day, choices.closed_days) for day in arrives]
    return pd.Series(days, index=lines.index, dtype="datetime64[ns]")
