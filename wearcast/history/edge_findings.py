"""What is told about the written changes: fits that nobody wrote, parts out of place, silence."""

from collections.abc import Iterator

import numpy as np
import pandas as pd

from wearcast.history.meter_findings import day_words
from wearcast.history.meters import Meters
from wearcast.history.steps import Bools, Floats, dates_of
from wearcast.logbook.book import Logbook
from wearcast.told import Problem


def tell_changes(counted: pd.DataFrame, names: pd.Index) -> tuple[Problem, ...]:
    """Findings on the lines that the count of edges could not take as they stand."""
    lines = counted.assign(name=names.to_numpy()[counted["machine"]])
    return (
        *_assumed_fits(lines[lines["assumed"]]),
        *_missed_fits(lines[lines["missed"]]),
        *_nothing_there(lines[_removed_twice(lines)]),
        *_part_out_of_place(lines),
    )


def _finding(
    line: dict[str, object], column: str, severity: str, wrong: str, remedy: str, weight: float
) -> Problem:
    value = str(line[column]) if column in line else ""
    row = int(str(line["row"]))
    source = str(line["source"])
    kind = "repaired" if severity == "repaired" else "note"
    return Problem(source, "changes", (row,), column, value, kind, wrong, remedy, weight)


def _assumed_fits(lines: pd.DataFrame) -> Iterator[Problem]:
    for line in lines.to_dict("records"):
        edges = int(line["edges"])
        wrong = (
            f"{line['name']} {line['position']} was on the last of the {edges} edges of "
            f"{line['part']}, so this turn is taken for a fit of a new one"
        )
        yield _finding(
            line, "action", "repaired", wrong, "Write fit, or add the fit that is missing", 2.0
        )


def _missed_fits(lines: pd.DataFrame) -> Iterator[Problem]:
    for line in lines.to_dict("records"):
        if line["part"] == line["part_before"]:
            wrong = (
                f"{line['name']} {line['position']} was empty, so a fit before it was not written"
            )
            column = "action"
        else:
            wrong = (
                f"{line['name']} {line['position']} carried {line['part_before']}, so a fit of "
                f"{line['part']} before it was not written"
            )
            column = "part"
        yield _finding(
            line,
            column,
            "repaired",
            f"{wrong}: one is counted here, and the spell before it is kept out of the fit",
            "Add the fit that is missing, or correct the part",
            2.0,
        )


def _removed_twice(lines: pd.DataFrame) -> Bools:
    """A removal straight after a removal."""
    removed = lines["action"].eq("remove") & lines["observed"]
    before = removed.shift(fill_value=False) & lines["place"].eq(lines["place"].shift())
    return (removed & before & ~lines["missed"]).to_numpy(dtype=bool)


def _nothing_there(lines: pd.DataFrame) -> Iterator[Problem]:
    for line in lines.to_dict("records"):
        wrong = f"{line['name']} {line['position']} was already empty"
        yield _finding(line, "action", "note", wrong, "Add the fit that is missing, if any", 1.0)


def _part_out_of_place(lines: pd.DataFrame) -> Iterator[Problem]:
    """One note for each file, place and part that the positions table does not know there."""
    other = lines["action"].eq("fit") & lines["carried"].ne("") & lines["part"].ne(lines["carried"])
    by = ["source", "name", "position", "part", "carried"]
    for (source, name, position, part, carried), here in lines[other].groupby(by):
        yield Problem(
            str(source),
            "changes",
            tuple(sorted(int(row) for row in here["row"])),
            "part",
            str(part),
            "note",
            f"the positions table says {carried} on {name} {position}",
            "Correct the part, or the positions table if it has changed for good",
            0.5,
        )


def tell_silence(
    book: Logbook, meters: Meters, silent_days: Floats, limit: int
) -> Iterator[Problem]:
    """One finding a file on the machines whose meters have not been read for so many days."""
    names = meters.curve.names
    silent = np.flatnonzero(np.nan_to_num(silent_days) > limit)
    last = pd.DataFrame({"machine": names[silent], "date": dates_of(meters.last_read[silent])})
    found = book.readings.merge(last, on=["machine", "date"])
    named = found.drop_duplicates("machine")
    for source, here in named.groupby("source"):
        shown = [
            f"{machine} (last on {day_words(date)})"
            for machine, date in zip(here["machine"], here["date"], strict=True)
        ]
        more = f" and {len(shown) - 5} more" if len(shown) > 5 else ""
        yield Problem(
            str(source),
            "readings",
            tuple(sorted(int(row) for row in here["row"])),
            "date",
            "",
            "note",
            f"no reading for more than {limit} days before as-of: {', '.join(shown[:5])}{more}",
            "Add readings, or write under machines when they retired",
            3.0,
        )
