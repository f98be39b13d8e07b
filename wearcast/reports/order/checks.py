"""What somebody should look at before the order goes out, in sentences, heaviest first."""

from typing import TYPE_CHECKING

import pandas as pd

from wearcast.reports.frames import heaviest_first

if TYPE_CHECKING:
    from wearcast.forecast import Forecast

_TABLES = ("stock", "on_order", "parts", "suppliers", "depots")
"""Tables whose findings touch what is ordered; the others touch what is forecast."""
_MOST = 8
_NAMED = 4


def checks_of(forecast: "Forecast") -> list[str]:
    """At most eight sentences; the sheet Problems has them all."""
    order = forecast.order[forecast.order["order_pieces"] > 0]
    checks = [
        _named(order[order["on_record"] <= 0], "rests on a typical life: none ended in the log",
               "rest on a typical life: none ended in the log"),
        _named(order[order["unit_price"].isna()], "has no price, so the total leaves it out",
               "have no price, so the total leaves them out"),
        _named(forecast.order[forecast.order["moved_in"] > 0],
               "counts on pieces from another depot: see Moves",
               "count on pieces from another depot: see Moves"),
    ]  # fmt: skip
    told = [each for each in heaviest_first(forecast.told) if each.severity != "repaired"]
    checks += [
        f"{each.wrong[:1].upper()}{each.wrong[1:]}." for each in told if each.table in _TABLES
    ]
    if any(each.severity == "set aside" for each in told):
        checks.append("Rows of the logbook were set aside: see Problems.")
    return [each for each in checks if each][:_MOST]


def _named(lines: pd.DataFrame, one: str, several: str) -> str:
    """The shelves of some lines and what is to be said of them; blank for none."""
    if lines.empty:
        return ""
    shelves = [
        f"{part}, {depot}" for part, depot in zip(lines["part"], lines["depot"], strict=True)
    ]
    more = f" and {len(shelves) - _NAMED} more" if len(shelves) > _NAMED else ""
    return f"{'; '.join(shelves[:_NAMED])}{more} {one if len(shelves) == 1 else several}."
