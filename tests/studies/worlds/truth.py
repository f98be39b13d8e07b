"""What is true of the year ahead: pieces used, many times from the same state at as-of."""

from dataclasses import dataclass

import numpy as np

from tests.studies.worlds.days import Ends, State, from_what_is_seen, new_state, run
from tests.studies.worlds.fleet import Fleet
from tests.studies.worlds.written import Lived

PERIODS = {"quarter": 91, "year": 364}
REPLICATIONS = 200


@dataclass(frozen=True)
class Truth:
    """Pieces used ahead, by period: arrays [replication, place]."""

    pieces: dict[str, np.ndarray]


def true_year(lived: Lived, replications: int = REPLICATIONS) -> Truth:
    """The year ahead, `replications` times: speeds and habits stay, chance and shocks are anew."""
    rng = np.random.default_rng([lived.fleet.seed, 20264])
    state = from_what_is_seen(lived.fleet, lived.state, replications, rng)
    ends, _ = run(lived.fleet, state, 1, PERIODS["year"], rng, _shocks_now(lived, replications))
    return Truth(
        {
            period: pieces_used(lived.fleet, ends, days, replications)
            for period, days in PERIODS.items()
        }
    )


def _shocks_now(lived: Lived, replications: int) -> dict[str, np.ndarray]:
    """A quarter that has begun goes on as it is."""
    return {name: np.repeat(value, replications) for name, value in lived.shocks.items()}


def pieces_used(fleet: Fleet, ends: Ends, days: int, replications: int) -> np.ndarray:
    """Pieces by replication and place, up to that day."""
    used = np.zeros((replications, len(fleet.places)))
    counted = ends.fitted & (ends.day <= days)
    where = (ends.replication[counted], ends.place[counted])
    np.add.at(used, where, fleet.column("pieces")[where[1]])
    return used


def expected_in_log(lived: Lived, replications: int = REPLICATIONS) -> np.ndarray:
    """Pieces that the log should have held on average, by place: its own count less luck."""
    fleet = lived.fleet
    rng = np.random.default_rng([fleet.seed, 20265])
    state: State = from_what_is_seen(fleet, lived.begin, replications, rng)
    shocks = {name: np.repeat(value, replications) for name, value in lived.shocks.items()}
    ends, _ = run(fleet, state, fleet.first_day, 0, rng, shocks)
    return pieces_used(fleet, ends, 0, replications).mean(axis=0)


def true_costs(strangers: Fleet, days: int = 365, replications: int = 4) -> np.ndarray:
    """What each stranger's first year costs: one number a site and replication."""
    rng = np.random.default_rng([strangers.seed, 20266])
    state = from_what_is_seen(strangers, new_state(strangers, rng), replications, rng)
    ends, _ = run(strangers, state, 1, days, rng)
    price = np.array([strangers.parts[part].price for part in strangers.places["part"]])
    cost = pieces_used(strangers, ends, days, replications) * price
    site = strangers.column("site")
    return np.array([cost[:, site == one].sum(axis=1) for one in range(len(strangers.sites))])
