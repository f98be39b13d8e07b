"""The report as one self-contained page: figures as in the CSV files, charts inline."""

import math
from itertools import islice
from typing import TYPE_CHECKING

import pandas as pd
from markupsafe import Markup

from wearcast.decisions.parts import rivals
from wearcast.reports.doubts import doubts
from wearcast.reports.due_list import FIELDS as DUE_FIELDS
from wearcast.reports.due_list import DueGroup, due_groups, due_sheets
from wearcast.reports.effects import effects_shown
from wearcast.reports.fields import OUTPUTS, Field, fields_named
from wearcast.reports.first import brief, first_words, thin_words
from wearcast.reports.frames import FEW_ROWS, problems_frame
from wearcast.reports.listing import cost_by, due_soon, of_site
from wearcast.reports.order.lines import lines_to_order
from wearcast.reports.order.timeline import Timeline, timeline_of
from wearcast.reports.page import charts, speed_chart, wear_charts
from wearcast.reports.page.answers import answers
from wearcast.reports.page.due_chart import due_chart
from wearcast.reports.page.paper import (
    PageTable,
    drawings,
    filled,
    table_of,
    table_with,
    tables_with,
)
from wearcast.reports.page.speed_chart import sure_changes, sure_sites
from wearcast.reports.texts import (
    CAUTIONS,
    GLOSSARY,
    HANDS_TITLE,
    HANDS_WORDS,
    METHOD,
    assumptions,
    likely_causes,
    without_price,
)
from wearcast.wear.diagnostics.hands import ends_by_hand
from wearcast.wear.diagnostics.lasting import lasting_curves
from wearcast.wear.diagnostics.speed_over_time import speed_over_time

if TYPE_CHECKING:
    from wearcast.backtesting.backtest import Backtest
    from wearcast.forecast import Forecast

BLANK_LINES = 15
SECTIONS = (
    ("order", "Order"),
    ("due", "Due list"),
    ("sheet", "Log sheet"),
    ("floors", "Floors"),
    ("parts", "Parts"),
    ("machines", "Machines"),
    ("edges", "Edges"),
    ("cost", "Cost"),
    ("trust", "Trust"),
    ("problems", "Problems"),
    ("method", "Method and cautions"),
)
_SETS = {
    "order": ("supplier", "order_by", "order_on", "depot", "part", "name", "order_packs",
              "order_pieces", "unit_price", "line_total", "status", "why"),
    "watch": ("depot", "part", "name", "on_hand", "on_order", "expected_use", "runs_out_p05",
              "status", "why"),
    "floors": ("wears_as", "floor", "hours_per_edge", "low", "high", "relative",
               "damaged_per_1000h", "hours_to_change", "cost_per_100h", "worn", "damaged",
               "running", "basis"),
    "machines": ("machine", "site", "wears_as", "pace", "low", "high", "look", "hours_per_week",
                 "silent_days"),
    "changes": ("machine", "since", "ends_before", "ends_after", "times", "low", "high"),
    "part_choice": ("position", "deck", "floor", "part", "cost_per_100h", "low", "high",
                    "chance_cheapest", "break_even"),
    "edges": ("site", "wears_as", "parts_spent", "edges_used", "edges_available",
              "mean_edges_used", "lost_per_year", "lost_low", "lost_high"),
    "cost": ("where", "kind", "mean", "p10", "p50", "p90", "per_100h", "per_1000m2"),
    "trust": ("part", "period", "start", "end", "mean", "p05", "p10", "p50", "p90", "p95"),
    "problems": ("file", "table", "row", "column", "value", "severity", "what", "fix"),
}  # fmt: skip
CAUSES = Field("causes", "text", "Look at", "What it often is, in common practice.")


def page_html(
    forecast: "Forecast",
    run: str,
    backtest: "Backtest | None" = None,
    changed: pd.DataFrame | None = None,
    timeline: Timeline | None = None,
    causes: pd.DataFrame | None = None,
) -> bytes:
    """The page, UTF-8.

    Parameters
    ----------
    forecast : Forecast
    run : str
        The run's id, in the page's foot.
    backtest : Backtest, optional
        For the section on trust.
    changed : DataFrame, optional
        What changed since an earlier report.
    timeline : Timeline, optional
        The forecast's, where it is made already.
    causes : DataFrame, optional
        Why sites cost more or less than the fleet, see `wearcast.reports.causes.causes_of`.
    """
    timeline = timeline or timeline_of(forecast)
    changes = sure_changes(forecast)
    return filled(
        "page/report.html.jinja",
        run=run,
        sections=SECTIONS,
        choices=forecast.choices,
        first=first_words(forecast),
        thin=thin_words(forecast),
        brief=brief(forecast),
        tables=page_tables(forecast, changed)
        | {
            "changes": _changes_table(changes, "machine"),
            "site changes": _changes_table(sure_sites(forecast), "site"),
        },
        due=due_tables(due_groups(forecast)),
        sheets=_sheet_tables(due_sheets(forecast)),
        charts=page_charts(forecast, backtest, timeline, changes),
        floor_charts=floor_charts(forecast),
        answers=answers(forecast, causes),
        doubts=doubts(forecast.told),
        bare=without_price(forecast),
        trust=backtest.words if backtest is not None else (),
        assumptions=assumptions(forecast),
        method=METHOD,
        glossary=GLOSSARY,
        hands=(HANDS_TITLE, HANDS_WORDS),
        cautions=CAUTIONS,
        blank_lines=range(BLANK_LINES),
    )


def page_tables(
    forecast: "Forecast", changed: pd.DataFrame | None = None
) -> dict[str, PageTable | None]:
    """Every table of the page by name."""
    choices = forecast.choices
    watch = forecast.order[forecast.order["order_pieces"] <= 0]
    shown: dict[str, tuple[str, pd.DataFrame]] = {
        "order": ("order", lines_to_order(forecast.order)),
        "watch": ("order", watch),
        "floors": ("floors", forecast.floors),
        "machines all": ("machines", of_site(forecast.machines, choices)),
        "edges": ("edges", of_site(forecast.edges, choices)),
        "trust": ("forecast", _fleet_use(forecast.forecast)),
        "problems": ("problems", problems_frame(forecast.told, rows=FEW_ROWS)),
    }
    tables: dict[str, PageTable | None] = {
        name: table_of(file, frame, _SETS[name.removesuffix(" all")])
        for name, (file, frame) in shown.items()
    }
    for level in ("site", "floor", "month", "part"):
        tables[f"cost {level}"] = table_of("cost", cost_by(forecast.cost, level), _SETS["cost"])
    choice = rivals(forecast.part_choice)
    tables["parts"] = table_with(fields_named("part_choice", _SETS["part_choice"]), choice, "")
    tables["effects"] = table_with(OUTPUTS["effects"], effects_shown(forecast.wear), "")
    hands = ends_by_hand(forecast.history, forecast.wear)
    tables["hands"] = table_with(OUTPUTS["hands"], hands, "") if len(hands) else None
    tables["machines"] = _machine_table(of_site(forecast.machines, choices))
    tables["changed"] = None
    if changed is not None:
        tables["changed"] = table_with(OUTPUTS["changed"], changed, "order")
    return tables


def due_tables(groups: list[DueGroup]) -> list[tuple[str, PageTable, str]]:
    """What is due by weeks: title, table, and the parts to take along."""
    tables = tables_with(DUE_FIELDS, [one.rows for one in groups], "due")
    return [(one.title, table, one.take) for one, table in zip(groups, tables, strict=True)]


def _sheet_tables(
    sheets: list[tuple[str, list[DueGroup]]],
) -> list[tuple[str, list[tuple[str, PageTable, str]]]]:
    """The same of each site."""
    tables = iter(due_tables([group for _, groups in sheets for group in groups]))
    return [(site, list(islice(tables, len(groups)))) for site, groups in sheets]


def _fleet_use(use: pd.DataFrame) -> pd.DataFrame:
    """The fleet's use in the coming quarter and year."""
    return use[use["level"].eq("fleet") & use["period"].isin(["quarter", "year"])]


def _machine_table(machines: pd.DataFrame) -> PageTable:
    """The machines worth a look, with what it often is."""
    standing_out = machines[machines["look"].ne("")]
    told = standing_out.assign(causes=standing_out["look"].map(likely_causes))
    known = {field.name: field for field in OUTPUTS["machines"]}
    fields = tuple(known[name] for name in _SETS["machines"])
    return table_with((*fields, CAUSES), told, "machines")


def _changes_table(changes: pd.DataFrame, of: str) -> PageTable:
    """The machines, or sites, whose wear speed changed."""
    file = "speed_changes" if of == "machine" else "site_speed_changes"
    return table_with(fields_named(file, (of, *_SETS["changes"][1:])), changes, "")


def page_charts(
    forecast: "Forecast", backtest: "Backtest | None", timeline: Timeline, changes: pd.DataFrame
) -> dict[str, Markup]:
    """Every chart of the page by name, ready to stand in it."""
    currency, choices = forecast.choices.currency, forecast.choices
    changed = changes["machine"].astype(str).tolist()[: speed_chart.MOST]
    speeds = speed_over_time(forecast.history, forecast.wear, changed)
    drawn = {
        "speed": speed_chart.speed_chart(changes, speeds),
        "stock": charts.stock_chart(timeline),
        "due": due_chart(
            due_soon(forecast.due, choices), choices.as_of, math.ceil(choices.due_weeks)
        ),
        "lasting": wear_charts.lasting_chart(lasting_curves(forecast.wear)),
        "machines": wear_charts.pace_chart(of_site(forecast.machines, choices)),
        "edges": wear_charts.edge_chart(of_site(forecast.edges, choices)),
        **{
            f"cost {level}": charts.hour_cost_chart(forecast.cost, level, currency)
            for level in ("site", "floor", "machine")
        },
        "trust": charts.trust_chart(backtest.frame) if backtest is not None else "",
    }
    return drawings(drawn)


def floor_charts(forecast: "Forecast") -> list[Markup]:
    """The charts of hours an edge, a sheet each."""
    return [Markup(svg) for svg in wear_charts.floor_charts(forecast.floors)]
