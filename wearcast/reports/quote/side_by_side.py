"""Two quotes side by side: what the one in a folder said, what this one says."""

from pathlib import Path
from typing import TYPE_CHECKING

import pandas as pd

from wearcast.errors import UnreadableFile
from wearcast.reports.listing import quote_table
from wearcast.reports.writing.ownership import refuse_other_than_file

if TYPE_CHECKING:
    from wearcast.decisions.quotes import QuoteResult

FIGURES = ("mean", "at_risk", "per_hour", "per_1000m2")
_LARGEST = 1_000_000  # bytes


def side_by_side(result: "QuoteResult", folder: Path) -> pd.DataFrame:
    """The contract years of both.

    Returns
    -------
    DataFrame
        year, then mean, at_risk, per_hour and per_1000m2 of this quote, each with what the other
        said behind it (``mean_then`` ...); a year that the other has not is blank there.

    Raises
    ------
    UnreadableFile
        If the folder holds no quote of ours.
    """
    path = folder / "quote.csv"
    try:
        refuse_other_than_file(path, _LARGEST)
        other = pd.read_csv(path, dtype={"year": str}, encoding="utf-8")[["year", *FIGURES]]
    except FileNotFoundError as error:
        raise UnreadableFile(
            f"{folder} holds no quote.csv to compare with; give a folder that wearcast quote wrote"
        ) from error
    except (OSError, RuntimeError, ValueError, KeyError) as error:
        raise UnreadableFile(
            f"{path} is not a quote that wearcast wrote; give a folder that it wrote"
        ) from error
    own = quote_table(result)[["year", *FIGURES]]
    both = own.merge(other, how="left", on="year", suffixes=("", "_then"))
    return both[["year", *(each for name in FIGURES for each in (name, f"{name}_then"))]]
