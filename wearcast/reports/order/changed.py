"""What changed in the order since an earlier report, line by line, and why.

The earlier report's order.csv is read back as it was written. A line that was added, dropped or
moved by more than a pack is named with what moved it, biggest first and in pieces that add to the
order or take from it: the window, machines, their hours, wear, use since then, stock, open orders.
A price or a delivery time that changed is named though no piece moved. Beside what was proposed
stand what was ordered, by the edited workbook in the folder, and what came, by the logbook.
"""

from collections.abc import Hashable
from pathlib import Path

import numpy as np
import pandas as pd

from wearcast.decisions.ordering.compare import DATES, FIGURES, order_moves
from wearcast.errors import UnreadableFile, WearcastError
from wearcast.reports.frames import as_written, shown_number
from wearcast.reports.order.approved import read_approved
from wearcast.reports.writing.ownership import refuse_other_than_file

KEY = ["depot", "part"]
_MUST = ["order_pieces", "expected_use", "on_hand", "on_order", "order_up_to"]
_WORDS: dict[Hashable, tuple[str, str]] = {
    "window": ("a longer window", "a shorter window"),
    "machines": ("more machines", "fewer machines"),
    "hours": ("more hours a machine", "fewer hours a machine"),
    "wear": (
        "more pieces an hour: newly fitted wear, or edges nearer their end",
        "fewer pieces an hour: newly fitted wear, or edges farther from their end",
    ),
    "use": ("more use expected", "less use expected"),
    "range": ("more held above the mean use", "less held above the mean use"),
    "drawn": ("used since, as forecast", "used since, as forecast"),
    "ran": ("use ran higher than forecast", "use ran lower than forecast"),
    "counted": ("counted fewer", "delivered or counted more"),
    "on_hand": ("less on the shelf", "more on the shelf"),
    "uncounted": (
        "its shelf was counted then and is not counted now",
        "its shelf is counted now and was not counted then",
    ),
    "on_order": ("less on order", "more on order"),
    "moved": ("moves between depots", "moves between depots"),
    "packs": ("whole packs, smallest orders, surplus", "whole packs, smallest orders, surplus"),
}
TERMS = ("unit_price", "line_total", "lead_days", "use_p05", "use_p95")
_LARGEST = 20_000_000  # bytes; an order of a thousand lines takes a quarter of a million
_MOST = 4  # causes told one by one
_SPREAD = 0.5  # pieces: below this a figure stands still


def what_changed(
    order: pd.DataFrame, folder: str | Path, on_order: pd.DataFrame | None = None
) -> pd.DataFrame:
    """Lines added, dropped, moved by more than a pack, or sold on other terms.

    Parameters
    ----------
    order : DataFrame
        The order of this run.
    folder : path
        A folder that an earlier ``report`` or ``order`` wrote.
    on_order : DataFrame, optional
        The logbook's open orders, received ones among them, to tell what came.

    Returns
    -------
    DataFrame
        depot, part, name, change (``added``, ``dropped``, ``more``, ``less``, ``price``,
        ``delivery``), before, now [pieces], order_by_before, order_by, cause, ordered, came
        [pieces; nan: not known], price_before, price, lead_days_before, lead_days.
    """
    both = side_by_side(order, earlier_order(Path(folder)))
    now, before = _pieces(both, "order_pieces"), _pieces(both, "order_pieces_before")
    moved = (now - before).abs().gt(_pack(both) + 1e-9) | (now.gt(0) != before.gt(0))
    price, lead = (_differs(both, name) for name in ("unit_price", "lead_days"))
    words = _change_words(before, now)
    words = words.mask(~moved & lead, "delivery").mask(~moved & price, "price")
    changed = pd.DataFrame(
        {
            "depot": both["depot"],
            "part": both["part"],
            "name": both["name"].fillna(both["name_before"]).fillna(""),
            "change": words,
            "before": before,
            "now": now,
            "order_by_before": both["order_by_before"],
            "order_by": both["order_by"],
            "cause": _causes(both).where(moved, ""),
            "ordered": pieces_of(both, ordered_from(Path(folder))),
            "came": pieces_of(both, came_since(both, on_order)),
            "price_before": both["unit_price_before"],
            "price": both["unit_price"],
            "lead_days_before": both["lead_days_before"],
            "lead_days": both["lead_days"],
        }
    )
    return changed[moved | price | lead].reset_index(drop=True)


def side_by_side(order: pd.DataFrame, old: pd.DataFrame) -> pd.DataFrame:
    """The lines of both orders, a shelf a row; what the earlier one said bears ``_before``."""
    both = order.merge(old, on=KEY, how="outer", suffixes=("", "_before"), indicator="stands")
    return both.sort_values(KEY, kind="stable").reset_index(drop=True)


def ordered_from(folder: Path) -> pd.DataFrame | None:
    """The lines ordered by the edited workbook in a folder; None where there is none to read.

    Where days were filled in under ``ordered`` these are the lines meant, else all with packs.
    """
    path = folder / "order.xlsx"
    if not path.is_file():
        return None
    try:
        lines = read_approved(path).lines
    except WearcastError:
        return None
    marked = lines[lines["ordered"].notna()]
    return marked if len(marked) else lines


def came_since(both: pd.DataFrame, on_order: pd.DataFrame | None) -> pd.DataFrame | None:
    """The orders received since the earlier order; None where nobody can tell."""
    then = both["from_before"].min()
    if on_order is None or pd.isna(then):
        return None
    return on_order[on_order["arrived"].astype(bool) & ~on_order["received"].lt(then)]


def pieces_of(both: pd.DataFrame, lines: pd.DataFrame | None) -> pd.Series:
    """Pieces of some lines at each shelf; nan where nothing is known."""
    if lines is None:
        return pd.Series(np.nan, both.index)
    pieces = lines.groupby(KEY)["pieces"].sum()
    return pd.Series([float(pieces.get(key, 0.0)) for key in zip(*(both[name] for name in KEY),
                     strict=True)], index=both.index)  # fmt: skip


def _differs(both: pd.DataFrame, name: str) -> pd.Series:
    """Where a term of a line that is or was ordered is another one now."""
    step = both[name].astype(float) - both[f"{name}_before"].astype(float)
    asked = _pieces(both, "order_pieces").gt(0) | _pieces(both, "order_pieces_before").gt(0)
    return step.abs().gt(1e-6) & asked


def earlier_order(folder: Path) -> pd.DataFrame:
    """An earlier order.csv as a frame of the columns compared.

    Raises
    ------
    UnreadableFile
        If the folder holds none, or one that is not ours.
    """
    path = folder / "order.csv"
    try:
        refuse_other_than_file(path, _LARGEST)
        old = pd.read_csv(path, dtype=str, keep_default_na=False, encoding="utf-8")
        further = [name for name in (*FIGURES, *TERMS, *DATES) if name in old and name not in _MUST]
        old = old[[*KEY, "name", "order_by", *_MUST, *further]]
    except FileNotFoundError as error:
        raise UnreadableFile(
            f"{folder} holds no order.csv to compare with; give a folder that wearcast wrote"
        ) from error
    except (OSError, RuntimeError, ValueError, KeyError) as error:  # also a link in a circle
        raise UnreadableFile(
            f"{path} is not an order that wearcast wrote; give a folder that it wrote"
        ) from error
    old = old.reindex(columns=[*KEY, "name", "order_by", *FIGURES, *TERMS, *DATES])
    texts = {name: old[name].map(as_written) for name in [*KEY, "name"]}
    numbers = {name: pd.to_numeric(old[name], errors="coerce") for name in (*FIGURES, *TERMS)}
    days = {
        name: pd.to_datetime(old[name], format="%Y-%m-%d", errors="coerce")
        for name in ("order_by", *DATES)
    }
    return old.assign(**texts, **numbers, **days).drop_duplicates(KEY)


def _pieces(both: pd.DataFrame, name: str) -> pd.Series:
    return both[name].astype(float).fillna(0.0)


def _pack(both: pd.DataFrame) -> pd.Series:
    """Pieces in a pack; 1 where the line bought none."""
    packs = both["order_packs"].astype(float)
    return (both["order_pieces"].astype(float) / packs.where(packs > 0)).fillna(1.0)


def _change_words(before: pd.Series, now: pd.Series) -> pd.Series:
    words = pd.Series("more", index=now.index).where(now > before, "less")
    words = words.where(before.gt(0), "added")
    return words.where(now.gt(0), "dropped")


def _causes(both: pd.DataFrame) -> pd.Series:
    """The figures behind the quantity that moved, biggest move first, in words."""
    figures = [*FIGURES, *DATES]
    before = both[[f"{name}_before" for name in figures]].set_axis(figures, axis=1)
    moves = order_moves(both[figures], before)
    words = [
        _cause_words(move, str(stands))
        for move, stands in zip(moves.to_dict("records"), both["stands"], strict=True)
    ]
    return pd.Series(words, index=both.index)


def _cause_words(move: dict[Hashable, float], stands: str) -> str:
    """One line's causes in words."""
    if stands == "left_only":
        return "a part that the earlier order did not list"
    if stands == "right_only":
        return "a part that this order does not list"
    ranked = sorted(move, key=lambda name: (-abs(move[name]), str(name)))
    told = {name: move[name] for name in ranked[:_MOST] if abs(move[name]) >= _SPREAD}
    words = [
        f"{_WORDS[name][0 if pieces > 0 else 1]} ({_signed(pieces)})"
        for name, pieces in told.items()
    ]
    rest = sum(move.values()) - sum(told.values())
    if abs(rest) >= _SPREAD:
        words.append(f"smaller causes together ({_signed(rest)})")
    return ", ".join(words)


def _signed(pieces: float) -> str:
    return f"{'+' if pieces > 0 else '-'}{shown_number(abs(pieces), 1)} pieces"
