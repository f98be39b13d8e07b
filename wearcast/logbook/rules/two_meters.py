"""One machine number in two files whose readings cannot be of one meter: two machines."""

import numpy as np
import pandas as pd

from wearcast.errors import UnusableTable
from wearcast.logbook.findings.drafts import Draft
from wearcast.logbook.schema.spelling import listed

FEWEST = 2
"""Falls from a file's reading to another file's that no slip of the pen explains; chosen here."""


def refuse_two_meters(readings: Draft) -> None:
    """Stop where a machine's readings fall whenever they go from one file to another.

    Raises
    ------
    UnusableTable
        One for all such machines and files.
    """
    if len(readings.names("source", readings.used_rows)) < 2:
        return
    used = readings.used[~readings.used["new_meter"]]
    several = used.groupby("machine")["source"].transform("nunique").gt(1)
    rows = used[several].sort_values(["machine", "date", "source"], kind="stable")
    if rows.empty:
        return
    same = rows["machine"].eq(rows["machine"].shift()).to_numpy()
    across = same & rows["source"].ne(rows["source"].shift()).to_numpy()
    falls = rows["hours"].diff().lt(0).to_numpy()
    counts = pd.DataFrame(
        {"machine": rows["machine"], "across": across & falls, "within": _falls_within(rows)}
    )
    two = counts.groupby("machine")[["across", "within"]].sum()
    machines = two.index[two["across"].ge(FEWEST) & two["across"].gt(two["within"])].tolist()
    if machines:
        raise UnusableTable(_words(rows, machines))


def _falls_within(rows: pd.DataFrame) -> np.ndarray:
    """Rows that read less than the row before in the same file."""
    return np.asarray(rows.groupby(["machine", "source"])["hours"].diff().lt(0))


def _words(rows: pd.DataFrame, machines: list[str]) -> str:
    files = sorted(rows.loc[rows["machine"].isin(machines), "source"].unique())
    verb = "stands" if len(machines) == 1 else "stand"
    each = "it is" if len(machines) == 1 else "they are"
    return (
        f"readings: {listed(machines, 3)} {verb} in {' and in '.join(files[:3])} with readings that"
        f" cannot be of one meter. If {each} not one machine, put the file before the number: in a"
        " table columns give machine two rows, [file] and your heading, for readings and for"
        " changes; then run again."
    )
