"""The order as a whole, in sentences: until when it lasts, how surely, what was not counted."""

from typing import TYPE_CHECKING

from wearcast.decisions.ordering.reasons import day_words
from wearcast.reports.frames import shown_number

if TYPE_CHECKING:
    from wearcast.forecast import Forecast
    from wearcast.logbook.choices import Choices


def order_title(choices: "Choices") -> str:
    """Until when the order lasts."""
    if choices.window_asked:
        return f"Order that lasts until {day_words(choices.order_to)}, from today's stock"
    return f"Order that lasts until the next one, {choices.review_weeks:g} weeks on, has come"


def order_notes(forecast: "Forecast") -> list[str]:
    """What to know of the order as a whole, a sentence each."""
    return [*_service_words(forecast), *_not_counted_words(forecast)]


def _service_words(forecast: "Forecast") -> list[str]:
    """How surely all lines last, beside the one that lasts least surely."""
    service, lines = forecast.order_service, forecast.order
    whole = service[service["what"] == "order"]
    known = lines[lines["on_hand"].notna() & lines["expected_use"].gt(0)]
    if known.empty:
        return []
    least = known.loc[known["service_cycle"].idxmin()]
    return [
        f"The least sure line, {least['part']} at {least['depot']}, lasts until the next order "
        f"has come in {100 * least['service_cycle']:.0f} of 100 cases; that none of the "
        f"{count:.0f} counted lines runs short is so in {100 * chance:.0f}."
        for count, chance in zip(whole["lines"], whole["no_shortage"], strict=True)
    ]


def _not_counted_words(forecast: "Forecast") -> list[str]:
    """The total with and without the shelves that nobody counted."""
    lines = forecast.order[forecast.order["order_pieces"] > 0]
    unknown = lines[lines["status"] == "not counted"]
    if unknown.empty:
        return []
    money = f" {forecast.choices.currency}".rstrip()
    total, open_part = lines["line_total"].sum(), unknown["line_total"].sum()
    shelves = "1 shelf was" if len(unknown) == 1 else f"{len(unknown)} shelves were"
    return [
        f"{shelves} not counted: {shown_number(total, 2)}{money} if nothing lies there, "
        f"{shown_number(total - open_part, 2)}{money} without these lines. Count them first."
    ]
