# ruff: noqa: E501
"""A small forecast made by hand: two sites, two depots, three parts, four futures."""

from types import SimpleNamespace

import numpy as np
import pandas as pd

from tests.conftest import table
from wearcast.decisions.ordering.baskets import baskets
from wearcast.decisions.orders import COLUMNS as ORDER_COLUMNS
from wearcast.logbook.book import Logbook
from wearcast.logbook.choices import Choices
from wearcast.logbook.schema.tables import ABOUT_OTHERS, TABLES
from wearcast.outlook.records import Block, Draws
from wearcast.told import Problem

AS_OF = pd.Timestamp("2026-10-31")
DAYS = 400

ORDER = """
    depot  part    name            supplier      on_hand  on_order  expected_use  use_p05  use_p50  use_p95  order_up_to  order_pieces  order_packs  pack  unit_price  line_total  order_by    order_on    runs_out_p05  runs_out_p50  status     why
    north  BL-1    gum blade       Hill & Sons   2        4         10.5          6        10       15       15           10            2            5     12.5        125.0       2026-11-30  2026-11-30  2026-12-20    2027-01-15    order      About 10.5 pieces will be used.
    south  BL-1    gum blade       Hill & Sons   1        0         4.25          1        4        8        8            10            2            5     12.5        125.0       2026-10-26  2026-11-02  2026-11-05    2026-12-01    overdue    Order now.
    north  =SUM(1)  "@evil" <b>     -Minus Ltd.   0        0         3.0           1        3        6        6            6             6            1     8.0         48.0        2026-12-07  2026-12-07  2026-12-28    2027-02-01    order      About 3 pieces will be used.
    south  PAD-9   scrub pad, red  Hill & Sons   40       0         6.0           3        6        10       10           0             0            5     4.0         0.0         -           -           -             -             surplus    40 on the shelf last about 20 months.
"""


def forecast(**changed):
    """A record with the fields that the reports read."""
    made = SimpleNamespace(
        book=book(),
        choices=Choices(
            as_of=AS_OF,
            order_from=pd.Timestamp("2027-01-01"),
            order_to=pd.Timestamp("2027-03-31"),
            window_asked=True,
            currency="EUR",
            draws=4,
        ),
        draws=draws(),
        wear=SimpleNamespace(
            classes=("gum", "nylon"), kinds=("blade", "brush"), told=(), effect_table=effects(),
            blocks=(), spells={}, floors=("concrete", "vinyl"),
            worn=SimpleNamespace(terms=(), mean=np.zeros(0)),
        ),
        history=history(),
        order=order(),
        orders=baskets(order(), book().suppliers),
        order_service=service(),
        forecast=use(),
        quantiles=quantiles(),
        floors=floors(),
        machines=machines(),
        edges=edges(),
        due=due(),
        cost=cost(),
        spells=spells(),
        part_choice=part_choice(),
        told=(
            Problem("log.csv", "readings", (3, 7, 9, 10), "hours", "=1,2", "set aside",
                    "two readings are possible", "Write 1.2 or 1200", 2.0),
            Problem("log.csv", "parts", (2,), "price", "12,5", "repaired",
                    "the decimal mark is a comma", "", 1.0),
        ),
    )  # fmt: skip
    for name, value in changed.items():
        setattr(made, name, value)
    return made


def book() -> Logbook:
    frames = {
        each.name: pd.DataFrame(columns=[column.name for column in each.columns])
        for each in TABLES
        if each.name not in ABOUT_OTHERS
    }
    parts = table("""
        part     name            kind   wears_as  edges  price  pack  min_order  lead_days  supplier     supplier_part
        BL-1     gum blade       blade  gum       4      12.5   5     0          10         Hill & Sons  H-77
        =SUM(1)  "@evil" <b>     brush  nylon     1      8.0    1     0          14         -Minus Ltd.  -
        PAD-9    scrub pad, red  pad    scrub     2      4.0    5     0          7          Hill & Sons  -
    """)
    parts = parts.assign(
        lead_days_sd=2.0, replaced_by="", minutes=np.nan, service_level=np.nan, catalogued=True
    )
    readings = table("machine  date  hours | M1  2026-01-05  10 | M1  2026-10-31  400")
    changes = table("""
        machine  date        position     action  part  cause  hours
        M1       2026-02-05  front blade  fit     BL-1  worn   50
    """)
    stock = order()[["depot", "part", "on_hand"]].assign(counted=AS_OF)
    on_order = table("part  pieces  due  depot | BL-1  4  2026-11-20  north").assign(
        received=pd.NaT, arrived=False
    )
    return Logbook(
        **{**frames, "parts": parts, "readings": readings, "changes": changes,
           "stock": stock, "on_order": on_order},
        price_breaks=parts[["part", "price"]].assign(from_pieces=1.0),
        settings={"currency": "EUR"},
        as_of=AS_OF,
        sources=("log.csv",),
    )  # fmt: skip


def order() -> pd.DataFrame:
    frame = table(ORDER)
    for name in ("order_by", "order_on", "runs_out_p05", "runs_out_p50"):
        frame[name] = pd.to_datetime(frame[name].replace("", None))
    frame = frame.assign(
        **{"from": AS_OF + pd.Timedelta(days=1), "to": pd.Timestamp("2027-04-10")},
        lead_days=10.0, lead_days_sd=2.0, in_time=0.97, service_cycle=0.96, service_pieces=0.99,
        transfer="", moved_in=0.0, moved_out=0.0, missing=1.0, spare=0.0, months_of_use=np.inf,
        gap_days_p50=0.0, gap_days_p95=0.0, min_order=0.0, stepped_up=False, replaced_by="",
        kind="blade", machines=1.0, hours_per_week=20.0, on_order_late=0.0, on_record=40.0, used=5.0,
        on_order_comes=(AS_OF + pd.Timedelta(days=20)),
        reason="The whole reason.", check="", counted=AS_OF, expected_count=np.nan,
        count_gap=np.nan, on_order_doubtful=0.0, service_level=0.95, service_from="settings",
        topped_up=0.0, wanted_pieces=frame["order_pieces"], used_last_year=9.0, last_year_why="",
    )  # fmt: skip
    return frame[list(ORDER_COLUMNS)]


def service() -> pd.DataFrame:
    """How surely the whole order, each supplier and depot last."""
    return table("""
        what      who          lines  no_shortage  pieces_from_shelf  level
        order     all          4      0.81         0.99               0.95
        supplier  -Minus Ltd.  1      0.96         0.99               0.95
        supplier  Hill & Sons  3      0.84         0.99               0.95
    """)


def draws() -> Draws:
    """Four futures; the blade of the north goes every 40 days, the brush every 90."""
    slots = table("""
        machine  site    depot  position     part     wears_as  kind   edges  pieces  price
        M1       Hall A  north  front blade  BL-1     gum       blade  4      1       12.5
        M1       Hall A  north  brush        =SUM(1)  nylon     brush  1      2       8.0
        M2       Hall B  south  front blade  BL-1     gum       blade  4      1       12.5
    """)
    uses = [
        (slot, draw, day + 3 * draw)
        for slot, every in ((0, 40), (1, 90), (2, 60))
        for draw in range(4)
        for day in range(every, DAYS - 20, every)
    ]
    slot, draw, day = (np.array(each) for each in zip(*uses, strict=True))
    block = Block(
        uses=np.bincount(4 * slot + draw, minlength=12).reshape(3, 4), day=day.astype(np.int16),
        cause=np.zeros(len(slot), np.int8), edges_lost=np.zeros(len(slot), np.int8),
        next_end=np.full((3, 4), 10, np.int16), turns=np.zeros((3, 4), np.uint8),
    )  # fmt: skip
    return Draws(
        as_of=AS_OF, days=DAYS, draws=4, slots=slots, floors=("concrete", "vinyl"),
        blocks=(block,),
        wear_now=np.array([0.5, 0.2, 0.9]),
        wear_share=np.full((3, 2), 0.5), hours=np.full(2, 1000.0),
        weekly_hours=np.full((2, 57), 20.0), machines=("M1", "M2"),
    )  # fmt: skip


def history():
    machines_ = table("""
        machine  site    depot  hours  hours_per_week  first_date  last_date   silent_days
        M1       Hall A  north  400    20              2026-01-05  2026-10-31  0
        M2       Hall B  south  300    15              2026-01-05  2026-10-01  30
    """).set_index("machine")
    machines_["first_date"] = pd.to_datetime(machines_["first_date"])
    return SimpleNamespace(
        machines=machines_,
        spells=pd.DataFrame(
            {
                "machine": "M1",
                "site": "Hall A",
                "wears_as": "gum",
                "cause": ["worn", "running"],
                "start": pd.to_datetime(["2026-01-05", "2026-02-05"]),
                "end": pd.to_datetime(["2026-02-05", "2026-10-31"]),
                "in_fit": [True, True],
                "by": "",
                "shift": "",
            }
        ),
        exposure=pd.DataFrame({"concrete": [40.0, 200.0], "vinyl": [10.0, 50.0]}),
        uses=table("""
            machine  site    depot  position     part  date        pieces  cause
            M1       Hall A  north  front blade  BL-1  2026-02-05  1       worn
        """),
        floors=("concrete", "vinyl"),
        as_of=AS_OF,
        mixes=table(
            "machine  since  concrete  vinyl | M1  2026-01-05  0.8  0.2 | M2  2026-01-05  0.0  1.0"
        ),
        told=(),
    )


def use() -> pd.DataFrame:
    return table("""
        level  where   part     period   start       end         mean  p05  p10  p50  p90  p95
        fleet  fleet   BL-1     quarter  2026-11-01  2027-01-30  4.5   2    2    4    7    8
        fleet  fleet   all      quarter  2026-11-01  2027-01-30  8.5   5    6    8    12   13
        fleet  fleet   all      year     2026-11-01  2027-10-30  30.5  20   22   30   40   43
        fleet  fleet   BL-1     2026-11  2026-11-01  2026-11-30  1.5   0    0    1    3    4
        fleet  fleet   BL-1     2026-12  2026-12-01  2026-12-31  1.6   0    0    2    3    4
        site   Hall A  BL-1     quarter  2026-11-01  2027-01-30  3.0   1    1    3    5    6
    """)


def quantiles() -> pd.DataFrame:
    return table("level  where  part  period  q  pieces | fleet  fleet  BL-1  quarter  0.5  4")


def floors() -> pd.DataFrame:
    return table("""
        wears_as  floor     hours_per_edge  low   high   median  shape  relative  relative_low  relative_high  damaged_per_1000h  spells  worn  damaged  running  hours  hours_to_change  cost_per_100h  pace_spread  basis
        gum       concrete  62.123456789    55.0  70.0   60.0    2.2    1.0       1.0           1.0            0.5                40      30    5        5        2400   58.0             5.04           0.1          measured
        gum       vinyl     120.0           90.0  160.0  115.0   2.2    0.5177    0.4           0.7            0.3                10      7     1        2        1100   110.0            2.6            0.1          blended
        nylon     concrete  300.0           200   450    290.0   2.0    1.0       1.0           1.0            0.1                3       1     0        2        900    280.0            5.3            0.1          typical
    """)


def effects() -> pd.DataFrame:
    return table("wears_as  effect  life_ratio  low  high | gum  front  0.85  0.80  0.90")


def machines() -> pd.DataFrame:
    return table("""
        machine  site    wears_as  pace  low   high  hazard  look        hours_per_week  silent_days
        M1       Hall A  gum       1.31  1.10  1.55  1.8     wears fast  20.0            0
        M2       Hall B  gum       0.98  0.80  1.20  0.95    -           15.0            30
    """)


def edges() -> pd.DataFrame:
    return table("""
        site    wears_as  parts_spent  edges_used  edges_available  mean_edges_used  lost_per_year  lost_low  lost_high
        Hall A  gum       10           34          40               3.4              21.0           10.0      35.0
        Hall B  gum       5            20          20               4.0              0.0            0.0       0.0
    """)


def due() -> pd.DataFrame:
    frame = table("""
        machine  site    position     part     edge  edges  wear  next_action  due_p10     due_p50     due_p90     replace_p50
        M1       Hall A  front blade  BL-1     3     4      0.8   turn         2026-11-03  2026-11-10  2026-11-20  2026-12-20
        M2       Hall B  front blade  BL-1     4     4      0.5   change       2026-11-12  2026-11-25  2026-12-10  2026-11-25
        M1       Hall A  brush        =SUM(1)  1     1      0.2   change       2027-01-12  2027-02-25  2027-04-10  2027-02-25
    """)
    return frame.assign(
        **{
            name: pd.to_datetime(frame[name])
            for name in ("due_p10", "due_p50", "due_p90", "replace_p50")
        }
    )


def part_choice() -> pd.DataFrame:
    return table("""
        deck  position     kind   floor     part  wears_as  pieces  hours_per_part  cost_per_100h  low  high  chance_cheapest  break_even
        pads  front blade  blade  concrete  BL-1  gum       1       240             5.2            4.5  6.1   0.8              14.5
        pads  front blade  blade  concrete  BL-2  pu        1       300             6.0            4.9  7.2   0.2              15.6
        pads  deck         pad    concrete  PAD   pad       2       60              9.0            8.0  9.9   1.0              -
    """)


def cost() -> pd.DataFrame:
    return table("""
        level    where     kind   mean   p10    p50    p90    currency  per_100h  per_1000m2  covers
        fleet    fleet     all    812.5  700.0  810.0  930.0  EUR       40.6      0.61        parts only
        fleet    fleet     blade  500.0  430.0  500.0  580.0  EUR       25.0      0.38        parts only
        fleet    fleet     brush  312.5  270.0  310.0  350.0  EUR       15.6      0.23        parts only
        site     Hall A    all    600.0  510.0  600.0  700.0  EUR       45.0      0.7         parts only
        site     Hall B    all    212.5  160.0  210.0  270.0  EUR       31.0      -           parts only
        machine  M1        all    600.0  510.0  600.0  700.0  EUR       45.0      0.7         parts only
        floor    concrete  all    500.0  430.0  500.0  580.0  EUR       50.0      0.8         parts only
        floor    vinyl     all    312.5  270.0  310.0  350.0  EUR       31.0      0.4         parts only
        month    2026-11   all    60.0   40.0   60.0   90.0   EUR       40.0      0.6         parts only
        month    2026-12   all    70.0   45.0   70.0   95.0   EUR       41.0      0.6         parts only
    """)


def spells() -> pd.DataFrame:
    return table("""
        machine  position     part  edge  start       end         hours  cause    ended    concrete  vinyl
        M1       front blade  BL-1  1     2026-02-05  2026-04-05  60.5   worn     turn     40.5      20.0
        M1       front blade  BL-1  2     2026-04-05  2026-10-31  70.25  running  running  50.25     20.0
    """)
