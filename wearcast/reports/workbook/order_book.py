"""The clerk's workbook, order.xlsx: formulas carry their values, texts are never formulas."""

from typing import TYPE_CHECKING

import numpy as np
import pandas as pd
from xlsxwriter.utility import xl_rowcol_to_cell

from wearcast.outlook.use import count_pieces
from wearcast.reports.fields import OUTPUTS, Field
from wearcast.reports.frames import FEW_ROWS, problems_frame
from wearcast.reports.order.lines import NO_SUPPLIER, by_supplier, lines_to_order
from wearcast.reports.order.timeline import timeline_of
from wearcast.reports.texts import CAUTIONS, assumptions
from wearcast.reports.workbook.order_sheet import (
    FIRST_ROW,
    PLACE,
    write_on_order_sheet,
    write_order_sheet,
)
from wearcast.reports.workbook.papers import FACTS, Papers, book_bytes
from wearcast.reports.workbook.sheets import FIRST_TABLE_ROW, sheet_names
from wearcast.reports.workbook.supplier_sheet import write_supplier_sheet
from wearcast.reports.workbook.timeline_sheet import write_timeline_sheet

if TYPE_CHECKING:
    from wearcast.forecast import Forecast

SHEETS = ("Order", "To watch", "By site", "Timeline", "What changed", "Problems", "Assumptions",
          "on_order")  # fmt: skip
WATCH = (
    "depot",
    "part",
    "name",
    "on_hand",
    "on_order",
    "expected_use",
    "order_up_to",
    "runs_out_p05",
    "status",
    "why",
)
BY_SITE = (
    Field("depot", "text", "Depot", "The store that supplies the site."),
    Field("site", "text", "Site", "Where the pieces are used."),
    Field("part", "text", "Part", "The part's number or name in the catalogue."),
    Field("name", "text", "Name", "What the part is, in words."),
    Field("use", "pieces", "Expected use", "Mean use from as-of to the end of the period."),
    Field("likely_low", "count", "Low", "5 % chance of less."),
    Field("likely_high", "count", "High", "5 % chance of more."),
    Field("share", "share", "Share", "The site's share of the depot's expected use of the part."),
    Field("of_order", "pieces", "Of the order", "Its share of the pieces on the sheet Order."),
)


def order_workbook(forecast: "Forecast", run: str, changed: pd.DataFrame | None = None) -> bytes:
    """The bytes of order.xlsx.

    Parameters
    ----------
    forecast : Forecast
    run : str
        The run's id, in every sheet's footer.
    changed : DataFrame, optional
        From `wearcast.reports.order.changed.what_changed`.
    """
    return book_bytes(
        "Order of wear parts",
        run,
        forecast.choices.as_of,
        lambda papers: _write_sheets(papers, forecast, changed),
    )


def _write_sheets(papers: Papers, forecast: "Forecast", changed: pd.DataFrame | None) -> None:
    """Every sheet, in the order in which the clerk needs them."""
    choices, lines = forecast.choices, lines_to_order(forecast.order)
    timeline = timeline_of(forecast)
    write_order_sheet(papers.add("Order"), lines, timeline, choices)
    _write_suppliers(papers, forecast.order, choices.currency)
    watch = forecast.order[forecast.order["order_pieces"] <= 0]
    fields = {field.name: field for field in OUTPUTS["order"]}
    papers.table("To watch", tuple(fields[name] for name in WATCH), watch,
                 "Parts that need no order now, and why.")  # fmt: skip
    _write_by_site(papers, forecast, lines)
    write_timeline_sheet(papers.add("Timeline"), timeline, choices.service_level)
    if changed is not None:
        papers.table("What changed", OUTPUTS["changed"], changed,
                     "Lines added, dropped or moved by more than a pack.")  # fmt: skip
    papers.table("Problems", OUTPUTS["problems"], problems_frame(forecast.told, rows=FEW_ROWS),
                 "What was set aside, repaired or is worth knowing, heaviest first.")  # fmt: skip
    papers.table("Assumptions", FACTS, _assumptions_frame(forecast, papers.foot),
                 "What the figures rest on.")  # fmt: skip
    write_on_order_sheet(papers.add("on_order"), lines)


def _write_by_site(papers: Papers, forecast: "Forecast", lines: pd.DataFrame) -> None:
    """Who uses what; the pieces of the order follow the packs on the sheet Order."""
    frame = by_site(forecast)
    until = f"{forecast.choices.order_to:%Y-%m-%d}"
    paper = papers.table("By site", BY_SITE, frame, f"Who uses what until {until}.")
    order_rows = {
        place: row
        for row, place in enumerate(zip(lines["depot"], lines["part"], strict=True), FIRST_ROW)
    }
    names = [field.name for field in BY_SITE]
    for row, line in enumerate(frame.to_dict("records"), FIRST_TABLE_ROW):
        order_row = order_rows.get((line["depot"], line["part"]))
        if order_row is not None:
            share = xl_rowcol_to_cell(row, names.index("share"))
            pieces = xl_rowcol_to_cell(order_row, PLACE["order_pieces"])
            paper.sheet.write_formula(
                row, names.index("of_order"), f"={share}*Order!{pieces}",
                paper.looks.of("pieces"), line["of_order"],
            )  # fmt: skip


def _write_suppliers(papers: Papers, order: pd.DataFrame, currency: str) -> None:
    groups = by_supplier(order)
    names = sheet_names([supplier or NO_SUPPLIER for supplier in groups], SHEETS)
    row = FIRST_ROW
    for supplier, lines in groups.items():
        paper = papers.add(names[supplier or NO_SUPPLIER])
        write_supplier_sheet(paper, supplier, lines, row, currency)
        row += len(lines)


def by_site(forecast: "Forecast") -> pd.DataFrame:
    """Expected use of each site, part and depot from as-of to the end of the period ordered for.

    Returns
    -------
    DataFrame
        The columns of `BY_SITE`.
    """
    draws, choices = forecast.draws, forecast.choices
    key = ["depot", "site", "part"]
    groups = draws.slots.groupby(key, sort=True).ngroup().to_numpy()
    counted = count_pieces(draws, groups, 1, (choices.order_to - choices.as_of).days)
    frame = draws.slots[key].drop_duplicates().sort_values(key).reset_index(drop=True)
    low, high = np.quantile(counted, [0.05, 0.95], axis=1, method="inverted_cdf")
    frame = frame.assign(use=counted.mean(axis=1), likely_low=low, likely_high=high)
    total = frame.groupby(["depot", "part"])["use"].transform("sum")
    frame["share"] = (frame["use"] / total.where(total > 0)).fillna(0.0)
    ordered = forecast.order.set_index(["depot", "part"])[["name", "order_pieces"]]
    frame = frame.join(ordered, on=["depot", "part"])
    return frame.assign(
        name=frame["name"].fillna(""), of_order=frame["share"] * frame["order_pieces"].fillna(0.0)
    )


def _assumptions_frame(forecast: "Forecast", foot: str) -> pd.DataFrame:
    rows = [*assumptions(forecast), ("Run", foot, "The same for the same facts and options.")]
    rows += [("Caution", "", words) for words in CAUTIONS]
    return pd.DataFrame(rows, columns=[field.name for field in FACTS])
