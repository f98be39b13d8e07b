"""The columns of a quote."""

from wearcast.reports.field import MACHINE, PART, POSITION, SITE, WEAR_CLASS, WHERE, Field, quantile

QUOTE = (
    Field("year", "text", "Year", "Contract year."),
    Field("mean", "money", "Expected", "Expected cost of consumables."),
    *(quantile(name, "money", "cost") for name in ("p10", "p50", "p80", "p90")),
    Field("at_risk", "money", "At chosen risk", "The cost that holds at the chosen chance."),
    Field("per_hour", "rate", "An hour", "Expected cost of a machine hour."),
    Field("per_1000m2", "rate", "In 1,000 m2", "Expected cost of 1,000 m2 cleaned."),
    Field("parts", "money", "Parts", "Expected cost of parts."),
    Field("labour", "money", "Labour", "Expected cost of the work of changes and turns."),
    Field("complete", "text", "Complete", "no: something is not in the price, see missing.csv."),
    Field("guessed", "share", "Guessed", "Share of the whole that is for wear nobody measured."),
)

MISSING = (
    Field("what", "text", "What", "What is left out of the price, or priced by what is usual."),
    Field("where", "text", "Where", "The part, machine, table, or wear class on a floor."),
    Field(
        "count", "number", "Count", "Pieces a year that cost nothing here, rows set aside, or days."
    ),
    Field("share", "share", "Share", "Share of the expected money that rests on it."),
)

PRICED_HOURS = (
    MACHINE,
    SITE,
    Field("hours_per_week", "hours", "Hours a week", "Run hours a week as priced."),
    *(quantile(name, "hours", "run hours a week") for name in ("p10", "p90")),
    Field("carries", "text", "Carries", "Whether its parts are new or used at the start."),
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

UNITS = (
    PART,
    Field("price", "money", "A piece", "Price of a piece at the start, at the step of a year."),
    Field("minutes", "number", "Minutes", "Work of one change; blank: not known."),
    Field("turn_minutes", "number", "Of a turn", "Minutes of one turn; blank: not known."),
    Field("pieces_a_year", "pieces", "Pieces", "Expected pieces of a mean contract year."),
    Field("mean", "money", "A year", "Expected money for these parts a year, growth included."),
    Field("share", "share", "Share", "Its share of all the money, work included."),
)

SENSITIVITY = (
    Field("what", "text", "What", "hours, wear, damage, edges, prices or floor."),
    Field("where", "text", "Where", "The floor, where it is one."),
    Field("step", "text", "If", "What would be otherwise, everything else the same."),
    Field("mean", "money", "Expected", "Expected cost of the whole contract then."),
    Field("at_risk", "money", "At chosen risk", "What is enough at the chosen risk then."),
    Field("mean_change", "money", "Change", "Against the expected cost as quoted."),
    Field(
        "risk_change", "money", "Change at risk", "Against the cost at the chosen risk as quoted."
    ),
)

LEARNT = (
    Field("from", "text", "From", "First reading of the log."),
    Field("to", "text", "To", "The day it stands on."),
    Field("edges", "count", "Edges", "Edges whose wear was followed."),
    Field("hours", "hours", "Hours", "Run hours of these edges."),
    Field("machines", "count", "Machines", "Machines in the log."),
    Field("sites", "count", "Sites", "Sites in the log."),
    Field("operators", "count", "Operators", "Operators: a log is taken for one."),
    Field("cells", "count", "Compared", "Wear classes on floors that other logs know, too."),
    Field("inside", "count", "Within", "Of these, lives within the 90 % range of the others."),
    Field("life_ratio", "number", "Life", "Its lives over those that the others expected."),
)

LEFT_OUT = (
    SITE,
    Field("machines", "count", "Machines", "Machines at the site."),
    Field("hours_per_week", "hours", "Hours a week", "Run hours a week of all of them."),
    Field("actual", "money", "Actual", "What its parts cost at today's prices."),
    Field("mean", "money", "Expected", "What was expected of a site that nobody had measured."),
    *(quantile(name, "money", "cost") for name in ("p10", "p50", "p80", "p90")),
    Field("within_p80", "text", "Within P80", "Whether P80 was enough."),
    Field("within_p90", "text", "Within P90", "Whether P90 was enough."),
)

SIDE_BY_SIDE = (
    Field("year", "text", "Year", "Contract year."),
    Field("mean", "money", "Expected", "Expected cost of this quote."),
    Field("mean_then", "money", "Other", "The same of the other quote."),
    Field("at_risk", "money", "At chosen risk", "Enough at the chosen risk, this quote."),
    Field("at_risk_then", "money", "Other", "The same of the other quote, at its risk."),
    Field("per_hour", "rate", "An hour", "Expected cost of a machine hour."),
    Field("per_hour_then", "rate", "Other", "The same of the other quote."),
    Field("per_1000m2", "rate", "In 1,000 m2", "Expected cost of 1,000 m2 cleaned."),
    Field("per_1000m2_then", "rate", "Other", "The same of the other quote."),
)

SWAPS = (
    MACHINE,
    POSITION,
    PART,
    Field("instead_of", "text", "Instead of", "The part of the proposal."),
    Field("cost_per_100h", "money", "Cost in 100 h", "On the machine's floors, the usual machine."),
    Field("was_per_100h", "money", "Before", "The same with the part of the proposal."),
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
    Field(
        "break_even",
        "money",
        "Break-even",
        "Price of a piece at which it costs as much as the cheapest other part there.",
    ),
)
