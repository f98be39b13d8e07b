"""So much set aside that the figures cannot be what they seem."""

from collections.abc import Sequence

from wearcast.told import GRAVE, Problem, Tally, recount

LEAST = 10
"""Rows."""
MUCH = {"changes": 0.05, "readings": 0.10}
"""Share of a table's rows. Both are chosen here."""
WRONG = {
    "changes": "so what was changed then counts nowhere: the forecast may be too low by as much",
    "readings": "so run hours are in doubt, and all that follows from them; whole machines are so "
    "where a meter counts tenths or minutes, or hours run are written for what the meter shows",
}
REMEDY = "Look at the commonest reason in the findings first: one cure often saves most rows"


def tell_much_aside(tallies: Sequence[Tally], later: Sequence[Problem]) -> list[Problem]:
    """One finding for a table of which too many rows were set aside.

    Parameters
    ----------
    tallies : sequence of Tally
        As the logbook gave them.
    later : sequence of Problem
        Findings since then.
    """
    counted = recount(tallies, later)
    found = []
    for table, share in MUCH.items():
        mine = [tally for tally in counted if tally.table == table]
        aside = sum(tally.set_aside for tally in mine)
        rows = aside + sum(tally.used for tally in mine)
        if aside >= max(LEAST, share * rows):
            wrong = f"{aside:,} of {rows:,} rows of {table} are set aside, {WRONG[table]}"
            found.append(Problem("", table, (), "", "", "note", wrong, REMEDY, GRAVE))
    return found
