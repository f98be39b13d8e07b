"""The clerk's workbook, order.xlsx: formulas carry their values, texts are never formulas."""

from typing import TYPE_CHECKING

import numpy as np
import pandas as pd
from xlsxwriter.utility import xl_rowcol_to_cell

from wearcast.decisions.ordering.prices import terms_of
from wearcast.decisions.ordering.replaced import chain_of, successors
from wearcast.outlook.use import count_pieces
from wearcast.reports.fields import OUTPUTS, Field, fields_named
from wearcast.reports.frames import FEW_ROWS, problems_frame
from wearcast.reports.order.lines import NO_SUPPLIER, by_supplier, lines_to_order
from wearcast.reports.order.timeline import Timeline, timeline_of
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

SHEETS = ("Order", "Moves", "To watch", "By site", "Timeline", "Figures", "What changed",
          "Problems", "Assumptions", "on_order")  # fmt: skip
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
FIGURES = (
    "depot", "part", "on_hand", "on_order", "on_order_comes", "moved_in", "moved_out",
    "expected_use", "use_p05", "use_p95", "order_up_to", "missing", "order_pieces",
    "runs_out_p05", "runs_out_p50", "lead_days", "lead_days_sd", "in_time", "service_cycle",
    "service_pieces", "on_record",
)  # fmt: skip
MOVES = (
    Field("from", "text", "From depot", "Where the pieces lie."),
    Field("to", "text", "To depot", "Where they are wanted."),
    Field("part", "text", "Part", "The part's number or name in the catalogue."),
    Field("name", "text", "Name", "What the part is, in words."),
    Field("pieces", "count", "Pieces", "Pieces to move."),
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
    write_order_sheet(papers.add("Order"), lines, timeline, choices, terms_of(forecast.book))
    _write_suppliers(papers, forecast.order, choices.currency)
    moves = moves_of(timeline)
    if len(moves):
        papers.table("Moves", MOVES, moves, "Send these first: the order counts on them. Then "
                     "correct the stock of both depots.")  # fmt: skip
    watch = forecast.order[forecast.order["order_pieces"] <= 0]
    papers.table("To watch", fields_named("order", WATCH), watch,
                 "Parts that need no order now, and why.")  # fmt: skip
    _write_by_site(papers, forecast, lines)
    write_timeline_sheet(papers.add("Timeline"), timeline, choices.service_level)
    papers.table("Figures", fields_named("order", FIGURES), forecast.order,
                 "What each line rests on. Service as proposed: the chance that the shelf lasts to "
                 "the next order, and the share of pieces that come from it.")  # fmt: skip
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


def moves_of(timeline: Timeline) -> pd.DataFrame:
    """The proposed moves between depots, one a row: the columns of `MOVES`."""
    moves = [
        (depot, line.depot, line.part, line.name, pieces)
        for line in timeline.lines
        for depot, pieces in line.moved_in
    ]
    frame = pd.DataFrame(moves, columns=[field.name for field in MOVES])
    return frame.sort_values(["from", "to", "part"], ignore_index=True)


def by_site(forecast: "Forecast") -> pd.DataFrame:
    """Expected use of each site, part and depot from as-of to the end of the period ordered for.

    A part that takes the place of another has a row wherever either is used; its order is shared
    out by the use of both.

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
    shares = _shares(frame, successors(forecast.book.parts))
    frame = shares.merge(frame, on=key, how="left")
    filled = ["use", "likely_low", "likely_high"]
    frame[filled] = frame[filled].fillna(0.0)
    names = forecast.book.parts.set_index("part")["name"]
    pieces = forecast.order.set_index(["depot", "part"])["order_pieces"].astype(float)
    frame = frame.join(pieces, on=["depot", "part"])
    return frame.assign(
        name=frame["part"].map(names).fillna(""),
        of_order=frame["share"] * frame["order_pieces"].fillna(0.0),
    )


def _shares(used: pd.DataFrame, successor: dict[str, str]) -> pd.DataFrame:
    """Each site's share of a depot's use of a part and of those it replaces."""
    chains = used["part"].map(lambda part: chain_of(part, successor))
    served = used.assign(part=chains).explode("part")
    use = served.groupby(["depot", "site", "part"])[["use"]].sum().reset_index()
    total = use.groupby(["depot", "part"])["use"].transform("sum")
    use["share"] = (use["use"] / total.where(total > 0)).fillna(0.0)
    return use[["depot", "site", "part", "share"]]


def _assumptions_frame(forecast: "Forecast", foot: str) -> pd.DataFrame:
    rows = [*assumptions(forecast), ("Run", foot, "The same for the same facts and options.")]
    rows += [("Caution", "", words) for words in CAUTIONS]
    return pd.DataFrame(rows, columns=[field.name for field in FACTS])
