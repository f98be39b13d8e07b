"""The columns of a quote."""

from wearcast.reports.field import PART, POSITION, WEAR_CLASS, WHERE, Field, quantile

QUOTE = (
    Field("year", "text", "Year", "Contract year."),
    Field("mean", "money", "Expected", "Expected cost of consumables."),
    *(quantile(name, "money", "cost") for name in ("p10", "p50", "p80", "p90")),
    Field("at_risk", "money", "At chosen risk", "The cost that holds at the chosen chance."),
    Field("per_hour", "rate", "An hour", "Expected cost of a machine hour."),
    Field("per_1000m2", "rate", "In 1,000 m2", "Expected cost of 1,000 m2 cleaned."),
)

SPREAD = (
    Field("source", "text", "Source", "Where the uncertainty of the price comes from."),
    Field("share", "share", "Share", "Its share of the variance of the whole contract's cost."),
)

MOVES = (
    Field("by", "text", "By", "What the money is split by."),
    WHERE,
    Field("mean", "money", "A year", "Expected money a year."),
    Field("share", "share", "Share", "Its share of the whole."),
)

PART_CHOICE = (
    Field("deck", "text", "Deck", "The machine's scrub deck."),
    POSITION,
    Field("kind", "text", "Kind", "blade, brush, pad or other."),
    Field("floor", "text", "Floor", "The floor type, in the logbook's words."),
    PART,
    WEAR_CLASS,
    Field("pieces", "count", "Pieces", "Pieces of one change."),
    Field("hours_per_part", "hours", "Hours a part", "Mean run hours until the part goes."),
    Field("cost_per_100h", "money", "Cost in 100 h", "Mean cost of 100 run hours."),
    Field("low", "money", "Low", "Lower end of the 90 % range of that."),
    Field("high", "money", "High", "Upper end of the 90 % range of that."),
    Field("chance_cheapest", "share", "Cheapest", "Chance that no other part there costs less."),
)
