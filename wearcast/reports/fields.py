"""The contract of the outputs as data: every column of every file, its heading and its meaning.

The CSV files, the workbook's headings and notes, the page's tables and the tables on the screen
all follow from `OUTPUTS`, so that one figure carries one name everywhere. A column that a frame
has beyond these is written after them.
"""

from dataclasses import dataclass
from typing import Literal

Kind = Literal["text", "date", "count", "pieces", "money", "hours", "number", "share"]


@dataclass(frozen=True, slots=True)
class Field:
    """One column of an output file."""

    name: str
    kind: Kind
    heading: str
    """Heading for people."""
    note: str
    """One sentence that says what the figure means."""


_PART = Field("part", "text", "Part", "The part's number or name in the catalogue.")
_SITE = Field("site", "text", "Site", "Where the machine works.")
_MACHINE = Field("machine", "text", "Machine", "The machine's own number or name.")
_POSITION = Field("position", "text", "Position", "Where on the machine.")
_CLASS = Field("wears_as", "text", "Wears as", "Parts with the same word are fitted together.")
_LEVEL = Field("level", "text", "Level", "What the row stands for: the fleet or a part of it.")
_WHERE = Field("where", "text", "Where", "Which one of that level.")
_PERIOD = Field("period", "text", "Period", "The quarter or year after as-of, or a month.")


def _range(low: str, high: str, of: str, kind: Kind = "number") -> tuple[Field, Field]:
    """The two ends of a 90 % range."""
    return (
        Field(low, kind, "Low", f"Lower end of the 90 % range of {of}."),
        Field(high, kind, "High", f"Upper end of the 90 % range of {of}."),
    )


def _quantile(name: str, kind: Kind, of: str) -> Field:
    """A quantile column named like ``p05`` or ``use_p05``."""
    percent = int(name[-2:])
    words = "As likely more as less" if percent == 50 else f"{percent} % chance of less"
    return Field(name, kind, f"P{percent:02d}", f"{words}: {of}.")


ORDER = (
    Field("depot", "text", "Depot", "The store that the pieces are for."),
    _PART,
    Field("name", "text", "Name", "What the part is, in words."),
    Field("supplier", "text", "Supplier", "Who sells it."),
    Field("on_hand", "count", "On hand", "Pieces on the shelf at as-of."),
    Field("on_order", "count", "On order", "Pieces already ordered that arrive in the window."),
    Field("expected_use", "pieces", "Expected use", "Mean use in the window, in pieces."),
    _quantile("use_p05", "pieces", "use in the window"),
    _quantile("use_p50", "pieces", "use in the window"),
    _quantile("use_p95", "pieces", "use in the window"),
    Field("order_up_to", "count", "Order up to", "Stock and orders that meet the service level."),
    Field("order_pieces", "count", "Pieces", "Pieces to order, in whole packs."),
    Field("order_packs", "count", "Packs", "Packs to order."),
    Field("unit_price", "money", "Price", "Price of one piece at this quantity."),
    Field("line_total", "money", "Total", "Pieces times price."),
    Field("order_by", "date", "Order by", "Latest working day that still arrives in time."),
    Field("runs_out_p05", "date", "May run out", "5 % chance that stock is gone before this day."),
    Field("runs_out_p50", "date", "Runs out", "The day stock is gone, as likely later as sooner."),
    Field("status", "text", "Status", "What to do with the line."),
    Field("why", "text", "Why", "The reason, from the same figures."),
    Field("from", "date", "From", "First day of the window that the use is counted over."),
    Field("to", "date", "To", "Last day of that window: the period ordered for plus a lead time."),
    Field(
        "order_on", "date", "Goes out on", "Day on which it goes out with the supplier's others."
    ),
    Field("in_time", "share", "In time", "Chance that it arrives before the shelf runs out."),
    Field("service_cycle", "share", "No shortage", "Chance of no shortage in the window, with it."),
    Field("service_pieces", "share", "From the shelf", "Share of pieces served from the shelf."),
    Field("transfer", "text", "Move", "Proposed move from or to another depot."),
    Field("moved_in", "count", "Moved in", "Pieces moved in from other depots."),
    Field("moved_out", "count", "Moved out", "Pieces moved out to other depots."),
    Field("missing", "count", "Missing", "Pieces short of the order-up-to level, before packs."),
    Field("spare", "count", "Spare", "Pieces on the shelf above the order-up-to level."),
    Field("months_of_use", "number", "Months of use", "How long the shelf lasts at mean use."),
    Field("gap_days_p50", "count", "Gap, middle", "Days a shortage may last if ordered today."),
    Field("gap_days_p95", "count", "Gap, long", "The same, at worst in 19 of 20 cases."),
    Field("lead_days", "number", "Delivery days", "Mean days from order to delivery."),
    Field("lead_days_sd", "number", "Spread", "Standard deviation of the delivery days."),
    Field("pack", "count", "In a pack", "Pieces in a pack."),
    Field("min_order", "count", "Smallest order", "Fewest pieces in one order."),
    Field("stepped_up", "text", "For the price", "yes: more than needed, as it costs less in all."),
    Field("replaced_by", "text", "Replaced by", "The part ordered in its place."),
    Field("kind", "text", "Kind", "blade, brush, pad or other."),
    Field("machines", "count", "Machines", "Machines that carry the part there."),
    Field("hours_per_week", "hours", "Hours a week", "Run hours a week of all of them, ahead."),
)
FORECAST = (
    _LEVEL,
    _WHERE,
    _PART,
    _PERIOD,
    Field("start", "date", "Start", "First day."),
    Field("end", "date", "End", "Last day."),
    Field("mean", "pieces", "Mean", "Expected use in pieces."),
    *(_quantile(name, "pieces", "pieces used") for name in ("p05", "p10", "p50", "p90", "p95")),
)
QUANTILES = (
    _LEVEL,
    _WHERE,
    _PART,
    _PERIOD,
    Field("q", "number", "Chance", "Chance that no more than these pieces are used."),
    Field("pieces", "pieces", "Pieces", "Pieces used at that chance."),
)
FLOORS = (
    _CLASS,
    Field("floor", "text", "Floor", "The floor type, in the logbook's words."),
    Field(
        "hours_per_edge",
        "hours",
        "Hours an edge",
        "Mean life of an edge to wear-out, usual machine.",
    ),
    *_range("low", "high", "hours an edge", "hours"),
    Field("median", "hours", "Median", "Half of the edges last longer than this."),
    Field("shape", "number", "Shape", "Weibull shape: 1 = by chance, above 1 = by age."),
    Field(
        "relative",
        "number",
        "Against usual floor",
        "Wear rate over that of the floor with most hours.",
    ),
    *_range("relative_low", "relative_high", "the relative wear rate"),
    Field("damaged_per_1000h", "number", "Torn in 1,000 h", "Edges torn in 1,000 run hours."),
    Field(
        "spells", "number", "Spells", "Edges at work behind the row; mixed floors are shared out."
    ),
    Field("worn", "pieces", "Worn", "Of these, ended worn."),
    Field("damaged", "pieces", "Damaged", "Of these, ended damaged."),
    Field("running", "pieces", "Running", "Of these, still at work."),
    Field("hours", "hours", "Hours", "Run hours behind the row."),
    Field(
        "hours_to_change",
        "hours",
        "Hours to an edge's end",
        "Mean over pace, damage and planned ends.",
    ),
    Field(
        "cost_per_100h", "money", "Cost in 100 h", "Parts money in 100 run hours at one position."
    ),
    Field("pace_spread", "number", "Pace spread", "Variance of the machines' pace: 0 = all alike."),
    Field(
        "basis", "text", "Basis", "measured: by your log; typical: by common lives; blended: both."
    ),
)
MACHINES = (
    _MACHINE,
    _SITE,
    _CLASS,
    Field(
        "pace", "number", "Pace", "Wear speed against the fleet: 1.20 = 20 % faster on like floors."
    ),
    *_range("low", "high", "the pace"),
    Field("hazard", "number", "Hazard", "The same as a multiplier of the hazard."),
    Field("look", "text", "Look", "Worth a look: wears fast or slow beyond doubt."),
    Field("hours_per_week", "hours", "Hours a week", "Recent run hours a week."),
    Field("silent_days", "count", "Silent days", "Days since the last line about this machine."),
)
EDGES = (
    _SITE,
    _CLASS,
    Field("parts_spent", "count", "Parts spent", "Parts taken off for good."),
    Field("edges_used", "count", "Edges used", "Edges that these parts gave."),
    Field("edges_available", "count", "Edges they had", "Edges that these parts had."),
    Field("mean_edges_used", "number", "Edges a part", "Edges used on average before a part went."),
    Field(
        "lost_per_year", "money", "Lost in a year", "Money that full use of every edge would save."
    ),
    Field("lost_low", "money", "Low", "Lower end of the 90 % range of that."),
    Field("lost_high", "money", "High", "Upper end of the 90 % range of that."),
)
DUE = (
    _MACHINE,
    _SITE,
    _POSITION,
    _PART,
    Field("edge", "count", "Edge", "The edge at work; blank: not known."),
    Field("edges", "count", "Of", "Usable edges of the part."),
    Field("wear", "number", "Wear", "Wear so far: 0 = new, 1 = its median life."),
    Field("next_action", "text", "Next", "What comes next: turn, change, fit or look."),
    Field("due_p10", "date", "From", "10 % chance that it is due before this day."),
    Field("due_p50", "date", "Due", "As likely later as sooner."),
    Field("due_p90", "date", "To", "10 % chance that it is due after this day."),
    Field(
        "replace_p50",
        "date",
        "New part",
        "The day a new part is needed, as likely later as sooner.",
    ),
)
COST = (
    _LEVEL,
    _WHERE,
    Field("kind", "text", "Kind", "Kind of part; all: every kind together."),
    Field("mean", "money", "Mean", "Expected cost of the coming year."),
    *(_quantile(name, "money", "cost of the coming year") for name in ("p10", "p50", "p90")),
    Field("currency", "text", "Currency", "As in the settings."),
    Field("per_100h", "money", "In 100 h", "Cost in 100 machine hours."),
    Field(
        "per_1000m2",
        "money",
        "In 1,000 m2",
        "Cost in 1,000 m2 cleaned, where the area rate is known.",
    ),
    Field("covers", "text", "Covers", "parts only, or parts and labour."),
)
SPELLS = (
    _MACHINE,
    _POSITION,
    _PART,
    Field("edge", "count", "Edge", "Which edge; blank: not known."),
    Field("start", "date", "Start", "The day it was put to the floor."),
    Field("end", "date", "End", "The day it was turned, changed or last seen."),
    Field("hours", "hours", "Hours", "Run hours at work."),
    Field("cause", "text", "Cause", "Why it ended; running: still at work."),
    Field("ended", "text", "Ended by", "What ended it."),
)
PROBLEMS = (
    Field("file", "text", "File", "The file it stands in."),
    Field("table", "text", "Table", "The table (sheet) it stands in."),
    Field("row", "text", "Row", "Rows as the spreadsheet shows them."),
    Field("column", "text", "Column", "The column."),
    Field("value", "text", "Value", "As written."),
    Field(
        "severity", "text", "Done", "set aside: not used; repaired: used; note: used as it stands."
    ),
    Field("what", "text", "What is wrong", "What is wrong."),
    Field("fix", "text", "What to do", "What to do."),
)
BACKTEST = (
    Field("as_of", "date", "As of", "The earlier date that the forecast was made for."),
    _LEVEL,
    _WHERE,
    _PART,
    _PERIOD,
    Field("actual", "pieces", "Used", "Pieces really used."),
    Field("mean", "pieces", "Forecast", "Pieces forecast."),
    *(_quantile(name, "pieces", "pieces forecast") for name in ("p05", "p10", "p90", "p95")),
    Field("loss", "number", "Loss", "Mean pinball loss of the forecast: smaller is better."),
    Field("loss_last_year", "number", "Last year's", "The loss of last year's use."),
    Field("loss_moving_average", "number", "Moving average's", "The loss of a moving average."),
    Field("loss_croston", "number", "Croston's", "The loss of Croston's method."),
)
QUOTE = (
    Field("year", "text", "Year", "Contract year."),
    Field("mean", "money", "Expected", "Expected cost of consumables."),
    *(_quantile(name, "money", "cost") for name in ("p10", "p50", "p80", "p90")),
    Field("at_risk", "money", "At chosen risk", "The cost that holds at the chosen chance."),
    Field("per_hour", "money", "An hour", "Expected cost of a machine hour."),
    Field("per_1000m2", "money", "In 1,000 m2", "Expected cost of 1,000 m2 cleaned."),
)

CHANGED = (
    Field("depot", "text", "Depot", "The store that the pieces are for."),
    _PART,
    Field("name", "text", "Name", "What the part is, in words."),
    Field("change", "text", "Change", "added, dropped, more or less than in the earlier report."),
    Field("before", "count", "Before", "Pieces to order in the earlier report."),
    Field("now", "count", "Now", "Pieces to order now."),
    Field("order_by_before", "date", "Order by, before", "Order-by date in the earlier report."),
    Field("order_by", "date", "Order by", "Order-by date now."),
    Field("cause", "text", "Cause", "The figures that moved, biggest move first."),
)

SPREAD = (
    Field("source", "text", "Source", "Where the uncertainty of the price comes from."),
    Field("share", "share", "Share", "Its share of the variance of the whole contract's cost."),
)
MOVES = (
    Field("by", "text", "By", "What the money is split by."),
    _WHERE,
    Field("mean", "money", "A year", "Expected money a year."),
    Field("share", "share", "Share", "Its share of the whole."),
)
PART_CHOICE = (
    Field("deck", "text", "Deck", "The machine's scrub deck."),
    _POSITION,
    Field("kind", "text", "Kind", "blade, brush, pad or other."),
    Field("floor", "text", "Floor", "The floor type, in the logbook's words."),
    _PART,
    _CLASS,
    Field("pieces", "count", "Pieces", "Pieces of one change."),
    Field("hours_per_part", "hours", "Hours a part", "Mean run hours until the part goes."),
    Field("cost_per_100h", "money", "Cost in 100 h", "Mean cost of 100 run hours."),
    Field("low", "money", "Low", "Lower end of the 90 % range of that."),
    Field("high", "money", "High", "Upper end of the 90 % range of that."),
    Field("chance_cheapest", "share", "Cheapest", "Chance that no other part there costs less."),
)

OUTPUTS: dict[str, tuple[Field, ...]] = {
    "order": ORDER,
    "forecast": FORECAST,
    "quantiles": QUANTILES,
    "floors": FLOORS,
    "machines": MACHINES,
    "edges": EDGES,
    "due": DUE,
    "cost": COST,
    "spells": SPELLS,
    "problems": PROBLEMS,
    "backtest": BACKTEST,
    "quote": QUOTE,
    "spread": SPREAD,
    "moves": MOVES,
    "part_choice": PART_CHOICE,
    "changed": CHANGED,
}
