"""What a quote lacks, in sentences that claim no more than is known."""

import pandas as pd

from wearcast.decisions.quoting.missing import NO_PRICE, NOT_MEASURED
from wearcast.reports.incomplete import incomplete_words


def words(*rows: tuple[str, str, float, float]) -> list[str]:
    return incomplete_words(pd.DataFrame(rows, columns=["what", "where", "count", "share"]))


def test_what_nobody_measured_is_told_with_its_share():
    assert words((NOT_MEASURED, "HORSE-BRUSH on tile", 1.0, 0.25)) == [
        "Less sure: 25 % of the money is for wear that nobody measured: HORSE-BRUSH on tile (25 %)."
    ]


def test_a_part_without_a_price_has_no_share_of_the_money():
    said = words(
        (NO_PRICE, "HORSE-BRUSH", 4.0, 0.0), (NOT_MEASURED, "HORSE-BRUSH on tile", 1.0, 0.0)
    )
    assert said == [
        "Not in the price: no price for HORSE-BRUSH (4.0 a year).",
        "Less sure, as nobody measured the wear there: HORSE-BRUSH on tile.",
    ]
