"""What is new since an earlier order, in sentences."""

from pathlib import Path

import pandas as pd
import pytest

from tests.reports import makers
from wearcast.reports.frames import csv_text
from wearcast.reports.order.news import changes_since


def news(place: Path, old: pd.DataFrame) -> list[str]:
    (place / "order.csv").write_text(csv_text("order", old), encoding="utf-8")
    return list(changes_since(makers.forecast(), place).news)


def test_against_itself_only_the_totals_are_told(tmp_path: Path):
    assert news(tmp_path, makers.order()) == [
        "The order came to 298.00 EUR on 31 October 2026; now 298.00 EUR.",
        "26 pieces were proposed.",
    ]


def test_use_machines_hours_prices_and_delivery_times_are_told(tmp_path: Path):
    old = makers.order().assign(
        **{"from": pd.Timestamp("2026-08-02"), "to": pd.Timestamp("2026-10-31")}
    )
    # As the window of the earlier order is over, all of its use was to come by now.
    old["used"] = [1.0, 5.0, 3.0, 5.0]
    old["machines"], old["hours_per_week"] = 2.0, 30.0
    old.loc[[0, 1], ["unit_price", "line_total"]] = [11.0, 110.0]
    old.loc[2, "lead_days"] = 21.0
    assert news(tmp_path, old) == [
        "The order came to 268.00 EUR on 1 August 2026; now 298.00 EUR.",
        "26 pieces were proposed.",
        "Used since: 6 pieces; forecast for that time: 24; outside its 90 % range at 3 of 4 "
        "shelves.",
        "Machines: 4 then, 2 now.",
        "Run hours a week: 60 then, 40 now.",
        "Prices: BL-1 11.00 to 12.50.",
        "Delivery times: =SUM(1) 21 to 10 days.",
    ]


def test_the_use_since_stands_beside_its_forecast_and_range(tmp_path: Path):
    then = {"from": pd.Timestamp("2026-09-16"), "to": pd.Timestamp("2026-10-31")}
    old = (
        makers.order()
        .iloc[[0]]
        .assign(**then, used=1.0, expected_use=18.4, use_p05=9.2, use_p95=27.6)
    )
    (tmp_path / "order.csv").write_text(csv_text("order", old), encoding="utf-8")
    order = makers.order().iloc[[0]]

    def row(used, first):
        now = order.assign(**{"used": used, "from": pd.Timestamp(first)})
        return changes_since(makers.forecast(order=now), tmp_path).used.iloc[0]

    whole = row(13.0, "2026-11-01")
    assert (whole["used_since"], whole["held"]) == (12.0, "as forecast")
    assert [whole[name] for name in ("forecast_then", "then_low", "then_high")] == [18.4, 9.2, 27.6]
    # A quarter of the time: chance alone is half as wide.
    part = row(12.0, "2026-09-27")
    share = 11 / 46
    assert part["forecast_then"] == pytest.approx(18.4 * share)
    assert part["then_high"] == pytest.approx(18.4 * share + 9.2 * share**0.5)
    assert part["held"] == "more"
