"""How many edges of the spent parts were used, as a table."""

import pandas as pd


def count_edges_used(spells: pd.DataFrame, classes: pd.DataFrame) -> pd.DataFrame:
    """How many edges of the spent parts were used, by site and wear class.

    Returns
    -------
    DataFrame, one row a site and wear class with more than one edge and a spent part
        ``site``, ``wears_as``, ``parts_spent``, ``edges_used``, ``edges_available``,
        ``mean_edges_used``. Parts whose edge is not known are left out.
    """
    many = classes.index[classes["edges"] > 1]
    spent = spells[
        spells["wears_as"].isin(many)
        & spells["replaced"].astype(bool)
        & spells["edge"].notna()
        & ~spells["ended"].isin(["running", "retired"])
    ]
    table = (
        spent.groupby(["site", "wears_as"], sort=True)
        .agg(
            parts_spent=("edge", "size"),
            edges_used=("edge", "sum"),
            edges_available=("edges", "sum"),
        )
        .reset_index()
    )
    return table.assign(mean_edges_used=table["edges_used"] / table["parts_spent"])
