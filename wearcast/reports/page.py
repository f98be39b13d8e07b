"""The report as one self-contained page: figures as in the CSV files, charts inline.

Nothing on the page is fetched from anywhere; every text of the logbook is escaped.
"""

from dataclasses import dataclass
from typing import TYPE_CHECKING

import pandas as pd
from jinja2 import Environment, PackageLoader, StrictUndefined, select_autoescape
from markupsafe import Markup

from wearcast import __version__
from wearcast.reports import charts
from wearcast.reports.fields import OUTPUTS, Field
from wearcast.reports.frames import problems_frame, shown_cells, shown_number
from wearcast.reports.listing import cost_by, due_soon, of_site
from wearcast.reports.order_sheets import lines_to_order
from wearcast.reports.texts import CAUTIONS, METHOD, assumptions, likely_causes
from wearcast.reports.timeline import timeline_of

if TYPE_CHECKING:
    from wearcast.backtest import Backtest
    from wearcast.forecast import Forecast

MOST_ROWS = 300
BLANK_LINES = 18
_SETS = {
    "order": ("supplier", "order_by", "order_on", "depot", "part", "name", "order_packs",
              "order_pieces", "unit_price", "line_total", "status", "why"),
    "watch": ("depot", "part", "name", "on_hand", "on_order", "expected_use", "runs_out_p05",
              "status", "why"),
    "due": ("due_p50", "due_p10", "due_p90", "machine", "site", "position", "part", "edge",
            "edges", "next_action", "replace_p50"),
    "floors": ("wears_as", "floor", "hours_per_edge", "low", "high", "relative",
               "damaged_per_1000h", "hours_to_change", "cost_per_100h", "worn", "damaged",
               "running", "basis"),
    "machines": ("machine", "site", "wears_as", "pace", "low", "high", "look", "hours_per_week",
                 "silent_days"),
    "edges": ("site", "wears_as", "parts_spent", "edges_used", "edges_available",
              "mean_edges_used", "lost_per_year", "lost_low", "lost_high"),
    "cost": ("where", "kind", "mean", "p10", "p50", "p90", "per_100h", "per_1000m2"),
    "problems": ("file", "table", "row", "column", "value", "severity", "what", "fix"),
}  # fmt: skip
CAUSES = Field("causes", "text", "Look at", "What it often is, in common practice.")


@dataclass(frozen=True, slots=True)
class PageTable:
    """A table as the page shows it."""

    fields: tuple[Field, ...]
    rows: list[tuple[str, ...]]
    file: str
    """The CSV that holds every row."""
    left_out: int = 0
    """Rows beyond what the page shows."""


def page_html(
    forecast: "Forecast",
    run: str,
    backtest: "Backtest | None" = None,
    changed: pd.DataFrame | None = None,
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
    """
    shelf = Environment(
        loader=PackageLoader("wearcast.reports", "."),
        autoescape=select_autoescape(default=True, default_for_string=True),
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )
    template = shelf.get_template("page.html.jinja")
    text = template.render(
        version=__version__,
        run=run,
        choices=forecast.choices,
        brief=brief(forecast),
        tables=page_tables(forecast, changed),
        charts=page_charts(forecast, backtest),
        trust=list(backtest.words) if backtest is not None else [],
        assumptions=assumptions(forecast),
        method=METHOD,
        cautions=CAUTIONS,
        blank_lines=range(BLANK_LINES),
    )
    return text.encode()


def brief(forecast: "Forecast") -> list[tuple[str, str, str]]:
    """The figures that come first: words, figure, where it is explained."""
    choices, order = forecast.choices, lines_to_order(forecast.order)
    year = forecast.cost[forecast.cost["level"].eq("fleet") & forecast.cost["kind"].eq("all")]
    looks = forecast.machines.loc[forecast.machines["look"].ne(""), "machine"].nunique()
    aside = sum(each.severity == "set aside" for each in forecast.told)
    late = int(order["status"].isin(["overdue", "order now"]).sum())
    figures = [
        (f"order lines, {late} of them overdue or for now", f"{len(order)}", "order"),
        (f"total of the order {choices.currency}".strip(),
         shown_number(float(order["line_total"].sum()), 2), "order"),
        (f"turns and changes due within {choices.due_weeks:g} weeks",
         f"{len(due_soon(forecast.due, choices))}", "due"),
        ("machines worth a look", f"{looks}", "machines"),
        ("findings that set rows aside", f"{aside}", "problems"),
    ]  # fmt: skip
    for _, line in year.iterrows():
        low, high = shown_number(line["p10"], 0), shown_number(line["p90"], 0)
        words = f"expected cost of the coming year {choices.currency}".strip()
        figures.insert(
            2, (f"{words} (80 %: {low} to {high})", shown_number(line["mean"], 0), "cost")
        )
    return figures


def page_tables(
    forecast: "Forecast", changed: pd.DataFrame | None = None
) -> dict[str, PageTable | None]:
    """Every table of the page by name."""
    choices = forecast.choices
    watch = forecast.order[forecast.order["order_pieces"] <= 0]
    machines = of_site(forecast.machines, choices)
    tables: dict[str, PageTable | None] = {
        "order": _table("order", lines_to_order(forecast.order)),
        "watch": _table("watch", watch, "order"),
        "due": _table("due", due_soon(forecast.due, choices)),
        "floors": _table("floors", forecast.floors),
        "machines": _machine_table(machines),
        "edges": _table("edges", of_site(forecast.edges, choices)),
        "problems": _table("problems", problems_frame(forecast.told)),
        "changed": None,
    }
    for level in ("site", "floor", "month", "part"):
        tables[f"cost {level}"] = _table("cost", cost_by(forecast.cost, level))
    if changed is not None:
        fields = OUTPUTS["changed"]
        tables["changed"] = PageTable(fields, _rows(changed, fields), "order.csv")
    return tables


def _table(columns: str, frame: pd.DataFrame, file: str | None = None) -> PageTable:
    """A table of the columns that the page shows of a file."""
    file = file or columns
    known = {field.name: field for field in OUTPUTS[file]}
    fields = tuple(known[name] for name in _SETS[columns] if name in frame.columns)
    shown = frame.head(MOST_ROWS)
    return PageTable(fields, _rows(shown, fields), f"{file}.csv", len(frame) - len(shown))


def _rows(frame: pd.DataFrame, fields: tuple[Field, ...]) -> list[tuple[str, ...]]:
    return list(zip(*(shown_cells(frame[field.name], field) for field in fields), strict=True))


def _machine_table(machines: pd.DataFrame) -> PageTable:
    """The machines worth a look first, with what it often is."""
    calm = machines["look"].eq("")
    ranked = machines.assign(calm=calm, causes=machines["look"].map(likely_causes))
    ranked = ranked.sort_values(["calm", "machine", "wears_as"], kind="stable")
    table = _table("machines", ranked)
    fields = (*table.fields, CAUSES)
    return PageTable(fields, _rows(ranked.head(MOST_ROWS), fields), table.file, table.left_out)


def page_charts(forecast: "Forecast", backtest: "Backtest | None") -> dict[str, Markup]:
    """Every chart of the page by name, ready to stand in it."""
    currency, choices = forecast.choices.currency, forecast.choices
    drawn = {
        "stock": charts.stock_chart(timeline_of(forecast)),
        "floors": charts.floor_chart(forecast.floors),
        "machines": charts.pace_chart(of_site(forecast.machines, choices)),
        "edges": charts.edge_chart(of_site(forecast.edges, choices)),
        "cost site": charts.cost_chart(forecast.cost, "site", currency),
        "cost floor": charts.cost_chart(forecast.cost, "floor", currency),
        "months": charts.month_chart(forecast.cost, currency),
        "trust": charts.trust_chart(backtest.frame) if backtest is not None else "",
    }
    return {name: Markup(svg) for name, svg in drawn.items()}
