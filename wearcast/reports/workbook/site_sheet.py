"""The sheet By site: who uses what, and whose pieces the order is for."""

from typing import TYPE_CHECKING

import numpy as np
import pandas as pd
from xlsxwriter.utility import xl_rowcol_to_cell

from wearcast.decisions.ordering.replaced import chain_of, successors
from wearcast.outlook.use import count_pieces
from wearcast.reports.fields import Field
from wearcast.reports.workbook.lines_sheet import Lines
from wearcast.reports.workbook.papers import Papers
from wearcast.reports.workbook.sheets import FIRST_TABLE_ROW

if TYPE_CHECKING:
    from wearcast.forecast import Forecast

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


def write_site_sheet(papers: Papers, forecast: "Forecast", lines: Lines) -> None:
    """Who uses what; the pieces of the order follow the packs that the clerk types."""
    frame = by_site(forecast)
    until = f"{forecast.choices.order_to:%Y-%m-%d}"
    paper = papers.table("By site", BY_SITE, frame, f"Who uses what until {until}.")
    keys = zip(lines.frame["depot"], lines.frame["part"], strict=True)
    places = {key: place for place, key in enumerate(keys)}
    names = [field.name for field in BY_SITE]
    for row, line in enumerate(frame.to_dict("records"), FIRST_TABLE_ROW):
        place = places.get((line["depot"], line["part"]))
        if place is not None:
            share = xl_rowcol_to_cell(row, names.index("share"))
            paper.sheet.write_formula(
                row, names.index("of_order"), f"={share}*{lines.cell(place, 'pieces')}",
                paper.looks.of("pieces"), line["of_order"],
            )  # fmt: skip


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
