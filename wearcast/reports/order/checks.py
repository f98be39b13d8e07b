"""What somebody should look at before the order goes out, in sentences, heaviest first."""

from collections.abc import Hashable
from typing import TYPE_CHECKING, Any

import pandas as pd

from wearcast.reports.frames import heaviest_first

if TYPE_CHECKING:
    from wearcast.forecast import Forecast

_TABLES = ("parts", "suppliers", "depots")
"""Tables whose findings touch the order; those on counts and open orders stand in the lines."""
_MOST = 10
_NAMED = 4


def checks_of(forecast: "Forecast") -> list[str]:
    """At most ten sentences; the sheets Figures and Problems have them all."""
    order = forecast.order[forecast.order["order_pieces"] > 0]
    cut = forecast.order["wanted_pieces"] > forecast.order["order_pieces"]
    checks = [
        _named(forecast.order[cut], "gets fewer pieces than proposed, or none, by the budget",
               "get fewer pieces than proposed, or none, by the budget"),
        *(_order_words(row) for row in forecast.orders.to_dict("records")),
        _named(order[order["unit_price"].isna()], "has no price, so the total leaves it out",
               "have no price, so the total leaves them out"),
        _named(order[order["on_record"] <= 0], "rests on a typical life: none ended in the log",
               "rest on a typical life: none ended in the log"),
        _named(forecast.order[forecast.order["moved_in"] > 0],
               "counts on pieces from another depot: see Moves",
               "count on pieces from another depot: see Moves"),
    ]  # fmt: skip
    doubtful = forecast.order[forecast.order["check"].ne("")]
    checks += [f"{line['part']}, {line['depot']}: {line['check']}."
               for line in doubtful.to_dict("records")]  # fmt: skip
    told = [each for each in heaviest_first(forecast.told) if each.severity != "repaired"]
    checks += [f"{each.wrong[:1].upper()}{each.wrong[1:]}." for each in told
               if each.table in _TABLES]  # fmt: skip
    if any(each.severity == "set aside" for each in told):
        checks.append("Rows of the logbook were set aside: see Problems.")
    kept = [each for each in checks if each]
    more = f"And {len(kept) - _MOST + 1} more: see Figures and Problems."
    return kept if len(kept) <= _MOST else [*kept[: _MOST - 1], more]


def _order_words(row: dict[Hashable, Any]) -> str:
    """What a supplier's order lacks to its smallest value, and what its carriage costs."""
    if row["below_min"] > 0:
        return (
            f"The order to {row['supplier']} is worth {row['value']:,.2f}, below its smallest "
            f"order of {row['min_value']:,.2f}."
        )
    if row["carriage"] > 0:
        return (
            f"The order to {row['supplier']} bears {row['carriage']:,.2f} of carriage, free from "
            f"{row['carriage_from']:,.2f}."
        )
    return ""


def _named(lines: pd.DataFrame, one: str, several: str) -> str:
    """The shelves of some lines and what is to be said of them; blank for none."""
    if lines.empty:
        return ""
    shelves = [
        f"{part}, {depot}" for part, depot in zip(lines["part"], lines["depot"], strict=True)
    ]
    more = f" and {len(shelves) - _NAMED} more" if len(shelves) > _NAMED else ""
    return f"{'; '.join(shelves[:_NAMED])}{more} {one if len(shelves) == 1 else several}."
