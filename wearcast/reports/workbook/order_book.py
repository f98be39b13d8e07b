"""The clerk's workbook, order.xlsx: formulas carry their values, texts are never formulas.

What is to be approved stands first, then what is edited, then what is sent; figures and reasons
are behind. Of the sheets that the clerk edits only the hidden sheet Lines takes anything.
"""

from typing import TYPE_CHECKING

import pandas as pd

from wearcast.decisions.ordering.prices import terms_of
from wearcast.decisions.ordering.reasons import day_words
from wearcast.reports.fields import OUTPUTS, Field, fields_named
from wearcast.reports.frames import FEW_ROWS, problems_frame
from wearcast.reports.order.checks import checks_of
from wearcast.reports.order.lines import NO_SUPPLIER, lines_to_order
from wearcast.reports.order.news import USED, Changes
from wearcast.reports.order.orders import lines_by_order, with_order_days
from wearcast.reports.order.past_use import money_by_supplier
from wearcast.reports.order.timeline import Timeline, timeline_of
from wearcast.reports.order.titles import order_notes, order_title
from wearcast.reports.texts import CAUTIONS, assumptions
from wearcast.reports.workbook.addresses_sheet import Addresses, write_addresses_sheet
from wearcast.reports.workbook.approve_sheet import Orders, orders_of, write_approve_sheet
from wearcast.reports.workbook.changed_sheet import write_changed_sheet
from wearcast.reports.workbook.lines_sheet import NAME as LINES
from wearcast.reports.workbook.lines_sheet import lines_of_book, write_lines_sheet
from wearcast.reports.workbook.on_order_sheet import write_on_order_sheet
from wearcast.reports.workbook.order_sheet import write_lines
from wearcast.reports.workbook.papers import FACTS, Papers, book_bytes
from wearcast.reports.workbook.sheets import sheet_names
from wearcast.reports.workbook.site_sheet import write_site_sheet
from wearcast.reports.workbook.supplier_sheet import write_supplier_sheet
from wearcast.reports.workbook.timeline_sheet import write_timeline_sheet

if TYPE_CHECKING:
    from wearcast.forecast import Forecast

SHEETS = ("Approve", "Order", "Moves", "on_order", "Addresses", "To watch", "By site", "Timeline",
          "Figures", "What changed", "Used since", "Problems", "Assumptions", LINES)  # fmt: skip
FIGURES = (
    "depot", "part", "counted", "expected_count", "count_gap", "on_hand", "on_order",
    "on_order_comes", "on_order_doubtful", "moved_in", "moved_out", "expected_use", "use_p05",
    "use_p95", "used_last_year", "order_up_to", "missing", "topped_up", "wanted_pieces",
    "order_pieces", "runs_out_p05", "runs_out_p50", "lead_days", "lead_days_sd", "in_time",
    "service_cycle", "service_pieces", "service_level", "service_from", "on_record",
    "last_year_why", "check", "reason",
)  # fmt: skip
MOVES = (
    Field("from", "text", "From depot", "Where the pieces lie."),
    Field("to", "text", "To depot", "Where they are wanted."),
    Field("part", "text", "Part", "The part's number or name in the catalogue."),
    Field("name", "text", "Name", "What the part is, in words."),
    Field("pieces", "count", "Pieces", "Pieces to move."),
)


def order_workbook(
    forecast: "Forecast",
    run: str,
    changes: Changes | None = None,
    timeline: Timeline | None = None,
) -> bytes:
    """The bytes of order.xlsx.

    Parameters
    ----------
    forecast : Forecast
    run : str
        The run's id, in every sheet's footer.
    changes : Changes, optional
        What is new since an earlier order.
    timeline : Timeline, optional
        The forecast's, where it is made already.
    """
    timeline = timeline or timeline_of(forecast)
    return book_bytes(
        "Order of wear parts",
        run,
        forecast.choices.as_of,
        lambda papers: _write_sheets(papers, forecast, changes, timeline),
    )


def _write_sheets(
    papers: Papers, forecast: "Forecast", changes: Changes | None, timeline: Timeline
) -> None:
    """Every sheet, in the order in which the clerk needs them."""
    wanted = lines_to_order(forecast.order)
    watch = with_order_days(forecast.order, forecast.choices)
    watch = watch[watch["order_pieces"] <= 0]
    by_order = lines_by_order(forecast.order, forecast.choices)
    lines = lines_of_book(by_order, forecast.book, forecast.choices)
    orders = orders_of(lines, money_by_supplier(forecast))
    addresses = addresses_of(forecast)
    edited = (("Order", len(wanted)), ("To watch", len(watch)))
    terms = terms_of(forecast.book)

    title, under = _titles(forecast)
    told = [*order_notes(forecast), *checks_of(forecast)]
    write_approve_sheet(papers.add("Approve"), orders, edited, told,
                        title=f"{title}, to approve", under=under)  # fmt: skip
    write_lines(papers.add("Order"), wanted, timeline, terms, edited, title=title,
                under="Yellow cells may be changed; sort, filter and delete lines as you like. Why "
                "in full, and what to check: see Figures.",
                nothing="Nothing to order.")  # fmt: skip
    _write_suppliers(papers, orders, addresses, forecast.choices.currency)
    _write_moves(papers, timeline)
    if changes is not None:
        write_changed_sheet(papers.add("What changed"), changes)
        papers.table("Used since", OUTPUTS["used_since"], changes.used, USED)
    write_on_order_sheet(papers.add("on_order"), lines)
    write_addresses_sheet(papers.add("Addresses"), addresses)
    write_lines(papers.add("To watch"), watch, timeline, terms, edited, title="To watch",
                under="Nothing is proposed for these. Packs typed here stand on the supplier's "
                "first order.", nothing="Nothing to watch.")  # fmt: skip
    write_site_sheet(papers, forecast, lines)
    write_timeline_sheet(papers.add("Timeline"), timeline, forecast.choices.service_level)
    _write_background(papers, forecast)
    write_lines_sheet(papers.add(LINES), lines, edited)


def _titles(forecast: "Forecast") -> tuple[str, str]:
    choices = forecast.choices
    money = f" Money in {choices.currency}." if choices.currency else ""
    return (
        order_title(choices),
        f"From the stock of {day_words(choices.as_of)}. Each line by itself is to last in "
        f"{100 * choices.service_level:g} of 100 cases, unless the sheet Figures says otherwise."
        f"{money}",
    )


def addresses_of(forecast: "Forecast") -> Addresses:
    """Who orders and where the depots of the order are, as the logbook tells."""
    told = forecast.book.depots
    known = dict(zip(told["depot"].astype(str), told["address"].astype(str), strict=True))
    depots = sorted(set(forecast.order["depot"].astype(str)))
    return Addresses(forecast.choices.buyer, {depot: known.get(depot, "") for depot in depots})


def _write_suppliers(papers: Papers, orders: Orders, addresses: Addresses, currency: str) -> None:
    suppliers = list(dict.fromkeys(orders.frame["supplier"]))
    names = sheet_names([supplier or NO_SUPPLIER for supplier in suppliers], SHEETS)
    for supplier in suppliers:
        paper = papers.add(names[supplier or NO_SUPPLIER])
        write_supplier_sheet(paper, supplier, orders, addresses, currency)


def _write_moves(papers: Papers, timeline: Timeline) -> None:
    moves = moves_of(timeline)
    if len(moves):
        papers.table("Moves", MOVES, moves, "Send these first: the order counts on them. Then "
                     "correct the stock of both depots.")  # fmt: skip


def _write_background(papers: Papers, forecast: "Forecast") -> None:
    """What the lines rest on, what moved, what is wrong in the logbook."""
    papers.table("Figures", fields_named("order", FIGURES), forecast.order,
                 "What each line rests on. Service as proposed: the chance that the shelf lasts to "
                 "the next order, and the share of pieces that come from it.")  # fmt: skip
    papers.table("Problems", OUTPUTS["problems"], problems_frame(forecast.told, rows=FEW_ROWS),
                 "What was set aside, repaired or is worth knowing, heaviest first.")  # fmt: skip
    papers.table("Assumptions", FACTS, _assumptions_frame(forecast, papers.foot),
                 "What the figures rest on.")  # fmt: skip


def moves_of(timeline: Timeline) -> pd.DataFrame:
    """The proposed moves between depots, one a row: the columns of `MOVES`."""
    moves = [
        (depot, line.depot, line.part, line.name, pieces)
        for line in timeline.lines
        for depot, pieces in line.moved_in
    ]
    frame = pd.DataFrame(moves, columns=[field.name for field in MOVES])
    return frame.sort_values(["from", "to", "part"], ignore_index=True)


def _assumptions_frame(forecast: "Forecast", foot: str) -> pd.DataFrame:
    rows = [*assumptions(forecast), ("Run", foot, "The same for the same facts and options.")]
    rows += [("Caution", "", words) for words in CAUTIONS]
    return pd.DataFrame(rows, columns=[field.name for field in FACTS])
