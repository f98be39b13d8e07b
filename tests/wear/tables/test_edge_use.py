"""How many edges of the spent parts were used."""

import pandas as pd

from tests.conftest import assert_table, table
from wearcast.wear.tables.edge_use import count_edges_used

CLASSES = pd.DataFrame({"edges": [4.0, 1.0]}, index=["blade", "brush"])

SPELLS = table("""
    site  wears_as  edge  edges  cause    ended         replaced
    A     blade     1     4      worn     turn          False
    A     blade     2     4      worn     fit           True
    A     blade     4     4      worn     fit           True
    A     blade     1     4      damaged  fit           True
    A     blade     3     4      planned  fit           True
    B     blade     4     4      worn     assumed fit   True
    B     blade     -     4      worn     turn          False
    B     blade     2     4      other    retired       True
    B     blade     1     4      running  running       False
    B     brush     1     1      worn     fit           True
""").assign(edge=lambda frame: pd.to_numeric(frame["edge"]))


def test_edges_used_are_those_of_the_parts_that_came_off():
    assert_table(
        count_edges_used(SPELLS, CLASSES),
        """
        site  wears_as  parts_spent  edges_used  edges_available  mean_edges_used
        A     blade     4            10          16               2.5
        B     blade     1            4           4                4
        """,
    )
