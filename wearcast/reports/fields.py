"""The contract of the outputs as data: every column of every file, its heading and its meaning.

The CSV files, the workbook's headings and notes, the page's tables and the tables on the screen
all follow from `OUTPUTS`, so that one figure carries one name everywhere. A column that a frame
has beyond these is written after them.
"""

from collections.abc import Iterable

from wearcast.reports.field import (
    LEVEL,
    MACHINE,
    PART,
    PERIOD,
    POSITION,
    SITE,
    WEAR_CLASS,
    WHERE,
    Field,
    quantile,
    range_of,
)
from wearcast.reports.order_fields import APPROVED, CHANGED, ORDER, ORDERS, SERVICE, USED_SINCE
from wearcast.reports.quote_fields import (
    LEARNT,
    LEFT_OUT,
    MISSING,
    MOVES,
    PART_CHOICE,
    PRICED_HOURS,
    QUOTE,
    SENSITIVITY,
    SIDE_BY_SIDE,
    SPREAD,
    SWAPS,
    UNITS,
)

__all__ = ["OUTPUTS", "Field"]

FORECAST = (
    LEVEL,
    WHERE,
    PART,
    PERIOD,
    Field("start", "date", "Start", "First day."),
    Field("end", "date", "End", "Last day."),
    Field("mean", "pieces", "Mean", "Expected use in pieces."),
    *(quantile(name, "pieces", "pieces used") for name in ("p05", "p10", "p50", "p90", "p95")),
)
QUANTILES = (
    LEVEL,
    WHERE,
    PART,
    PERIOD,
    Field("q", "number", "Chance", "Chance that no more than these pieces are used."),
    Field("pieces", "pieces", "Pieces", "Pieces used at that chance."),
)
FLOORS = (
    WEAR_CLASS,
    Field("floor", "text", "Floor", "The floor type, in the logbook's words."),
    Field(
        "hours_per_edge",
        "hours",
        "Hours an edge",
        "Mean life of an edge to wear-out, usual machine and site (with one site: that one).",
    ),
    *range_of("low", "high", "hours an edge", "hours"),
    Field("median", "hours", "Median", "Half of the edges last longer than this."),
    Field("shape", "number", "Shape", "Weibull shape: 1 = by chance, above 1 = by age."),
    Field(
        "relative",
        "number",
        "Against usual floor",
        "Wear rate over that of the floor with most hours.",
    ),
    *range_of("relative_low", "relative_high", "the relative wear rate"),
    Field("damaged_per_1000h", "number", "Torn in 1,000 h", "Edges torn in 1,000 run hours."),
    Field("spells", "count", "Edges", "Edges at work behind the row; mixed floors are shared out."),
    Field("worn", "count", "Worn", "Of the edges behind the row, ended worn."),
    Field("damaged", "count", "Damaged", "Of these, ended damaged."),
    Field("running", "count", "Running", "Of these, still at work."),
    Field("hours", "hours", "Hours", "Run hours behind the row."),
    Field(
        "hours_to_change",
        "hours",
        "Hours to an edge's end",
        "Mean over all machines, tears and planned ends included.",
    ),
    Field(
        "cost_per_100h", "money", "Cost in 100 h", "Parts money in 100 run hours at one position."
    ),
    Field("pace_spread", "number", "Pace spread", "Variance of the machines' pace: 0 = all alike."),
    Field(
        "basis",
        "text",
        "Basis",
        "measured: by your log; typical: by common lives; blended: both; "
        "bounds: the log cannot tell.",
    ),
)
EFFECTS = (
    WEAR_CLASS,
    Field("against", "text", "What is compared", "Parts of the class, on like floors."),
    Field("life_ratio", "number", "Life", "Life of the first over that of the second: 1 = alike."),
    *range_of("low", "high", "that ratio"),
    Field("meaning", "text", "In words", "What the figures say, or that the log cannot tell."),
)
MACHINES = (
    MACHINE,
    SITE,
    WEAR_CLASS,
    Field(
        "pace", "number", "Pace", "Wear speed against the fleet: 1.20 = 20 % faster on like floors."
    ),
    *range_of("low", "high", "the pace"),
    Field("hazard", "number", "Hazard", "The same as a multiplier of the hazard."),
    Field("look", "text", "Look", "Worth a look: wears fast or slow beyond doubt."),
    Field("hours_per_week", "hours", "Hours a week", "Recent run hours a week."),
    Field("silent_days", "count", "Silent days", "Days since the last line about this machine."),
)
EDGES = (
    SITE,
    WEAR_CLASS,
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
SITE_CAUSES = (
    SITE,
    Field(
        "cause",
        "text",
        "Cause",
        "positions, parts, floors, wear (like for like), edges thrown away, damage, rest.",
    ),
    Field("per_100h", "money", "In 100 h", "Cost of 100 run hours more than the fleet's for that."),
    Field("low", "money", "Low", "Lower end of 8 of 10 futures of that; blank for the rest."),
    Field("high", "money", "High", "Upper end of 8 of 10 futures of that."),
)
SPEED_CHANGES = (
    MACHINE,
    Field("since", "date", "Since", "The day before and after which its worn edges are compared."),
    Field("ends_before", "count", "Ends before", "Edges worn out before that day."),
    Field("ends_after", "count", "Ends after", "Edges worn out after it."),
    Field("times", "number", "Times", "Wear speed after over before, on like hours and floors."),
    Field("low", "number", "Low", "Lower end of the 90 % range of that."),
    Field("high", "number", "High", "Upper end of the 90 % range of that."),
    Field("chance", "share", "Chance", "How often chance alone makes one machine change so much."),
    Field("sure", "text", "Sure", "yes: in 1 of 20 fleets without a change any would be told."),
)
HANDS = (
    Field("kind", "text", "Of", "by: who wrote the change; shift: the shift it was made in."),
    Field("who", "text", "Who", "As written in the logbook."),
    Field("ends", "count", "Ends", "Edges whose end bears it."),
    Field("torn", "count", "Torn", "Of these, torn."),
    Field("torn_times", "number", "Tears", "Damage an hour over the others', like for like."),
    *range_of("torn_low", "torn_high", "that"),
    Field("worn", "count", "Worn", "Of these, worn."),
    Field("life_times", "number", "Life", "Life of a worn edge over the others', like for like."),
    *range_of("life_low", "life_high", "that"),
    Field("told", "text", "Says", "Only what chance would not bring in 19 of 20 logs."),
)
DUE = (
    MACHINE,
    SITE,
    POSITION,
    PART,
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
    LEVEL,
    WHERE,
    Field("kind", "text", "Kind", "Kind of part; all: every kind together."),
    Field("mean", "money", "Mean", "Expected cost of the coming year."),
    *(quantile(name, "money", "cost of the coming year") for name in ("p10", "p50", "p90")),
    Field("currency", "text", "Currency", "As in the settings."),
    Field("per_100h", "money", "In 100 h", "Cost in 100 machine hours."),
    Field(
        "per_1000m2",
        "rate",
        "In 1,000 m2",
        "Cost in 1,000 m2 cleaned, where the area rate is known.",
    ),
    Field(
        "covers",
        "text",
        "Covers",
        "Parts only, or parts and labour; priced parts where others have no price.",
    ),
)
SPELLS = (
    MACHINE,
    POSITION,
    PART,
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
    LEVEL,
    WHERE,
    PART,
    PERIOD,
    Field("actual", "pieces", "Used", "Pieces really used."),
    Field("mean", "pieces", "Forecast", "Pieces forecast."),
    *(quantile(name, "pieces", "pieces forecast") for name in ("p05", "p10", "p90", "p95")),
    Field("loss", "number", "Loss", "Mean pinball loss of the forecast: smaller is better."),
    Field("loss_last_year", "number", "Last year's", "The loss of last year's use."),
    Field("loss_moving_average", "number", "Moving average's", "The loss of a moving average."),
    Field("loss_croston", "number", "Croston's", "The loss of Croston's method."),
    Field("rank", "number", "Rank", "Where the truth lay among the futures: 0 lowest, 1 highest."),
)
RECORD = (
    Field("period", "text", "Period", "How far ahead was forecast."),
    Field("level", "text", "Of", "The fleet in total, or single parts of the fleet or of a site."),
    Field("forecasts", "count", "Forecasts", "How many forecasts were compared."),
    Field("inside_80", "share", "In the 80 % range", "Of these, held what happened; 80 % should."),
    Field("inside_90", "share", "In the 90 % range", "Of these, held what happened; 90 % should."),
    Field("actual", "count", "Used", "Pieces really used, all forecasts together."),
    Field("mean", "count", "Forecast", "Pieces forecast, all together."),
    *(field for field in BACKTEST if field.name.startswith("loss")),
)

OUTPUTS: dict[str, tuple[Field, ...]] = {
    "order": ORDER,
    "orders": ORDERS,
    "service": SERVICE,
    "forecast": FORECAST,
    "quantiles": QUANTILES,
    "floors": FLOORS,
    "effects": EFFECTS,
    "machines": MACHINES,
    "edges": EDGES,
    "due": DUE,
    "cost": COST,
    "spells": SPELLS,
    "problems": PROBLEMS,
    "backtest": BACKTEST,
    "record": RECORD,
    "quote": QUOTE,
    "learnt": LEARNT,
    "left_out": LEFT_OUT,
    "missing": MISSING,
    "priced_hours": PRICED_HOURS,
    "spread": SPREAD,
    "moves": MOVES,
    "units": UNITS,
    "sensitivity": SENSITIVITY,
    "site_causes": SITE_CAUSES,
    "hands": HANDS,
    "part_choice": PART_CHOICE,
    "swaps": SWAPS,
    "side_by_side": SIDE_BY_SIDE,
    "changed": CHANGED,
    "used_since": USED_SINCE,
    "approved": APPROVED,
    "speed_changes": SPEED_CHANGES,
    "site_speed_changes": (SITE, *SPEED_CHANGES[1:]),
}


def fields_named(file: str, names: Iterable[str]) -> tuple[Field, ...]:
    """The fields of an output that bear these names, in the order asked for."""
    known = {field.name: field for field in OUTPUTS[file]}
    return tuple(known[name] for name in names)
