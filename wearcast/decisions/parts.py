"""Which part is cheapest where: cost of 100 run hours, by position and floor.

A part could sit at a position if the logbook shows it there, or at the position of the same name
on a machine with the same deck. Parts of one use are compared: of the same kind, for a pad does
not do a brush's work; pads and other parts of the same wear class, for a strip pad does not do a
polish pad's. They are compared on the usual machine (pace 1).
"""

import numpy as np
import pandas as pd

from wearcast.decisions.costing.long_run import edges_a_part
from wearcast.decisions.quoting.strangers import draw_strangers
from wearcast.logbook.book import Logbook
from wearcast.logbook.choices import Choices
from wearcast.wear.covariates import side_of
from wearcast.wear.life import Laws, first_end
from wearcast.wear.records import Wear, WearDraws

_PLACE = ["deck", "position", "kind", "use"]
_LINE = ("part", "kind", "wears_as", "edges", "price", "minutes", "turn_minutes")
_OWN_USE = ("pad", "other")
"""Kinds whose wear classes are uses of their own."""
COLUMNS = (
    "deck", "position", "kind", "floor", "part", "wears_as", "pieces", "hours_per_part",
    "cost_per_100h", "low", "high", "chance_cheapest", "break_even",
)  # fmt: skip


def cheapest_parts(
    book: Logbook, wear: Wear, choices: Choices, *, whole: bool = False
) -> pd.DataFrame:
    """Cost of 100 hours of each part that could sit at a position, floor by floor.

    With `whole` also of parts that only the catalogue knows, see `candidate_parts`.

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
    candidates = candidate_parts(book, whole=whole)
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
    frame = (
        pd.concat(rows, ignore_index=True)
        if rows
        else pd.DataFrame(columns=[*COLUMNS, *_PLACE[-1:]])
    )
    ordered = frame.sort_values([*_PLACE, "floor", "cost_per_100h", "part"], ignore_index=True)
    return ordered[list(COLUMNS)]


def candidate_parts(book: Logbook, *, whole: bool = False) -> pd.DataFrame:
    """Priced parts by deck and position: deck, position, use, part, pieces, catalogue line.

    With `whole` also those of the catalogue that the logbook does not show there but that have the
    use of one it shows, and whose name says no other side of the machine.
    """
    decks = book.machines.drop_duplicates("machine").set_index("machine")["deck"]
    fitted = book.changes.loc[book.changes["part"] != "", ["machine", "position", "part"]]
    carried = pd.concat([book.positions[["machine", "position", "part", "pieces"]], fitted])
    placed = carried.assign(deck=carried["machine"].map(decks).astype(object).fillna(""))
    # A change does not say how many pieces it used: the position of the same name does.
    pieces = placed.groupby(["deck", "position"])["pieces"].transform("max").fillna(1.0)
    seats = placed.assign(pieces=pieces)[["deck", "position", "part", "pieces"]].drop_duplicates()
    lines = book.parts[list(_LINE)]
    priced = seats.merge(lines, on="part").dropna(subset=["price"])
    priced = priced.assign(use=uses_of(priced))
    if whole:
        priced = pd.concat([priced, _likewise(priced, book)]).drop_duplicates([*_PLACE, "part"])
    return priced.sort_values(["deck", "position", "part"], ignore_index=True)


def uses_of(parts: pd.DataFrame) -> pd.Series:
    """What each part is used for, beside its kind; blank where the kind says it all."""
    return parts["wears_as"].where(parts["kind"].isin(_OWN_USE), "")


def _likewise(seats: pd.DataFrame, book: Logbook) -> pd.DataFrame:
    """Other parts of the catalogue for the same places."""
    known = book.parts[book.parts["price"].notna() & book.parts["replaced_by"].eq("")]
    lines = known[[*_LINE, "name"]].assign(use=uses_of(known))
    places = seats[[*_PLACE, "pieces"]].drop_duplicates(_PLACE)
    found = places.merge(lines, on=["kind", "use"])
    words = (found["part"] + " " + found["name"]).str.lower().str.split(r"[^a-z]+", regex=True)
    fits = [
        side_of(set(says)) in (0.0, side_of(set(place.lower().split())))
        for says, place in zip(words, found["position"], strict=True)
    ]
    return found.loc[fits, seats.columns]


def _labour(candidates: pd.DataFrame, choices: Choices) -> tuple[np.ndarray, np.ndarray]:
    """Money of the work of one change and of one turn; arrays (candidates,)."""
    an_hour = choices.labour_rate or 0.0
    minutes = candidates[["minutes", "turn_minutes"]].astype(float).fillna(0.0).to_numpy()
    return minutes[:, 0] / 60 * an_hour, minutes[:, 1] / 60 * an_hour


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
    keys = [choice[name] for name in ("deck", "position", "kind", "floor")]
    count = choice.groupby([*keys, uses_of(choice)])["part"].transform("size")
    return choice[count > 1].reset_index(drop=True)
