"""Which machines came with unused parts, and when."""

import numpy as np

from wearcast.history.meters import Meters
from wearcast.history.places.stations import Stations
from wearcast.history.readings.curve import REACH_DAYS, first_days
from wearcast.history.steps import Bools, Floats
from wearcast.logbook.book import Logbook

SETTLING_DAYS = 7
"""A new machine's meter may be read for the first time so long after its first day; chosen here."""


def new_since(book: Logbook, meters: Meters, stations: Stations, as_of: int) -> Floats:
    """Array (machines,): day on which each machine came with unused parts; nan: not known.

    A machine whose in_service lies more than a week before its first reading had a life before
    the log. One that has no reading yet is new if it came within the last 60 days or is still to
    come; where in_service is blank too, it is still to come if no change of it was written. In a
    proposal every machine is.
    """
    first = first_days(meters.curve)
    unread = np.isnan(first)
    blank = np.isnan(stations.in_service)
    to_come = blank & (book.proposal | (unread & ~_handled(stations)))
    begins = np.where(to_come, as_of + 1, stations.in_service)
    if book.proposal:
        begins = np.where(begins == as_of, as_of + 1, begins)
    seen_from = np.where(unread, as_of - REACH_DAYS, first - SETTLING_DAYS)
    return np.where(begins >= seen_from, begins, np.nan)


def _handled(stations: Stations) -> Bools:
    """Whether any change of a machine was written."""
    return np.asarray(np.bincount(stations.of_change, minlength=len(stations.names)) > 0)
