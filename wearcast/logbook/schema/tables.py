"""The contract as data: every table and column of a logbook, in one declaration.

Reading, checking, the blank logbook, the marked copy and the format page in README all follow
from `TABLES`; a new column or setting is added here and nowhere else. Closed lists of the
outputs (`STATUSES`, `NEXT_ACTIONS`, `LOOKS`) stand here too.
"""

from dataclasses import dataclass
from typing import Literal

import pandas as pd

from wearcast.logbook.schema.vocabulary import ACTION_WORDS, CAUSE_WORDS, KIND_WORDS

Kind = Literal["name", "text", "number", "count", "date", "yes_no", "choice", "share"]


@dataclass(frozen=True, slots=True)
class Column:
    """One column of a table: what it holds and what people also call it."""

    name: str
    kind: Kind
    meaning: str
    """One sentence for the person, shown in the blank logbook and in README."""
    needed: bool = False
    unit: str = ""
    low: float | None = None
    high: float | None = None
    choices: tuple[str, ...] = ()
    also: tuple[str, ...] = ()
    """Everyday synonyms of the heading."""
    refers: str = ""
    """``table.column`` whose values this column picks from (drop-downs, did-you-mean)."""
    holds_row: bool = False
    """True where blank has a meaning of its own: an unusable value then sets the row aside."""
    words: tuple[tuple[str, str], ...] = ()
    """Other words for a choice: (their word, our choice, or the choices it can mean)."""
    unknown_is: str = ""
    """What an unknown choice is read as, told and counted as set aside; empty: not usable."""
    or_yes: bool = False
    """True where a date may also be yes: done, on a day that nobody wrote down (`SOME_DAY`)."""


@dataclass(frozen=True, slots=True)
class Table:
    """One table of a logbook: its columns and what a row says."""

    name: str
    says: str
    columns: tuple[Column, ...]
    also: tuple[str, ...] = ()

    def column(self, name: str) -> Column:
        """The column of that name."""
        return next(column for column in self.columns if column.name == name)

    @property
    def texts(self) -> list[str]:
        """Names of the columns that hold words."""
        kinds = ("name", "text", "choice")
        return [column.name for column in self.columns if column.kind in kinds]


KINDS = ("blade", "brush", "pad", "other")
EDGES_BY_KIND = {"blade": 4, "pad": 2, "brush": 1, "other": 1}
ACTIONS = ("fit", "turn", "remove")
CAUSES = ("worn", "damaged", "planned", "other")
UNKNOWN = "unknown"
"""The cause of an end for which every cause is possible: a word that nobody decided."""

STATUSES = (
    "overdue", "order now", "order", "not counted", "watch", "gap", "surplus", "no use",
)  # fmt: skip
SOME_DAY = pd.Timestamp("1970-01-01")
"""Stands for a day that nobody wrote down, until the logbook's frames are made."""
WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday")
ORDER_DAYS = (*WEEKDAYS, *(str(day) for day in range(1, 29)))
"""Weekdays, or days of the month."""
ORDER_DAY_WORDS = (
    *((f"{day}s", day) for day in WEEKDAYS),
    *((day[:3], day) for day in WEEKDAYS),
)
NEXT_ACTIONS = ("turn", "change", "fit", "look")
LOOKS = ("", "wears fast", "wears slow")
ENDED = ("turn", "fit", "remove", "assumed fit", "retired", "running")

_MACHINE = Column(
    "machine",
    "name",
    "the machine's own number or name",
    True,
    refers="machines.machine",
    also=("unit", "machine id", "machine no", "machine number", "scrubber", "asset", "fleet no"),
)
_PART_ALSO = (
    *("part no", "part number", "part code", "item", "item no", "item number", "article"),
    *("article no", "article number", "material no", "sku"),
)
_DATE_ALSO = ("day", "when", "on date")
_HOURS_ALSO = ("hrs", "hour meter", "hourmeter", "meter", "meter reading", "reading")

TABLES: tuple[Table, ...] = (
    Table(
        "machines",
        "a scrubber, where it works and which depot supplies it",
        (
            Column("machine", "name", "the machine's own number or name", True, also=_MACHINE.also),
            Column("site", "name", "where it works", also=("building", "location", "place")),
            Column(
                "depot",
                "name",
                "the store that supplies it; blank: main",
                also=("store", "warehouse"),
            ),
            Column("deck", "text", "the scrub deck, in words"),
            Column(
                "width_cm",
                "number",
                "working width",
                unit="cm",
                low=10,
                high=400,
                also=("width", "working width"),
            ),
            Column(
                "m2_per_hour",
                "number",
                "area really cleaned in an hour",
                unit="m2/h",
                low=1,
                high=50_000,
                also=("area per hour",),
            ),
            Column(
                "in_service",
                "date",
                "first day at work",
                also=("in service", "start date", "bought"),
            ),
            Column("retired", "date", "last day at work", also=("out of service", "scrapped")),
            Column(
                "since",
                "date",
                "from when this row holds (a machine that moved); blank: always",
                holds_row=True,
            ),
        ),
        also=("machine", "scrubbers", "fleet", "units"),
    ),
    Table(
        "readings",
        "the hour meter on a day",
        (
            _MACHINE,
            Column("date", "date", "the day of the reading", True, also=_DATE_ALSO),
            Column(
                "hours", "number", "what the hour meter showed", True, "h", 0, 1e6, also=_HOURS_ALSO
            ),
            Column(
                "new_meter",
                "yes_no",
                "yes: first reading of a replaced or reset meter",
                also=("meter replaced", "reset"),
            ),
        ),
        also=("reading", "hour meter", "hour meters", "meter readings", "hours"),
    ),
    Table(
        "changes",
        "what was done to the part at a position",
        (
            _MACHINE,
            Column("date", "date", "the day it was done", True, also=_DATE_ALSO),
            Column(
                "position",
                "name",
                "where on the machine: front blade, left brush ...",
                True,
                also=("where", "place on machine"),
            ),
            Column(
                "action",
                "choice",
                "fit (a new part), turn (next edge) or remove",
                True,
                choices=ACTIONS,
                words=ACTION_WORDS,
                also=("what", "work", "done"),
            ),
            Column(
                "part",
                "name",
                "the part; blank: what the position carries",
                refers="parts.part",
                also=_PART_ALSO,
            ),
            Column(
                "cause",
                "choice",
                "why the edge in use ended; blank: worn",
                choices=CAUSES,
                words=CAUSE_WORDS,
                unknown_is=UNKNOWN,
                also=("why", "reason"),
            ),
            Column(
                "hours",
                "number",
                "the hour meter then; blank: read off the curve",
                unit="h",
                low=0,
                high=1e6,
                also=_HOURS_ALSO,
            ),
            Column(
                "pieces",
                "count",
                "pieces used by this change; blank: those of the position",
                low=1,
                high=100,
                holds_row=True,  # -1 is a part brought back, and no change
                also=("quantity", "qty", "number of pieces"),
            ),
            Column(
                "by",
                "name",
                "who did it, in a name or a mark; blank: not written",
                also=("done by", "changed by", "fitted by"),
            ),
            Column("shift", "name", "the shift in which it was done; blank: not written"),
        ),
        also=("change", "part changes", "parts changed", "work done"),
    ),
    Table(
        "floors",
        "which share of a machine's hours is on which floor",
        (
            _MACHINE,
            Column(
                "floor",
                "name",
                "the floor type, in your own words",
                True,
                also=("floor type", "surface"),
            ),
            Column(
                "share",
                "share",
                "share of the machine's hours, 0 to 1 or 0 to 100",
                low=0,
                high=1000,
                holds_row=True,
                also=("part of hours", "percent", "%"),
            ),
            Column(
                "since",
                "date",
                "from when this holds; blank: always",
                also=("from", "valid from"),
                holds_row=True,
            ),
            Column("share_low", "share", "lowest likely share (proposals)", low=0, high=100),
            Column("share_high", "share", "highest likely share (proposals)", low=0, high=100),
        ),
        also=("floor", "floor types", "surfaces"),
    ),
    Table(
        "parts",
        "a line of the catalogue",
        (
            Column(
                "part",
                "name",
                "the part's number or name",
                True,
                also=_PART_ALSO,
            ),
            Column("name", "text", "what it is, in words", also=("description",)),
            Column(
                "kind",
                "choice",
                "blade, brush, pad or other",
                choices=KINDS,
                words=KIND_WORDS,
                also=("type",),
            ),
            Column(
                "wears_as",
                "name",
                "parts with the same word wear alike and are fitted together",
                also=("wear class", "wears like"),
            ),
            Column("edges", "count", "usable edges or faces", low=1, high=12, also=("faces",)),
            Column(
                "price",
                "number",
                "price of one piece",
                low=0,
                high=1e7,
                also=("unit price", "cost", "price each", "price per piece"),
            ),
            Column(
                "pack", "count", "pieces in a pack", low=1, high=1e5, also=("pack size", "per pack")
            ),
            Column(
                "min_order",
                "count",
                "fewest pieces in one order",
                low=0,
                high=1e6,
                also=("minimum order", "moq"),
            ),
            Column(
                "lead_days",
                "number",
                "days from order to delivery",
                unit="days",
                low=0,
                high=730,
                also=("lead time", "delivery days", "delivery time", "delivery"),
            ),
            Column(
                "lead_days_sd",
                "number",
                "spread (standard deviation) of that",
                unit="days",
                low=0,
                high=365,
                also=("lead time sd",),
            ),
            Column("supplier", "name", "who sells it", also=("vendor", "from whom")),
            Column(
                "supplier_part",
                "text",
                "the supplier's own number of it, for the order",
                also=("supplier part number", "supplier article", "order code", "their number"),
            ),
            Column(
                "usual_hours",
                "number",
                "typical life of one edge or face",
                unit="h",
                low=0.1,
                high=1e5,
                also=("usual life", "typical hours"),
            ),
            Column(
                "from_pieces",
                "count",
                "this price holds from so many pieces on; blank: 1",
                low=1,
                high=1e6,
                holds_row=True,
            ),
            Column("replaced_by", "name", "the part ordered in its place", refers="parts.part"),
            Column("minutes", "number", "work of one change", unit="min", low=0, high=600),
            Column(
                "service_level",
                "share",
                "chance of no shortage of this part; blank: the setting's",
                low=0.5,
                high=99.9,
                also=("service level",),
            ),
            Column("turn_minutes", "number", "work of one turn", unit="min", low=0, high=600),
        ),
        also=("part", "catalogue", "catalog", "price list"),
    ),
    Table(
        "positions",
        "what a machine carries where",
        (
            _MACHINE,
            Column("position", "name", "where on the machine", True),
            Column(
                "part",
                "name",
                "the part there",
                True,
                refers="parts.part",
                also=_PART_ALSO,
            ),
            Column(
                "pieces",
                "count",
                "pieces one change uses; blank: 1",
                low=1,
                high=100,
                holds_row=True,
                also=("quantity", "qty", "number"),
            ),
            Column(
                "hours_on",
                "number",
                "run hours of the edge at work at the start; blank: new (proposals)",
                unit="h",
                low=0,
                high=1e5,
            ),
        ),
        also=("position", "fitted parts"),
    ),
    Table(
        "stock",
        "pieces on the shelf",
        (
            Column(
                "part",
                "name",
                "the part",
                True,
                refers="parts.part",
                also=_PART_ALSO,
            ),
            Column(
                "on_hand",
                "count",
                "pieces on the shelf",
                True,
                low=0,
                high=1e7,
                also=(
                    *("on hand", "quantity", "qty", "pieces", "in stock", "stock", "stock qty"),
                    *("stock quantity", "qty on hand", "quantity on hand"),
                ),
            ),
            Column(
                "depot",
                "name",
                "where; blank: the only depot, else main",
                also=("store", "warehouse"),
            ),
            Column(
                "counted",
                "date",
                "the day they were counted; blank: as-of",
                holds_row=True,
                also=("count date", "counted on"),
            ),
        ),
        also=("on hand", "inventory", "stock list", "stock count"),
    ),
    Table(
        "on_order",
        "pieces already ordered",
        (
            Column(
                "part",
                "name",
                "the part",
                True,
                refers="parts.part",
                also=_PART_ALSO,
            ),
            Column(
                "pieces", "count", "pieces ordered", True, low=0, high=1e7, also=("quantity", "qty")
            ),
            Column(
                "due",
                "date",
                "the day they should arrive",
                True,
                also=("due date", "delivery", "expected"),
            ),
            Column(
                "depot",
                "name",
                "where to; blank: the only depot, else main",
                also=("store", "warehouse"),
            ),
            Column(
                "received",
                "date",
                "the day it came, or yes; blank: still to come",
                also=("received on", "arrived", "came", "delivered"),
                or_yes=True,
            ),
        ),
        also=("on order", "open orders", "ordered"),
    ),
    Table(
        "suppliers",
        "a supplier and how it takes orders",
        (
            Column("supplier", "name", "who sells, as in parts", True, also=("vendor",)),
            Column(
                "min_value",
                "number",
                "smallest value of one order",
                low=0,
                high=1e7,
                also=("minimum order value", "smallest order"),
            ),
            Column(
                "carriage",
                "number",
                "order value from which carriage is free",
                low=0,
                high=1e7,
                also=("free carriage", "carriage free from", "free delivery from"),
            ),
            Column(
                "carriage_cost",
                "number",
                "what carriage costs below that value",
                low=0,
                high=1e6,
                also=("delivery charge", "freight"),
            ),
            Column(
                "lead_days",
                "number",
                "days from order to delivery for parts that give none",
                unit="days",
                low=0,
                high=730,
                also=("lead time", "delivery days", "delivery time", "delivery"),
            ),
            Column(
                "order_day",
                "choice",
                "the weekday or the day of the month for orders; blank: any",
                choices=ORDER_DAYS,
                words=ORDER_DAY_WORDS,
                also=("order weekday", "order on"),
            ),
            Column(
                "prefix",
                "text",
                "parts that begin so and name no supplier are theirs",
                also=("article prefix",),
            ),
            Column("contact", "text", "whom to write to", also=("email", "e-mail", "address")),
        ),
        also=("supplier", "vendors"),
    ),
    Table(
        "plans",
        "planned hours that replace the forecast",
        (
            _MACHINE,
            Column("start", "date", "from when", True, also=("from",)),
            Column(
                "hours_per_week",
                "number",
                "planned hours a week; 0: standing still",
                True,
                "h",
                0,
                168,
                also=("hours a week", "weekly hours"),
            ),
            Column("end", "date", "last day; blank: open", also=("until", "to"), holds_row=True),
            Column(
                "hours_low",
                "number",
                "lowest likely hours a week (proposals)",
                unit="h",
                low=0,
                high=168,
            ),
            Column(
                "hours_high",
                "number",
                "highest likely hours a week (proposals)",
                unit="h",
                low=0,
                high=168,
            ),
        ),
        also=("plan", "planned hours"),
    ),
    Table(
        "depots",
        "a depot and where goods for it are delivered",
        (
            Column("depot", "name", "the store", True, also=("store", "warehouse")),
            Column(
                "address",
                "text",
                "name and address for the suppliers, commas between the lines",
                True,
                also=("deliver to", "delivery address"),
            ),
        ),
        also=("depot", "stores", "warehouses"),
    ),
    Table(
        "settings",
        "one setting and its value",
        (
            Column("setting", "name", "the setting's name", True, also=("name", "option")),
            Column("value", "text", "its value", True),
        ),
        also=("setting", "options"),
    ),
    Table(
        "columns",
        "a heading of yours and the column it means",
        (
            Column("table", "name", "which table of ours", True),
            Column(
                "sheet",
                "text",
                "your sheet's name, or a pattern such as GX-*; blank: sheets named as the table",
            ),
            Column(
                "theirs",
                "text",
                "the heading in your file; or [sheet], [file], [heading], [cell]",
                True,
                also=("their heading", "yours"),
            ),
            Column(
                "ours",
                "name",
                "our column, or did, only, run; blank: left out",
                also=("our column",),
            ),
        ),
    ),
    Table(
        "words",
        "a word of yours and what it means",
        (
            Column("table", "name", "which table of ours", True),
            Column("column", "name", "our column, or did, only", True),
            Column("theirs", "text", "the word or phrase in your file", True, also=("yours",)),
            Column("ours", "text", "our word; skip: such rows do not count"),
            Column("position", "text", "for did: the position it was done to"),
            Column("action", "text", "for did: fit, turn or remove"),
            Column("cause", "text", "for did: why the edge in use ended"),
            Column("rows", "text", "how many rows had it; not read"),
            Column("example", "text", "one of them; not read"),
        ),
    ),
)

BY_NAME = {table.name: table for table in TABLES}
ABOUT_OTHERS = ("settings", "columns", "words")
"""Tables that say how the others are to be read; a logbook has no frame of them."""


@dataclass(frozen=True, slots=True)
class Setting:
    """One setting: what it may be and what it is unless said otherwise."""

    name: str
    meaning: str
    default: str
    kind: Literal["number", "count", "text", "choice", "date", "dates"]
    low: float | None = None
    high: float | None = None
    choices: tuple[str, ...] = ()


SETTINGS: tuple[Setting, ...] = (
    Setting("currency", "word or sign shown beside money", "", "text"),
    Setting("buyer", "name and address of who orders, for the suppliers", "", "text"),
    Setting(
        "service_level", "chance of no shortage in an order cycle", "0.95", "number", 0.5, 0.999
    ),
    Setting("review_weeks", "weeks between orders", "13", "number", 1, 104),
    Setting(
        "ordering",
        "at once: all lines go out today; by date: each by its order-by date",
        "at once",
        "choice",
        choices=("at once", "by date"),
    ),
    Setting(
        "shortage_cost",
        "cost of a piece that is missing; it then sets each part's service level",
        "",
        "number",
        0,
        1e6,
    ),
    Setting(
        "holding_rate",
        "cost of holding stock for a year, as a share of its price",
        "0.2",
        "number",
        0,
        1,
    ),
    Setting("price_growth", "growth of prices in a year, 0.03 = 3 %", "0", "number", -0.5, 1.0),
    Setting("as_of", "the day the forecast stands on; blank: the newest date", "", "date"),
    Setting(
        "dates",
        "how dates like 03/02 are meant",
        "",
        "choice",
        choices=("day first", "month first"),
    ),
    Setting(
        "lead_days", "days from order to delivery for parts that give none", "14", "number", 0, 730
    ),
    Setting(
        "fit",
        "blended: with typical lives; data only: maximum likelihood",
        "blended",
        "choice",
        choices=("blended", "data only"),
    ),
    Setting(
        "pace",
        "machine: each machine has its own pace; off: all alike",
        "machine",
        "choice",
        choices=("machine", "off"),
    ),
    Setting("seed", "start of the random numbers", "1", "count", 0, 2**31),
    Setting(
        "gather_days",
        "by date: order lines of one supplier this close go out together",
        "14",
        "number",
        0,
        92,
    ),
    Setting("closed_days", "days without ordering, ISO dates with blanks between", "", "dates"),
    Setting("speed_km_h", "working speed, to estimate area from width_cm", "", "number", 0.1, 20),
    Setting(
        "work_share", "share of the theoretical area rate really cleaned", "", "number", 0.05, 1
    ),
    Setting("labour_rate", "price of an hour of work on a change", "", "number", 0, 1e5),
    Setting(
        "margin", "share of an offer's price that is not cost, 0.15 = 15 %", "0", "number", 0, 0.9
    ),
    Setting(
        "adjust_beyond",
        "how far hours may differ before an offer's price is adjusted, 0.1 = 10 %",
        "0.1",
        "number",
        0,
        1,
    ),
    Setting("client", "who an offer is for", "", "text"),
    Setting("offered_by", "name and address of who makes an offer", "", "text"),
    Setting("valid_until", "last day on which an offer can be taken up", "", "date"),
)
