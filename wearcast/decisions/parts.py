"""Which part is cheapest where: cost of 100 run hours, by position and floor.

A part could sit at a position if the logbook shows it there, or at the position of the same name
on a machine with the same deck, and if it is of the same kind: a pad does not do a brush's work.
Parts are compared on the usual machine (pace 1).
"""

import numpy as np
import pandas as pd

from wearcast.decisions.quoting.long_run import edges_a_part
from wearcast.decisions.quoting.strangers import draw_strangers
from wearcast.logbook.book import Logbook
from wearcast.logbook.choices import Choices
from wearcast.wear.life import Laws, first_end
from wearcast.wear.records import Wear, WearDraws

_PLACE = ["deck", "position", "kind"]
COLUMNS = (
    "deck", "position", "kind", "floor", "part", "wears_as", "pieces", "hours_per_part",
    "cost_per_100h", "low", "high", "chance_cheapest", "break_even",
)  # fmt: skip


def cheapest_parts(book: Logbook, wear: Wear, choices: Choices) -> pd.DataFrame:
    """Cost of 100 hours of each part that could sit at a position, floor by floor.

    Returns
    -------
    DataFrame
        deck, position, kind, floor, part, wears_as, pieces, hours_per_part (mean run hours until
        the part goes), cost_per_100h (mean), low, high (90 % range), chance_cheapest (share of
        the draws in which no other part there costs less), break_even (price of a piece at which
        it would cost as much as the cheapest other part there; nan where there is none, below 0
        where no price would do). Parts without a price are left out.
        With a labour rate the work of changes and turns is in the cost, where minutes are known.
    """
    candidates = candidate_parts(book)
    seats = candidates.assign(machine="", site="")
    drawn = draw_strangers(wear, seats, wear.floors, book.parts, choices)
    hours, given = part_life(drawn, candidates["edges"].to_numpy(float))
    change, turn = _labour(candidates, choices)
    spent = (candidates["price"] * candidates["pieces"]).to_numpy(float) + change
    cost = 100 * (spent[:, None, None] + turn[:, None, None] * (given - 1)) / hours
    rows = [
        _floor_rows(candidates, name, hours[:, :, at], cost[:, :, at])
        for at, name in enumerate(wear.floors)
    ]
    frame = pd.concat(rows, ignore_index=True) if rows else pd.DataFrame(columns=list(COLUMNS))
    ordered = frame.sort_values([*_PLACE, "floor", "cost_per_100h", "part"], ignore_index=True)
    return ordered[list(COLUMNS)]


def candidate_parts(book: Logbook) -> pd.DataFrame:
    """Priced parts by deck and position: deck, position, part, pieces, and their catalogue line."""
    decks = book.machines.drop_duplicates("machine").set_index("machine")["deck"]
    fitted = book.changes.loc[book.changes["part"] != "", ["machine", "position", "part"]]
    carried = pd.concat([book.positions[["machine", "position", "part", "pieces"]], fitted])
    placed = carried.assign(deck=carried["machine"].map(decks).astype(object).fillna(""))
    # A change does not say how many pieces it used: the position of the same name does.
    pieces = placed.groupby(["deck", "position"])["pieces"].transform("max").fillna(1.0)
    seats = placed.assign(pieces=pieces)[["deck", "position", "part", "pieces"]].drop_duplicates()
    lines = book.parts[["part", "kind", "wears_as", "edges", "price", "minutes", "turn_minutes"]]
    priced = seats.merge(lines, on="part").dropna(subset=["price"])
    return priced.sort_values(["deck", "position", "part"], ignore_index=True)


def _labour(candidates: pd.DataFrame, choices: Choices) -> tuple[np.ndarray, np.ndarray]:
    """Money of the work of one change and of one turn; arrays (candidates,)."""
    an_hour = choices.labour_rate or 0.0
    minutes = candidates[["minutes", "turn_minutes"]].astype(float).fillna(0.0).to_numpy()
    return minutes[:, 0] / 60 * an_hour, minutes[:, 1] / 60 * an_hour


def part_hours(drawn: WearDraws, edges: np.ndarray) -> np.ndarray:
    """Mean run hours until a part goes, at pace 1; array (slots, draws, floors)."""
    return part_life(drawn, edges)[0]


def part_life(drawn: WearDraws, edges: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Mean run hours until a part goes [h], and edges it gives, at pace 1.

    Two arrays (slots, draws, floors).
    """
    laws = Laws(
        drawn.rate,
        drawn.shape[:, :, None],
        np.ones(1),
        drawn.damage,
        drawn.off_rate[:, :, None],
        drawn.off_shape[:, :, None],
    )
    end = first_end(laws)
    given = edges_a_part(edges, end, drawn)
    return np.asarray(end.hours * given), given


def _floor_rows(
    candidates: pd.DataFrame, floor: str, hours: np.ndarray, cost: np.ndarray
) -> pd.DataFrame:
    place = candidates.groupby(_PLACE).ngroup().to_numpy()
    lowest = np.full((place.max(initial=-1) + 1, cost.shape[1]), np.inf)
    np.minimum.at(lowest, place, cost)
    low, high = np.quantile(cost, [0.05, 0.95], axis=1)
    # A piece costs this much in 100 hours, for each of money that is its price.
    a_unit = candidates["pieces"].to_numpy(float) * (100 / hours).mean(axis=1)
    over = cost.mean(axis=1) - _cheapest_other(place, cost.mean(axis=1))
    return candidates.assign(
        break_even=candidates["price"].to_numpy(float) - over / a_unit,
        floor=floor,
        hours_per_part=hours.mean(axis=1),
        cost_per_100h=cost.mean(axis=1),
        low=low,
        high=high,
        chance_cheapest=(cost <= lowest[place]).mean(axis=1),
    )


def _cheapest_other(place: np.ndarray, cost: np.ndarray) -> np.ndarray:
    """The least that another part at the same place costs; nan where there is none; (parts,)."""
    others = np.where((place[:, None] == place) & ~np.eye(len(place), dtype=bool), cost, np.inf)
    least = others.min(axis=1, initial=np.inf)
    return np.where(np.isfinite(least), least, np.nan)


def rivals(choice: pd.DataFrame) -> pd.DataFrame:
    """The rows of `cheapest_parts` where there is more than one part to choose from."""
    count = choice.groupby([*_PLACE, "floor"])["part"].transform("size")
    return choice[count > 1].reset_index(drop=True)
