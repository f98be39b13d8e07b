"""Small records for the tests of this room: a need that is known, put into the draws' shape."""

import numpy as np
import pandas as pd
from scipy import stats

from tests.conftest import table
from wearcast.decisions.orders import plan_orders
from wearcast.history.story import History
from wearcast.logbook.book import Logbook
from wearcast.logbook.choices import Choices
from wearcast.logbook.frames import FRAMES
from wearcast.logbook.schema.tables import BY_NAME
from wearcast.outlook.records import Block, Draws

AS_OF = pd.Timestamp("2026-12-31")
_KINDS = {"number": "float64", "count": "float64", "share": "float64", "yes_no": "bool",
          "date": "datetime64[ns]"}  # fmt: skip


def choices(weeks=13, draws=1000, **more):
    start = AS_OF + pd.Timedelta(days=1)
    return Choices(
        as_of=AS_OF,
        order_from=start,
        order_to=AS_OF + pd.Timedelta(days=7 * weeks),
        draws=draws,
        **{
            "gather_days": 0.0,
            "currency": "EUR",
            "window_asked": True,
            "ordering": "by date",
            **more,
        },
    )


def blank(name, extra=()):
    """An empty table of the logbook, or one filled up from a text table."""
    columns = {
        column.name: pd.Series(dtype=_KINDS.get(column.kind, "object"))
        for column in BY_NAME[name].columns
    }
    return pd.DataFrame({**columns, **{key: pd.Series(dtype="object") for key in extra}})


def filled(name, text):
    """A table of the logbook: the columns of the text, the rest blank."""
    empty = blank(name)
    given = table(text) if isinstance(text, str) else text
    frame = given.reindex(columns=[*empty.columns, *given.columns.difference(empty.columns)])
    for column, kind in empty.dtypes.items():
        if kind.kind == "O":
            frame[column] = frame[column].astype(object).where(frame[column].notna(), "")
            frame[column] = frame[column].map(str)
        elif kind.kind == "b":
            frame[column] = frame[column].eq("yes")
        else:
            frame[column] = frame[column].astype(kind)
    return frame


def all_counted(stock, places):
    """The counts, and a count of none of every other depot and part."""
    given = filled("stock", stock)
    given["depot"] = given["depot"].where(given["depot"] != "", "main")
    here = set(zip(given["depot"], given["part"], strict=True))
    none = [(depot, part, 0.0) for depot, part in sorted(places) if (depot, part) not in here]
    more = filled("stock", pd.DataFrame(none, columns=["depot", "part", "on_hand"]))
    return pd.concat([given, more], ignore_index=True) if none else given


def book(parts, stock="part  on_hand", on_order="part  pieces", machines="machine  site", **more):
    catalogue = filled("parts", parts)
    for name, default in {"pack": 1.0, "min_order": 0.0, "edges": 1.0}.items():
        catalogue[name] = catalogue[name].fillna(default)
    catalogue["wears_as"] = catalogue["wears_as"].where(
        catalogue["wears_as"] != "", catalogue["part"]
    )
    breaks = catalogue[["part", "from_pieces", "price"]].copy()
    breaks["from_pieces"] = breaks["from_pieces"].fillna(1.0)
    one_line = catalogue.drop_duplicates("part", ignore_index=True)
    one_line = one_line.assign(catalogued=True, source="parts.csv", row=range(2, 2 + len(one_line)))
    tables = {name: blank(name) for name in FRAMES if name in BY_NAME}
    made = {
        "machines": filled("machines", machines),
        "stock": filled("stock", stock),
        "on_order": filled("on_order", on_order),
    }
    for name in ("machines", "stock", "on_order"):
        made[name]["depot"] = made[name]["depot"].where(made[name]["depot"] != "", "main")
    made["on_order"]["arrived"] = made["on_order"]["received"].notna()
    return Logbook(
        **{**tables, **made, "parts": one_line, "price_breaks": breaks, **more},
        settings={},
        as_of=AS_OF,
        sources=("test",),
    )


def block_of(slot, draw, day, shape):
    """A block of slots and draws with worn ends only, of uses sorted by slot, draw and day."""
    row = slot * shape[1] + draw
    none = np.zeros(len(day), np.int8)
    return Block(
        uses=np.bincount(row, minlength=shape[0] * shape[1]).reshape(shape).astype(np.uint16),
        day=day.astype(np.int16), cause=none, edges_lost=none,
        next_end=np.zeros(shape, np.int16), turns=np.zeros(shape, np.uint8),
    )  # fmt: skip


def draws(needs, days=500, **slot_columns):
    """Draws whose slots need what is given.

    Parameters
    ----------
    needs : dict of (depot, part) -> list of arrays (slot by slot) of (draw, day) pairs
    slot_columns : lists, one value a slot
    """
    places = [place for place, slots in needs.items() for _ in slots]
    events = [np.asarray(slot, int).reshape(-1, 2) for slots in needs.values() for slot in slots]
    count = slot_columns.pop("count", 1 + max((e[:, 0].max() for e in events if len(e)), default=0))
    slots = pd.DataFrame({"depot": [p[0] for p in places], "part": [p[1] for p in places]})
    machines = [f"M{number:03d}" for number in range(len(slots))]
    defaults = {
        "machine": machines, "site": "hall", "position": "blade", "kind": "blade", "edges": 1.0,
        "pieces": 1.0, "price": 10.0, "wears_as": slots["part"],
    }  # fmt: skip
    slots = slots.assign(**{**defaults, **slot_columns})
    rows = [
        np.column_stack([np.full(len(e), number), e[np.lexsort((e[:, 1], e[:, 0]))]])
        for number, e in enumerate(events)
    ]
    flat = np.concatenate([np.empty((0, 3), int), *rows])
    names = tuple(sorted(set(slots["machine"])))
    weeks = days // 7
    return Draws(
        as_of=AS_OF,
        days=days,
        draws=count,
        slots=slots,
        floors=("unknown",),
        blocks=(block_of(*flat.T, shape=(len(slots), count)),),
        wear_now=np.zeros(len(slots)),
        wear_share=np.ones((len(slots), 1)),
        hours=np.full(len(names), 1000.0),
        weekly_hours=np.full((len(names), weeks), 1000.0 / 52),
        machines=names,
    )


def counted(counts, day=40):
    """Pairs (draw, day): in each draw so many uses, all on one day."""
    counts = np.asarray(counts, int)
    return np.column_stack([np.repeat(np.arange(len(counts)), counts), np.full(counts.sum(), day)])


def history(uses="machine  depot  part  date  pieces", machines=("M000",), site="hall"):
    fitted = table(uses) if isinstance(uses, str) else uses.copy()
    fitted["date"] = pd.to_datetime(fitted["date"])
    fitted["pieces"] = fitted["pieces"].astype(float)
    about = pd.DataFrame(
        {"site": np.asarray(site), "depot": "main", "m2_per_hour": np.nan, "width_cm": np.nan},
        index=pd.Index(machines, name="machine"),
    )
    mixes = pd.DataFrame({"machine": list(machines), "since": pd.Timestamp.min, "unknown": 1.0})
    nothing = pd.DataFrame()
    meters = pd.DataFrame({"machine": [], "date": pd.to_datetime([]), "hours": []})
    spells = pd.DataFrame({"wears_as": ["blade"], "cause": ["worn"]})
    return History(
        as_of=AS_OF, meters=meters, machines=about, spells=spells, exposure=nothing,
        end_mix=nothing, running=nothing, running_exposure=nothing, mixes=mixes, uses=fitted,
        floors=("unknown",),
    )  # fmt: skip


ONE_PART = """
    part   price  pack  lead_days  supplier
    blade  4      1     14         Harbour
"""
NOTHING = np.empty((0, 2), int)


def needs_of(text, draws):
    """Needs alike in all draws: ``depot part pieces@day pieces@day | ...``, a slot each; a lone
    ``pieces@day ...`` is of the blade at main."""
    made = {}
    for row in text.split(" | "):
        words = row.split()
        place = ("main", "blade") if "@" in words[0] else tuple(words[:2])
        uses = [word.split("@") for word in words if "@" in word]
        slots = [counted(np.full(draws, int(pieces)), int(day)) for pieces, day in uses]
        made[place] = slots or [NOTHING]
    return made


def poisson(mean, size=1000):
    return stats.poisson.ppf((np.arange(size) + 0.5) / size, mean).astype(int)


def plan(
    needs, parts=ONE_PART, stock="part  on_hand", on_order="part  pieces", uses=None,
    suppliers="supplier  min_value", counted=True, **asked,
):  # fmt: skip
    """The plan of orders; a shelf without a count holds nothing unless `counted` is False."""
    if isinstance(needs, str):
        asked = {"draws": 10, **asked}
        needs = needs_of(needs, asked["draws"])
    chosen = choices(**asked)
    made = draws(needs, count=chosen.draws)
    past = history() if uses is None else history(uses)
    there = all_counted(stock, needs) if counted else stock
    logbook = book(parts, there, on_order, suppliers=filled("suppliers", suppliers))
    return plan_orders(made, past, logbook, chosen)


def lines(needs, *args, **more):
    return plan(needs, *args, **more).lines


def line(*args, **kwargs):
    frame = lines(*args, **kwargs)
    assert len(frame) == 1
    return frame.iloc[0]
