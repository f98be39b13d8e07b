"""The grid of what is due by week and site counts every row of the list once."""

import pandas as pd

from tests.conftest import table
from wearcast.reports.page.due_chart import due_chart, due_counts

AS_OF = pd.Timestamp("2026-10-31")
DUE = table("""
    site    due_p50
    Hall A  2026-10-20
    Hall A  2026-11-07
    Hall A  2026-11-08
    Hall B  2026-11-30
    Hall B  -
""")
DUE["due_p50"] = pd.to_datetime(DUE["due_p50"])


def test_every_row_counts_once_and_what_is_late_in_the_first_week():
    counts = due_counts(DUE, AS_OF, 4)
    assert counts.index.tolist() == ["Hall A", "Hall B"]
    assert counts.to_numpy().tolist() == [[2, 1, 0, 0], [1, 0, 0, 1]]


def test_the_drawing_names_sites_and_weeks_and_one_site_needs_none():
    drawn = due_chart(DUE, AS_OF, 5)
    assert all(word in drawn for word in ("Hall A", "Hall B", "to 7 Nov", "to 5 Dec"))
    assert due_chart(DUE[DUE["site"].eq("Hall A")], AS_OF, 5) == ""
