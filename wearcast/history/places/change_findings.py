"""What is told about the written changes: fits that nobody wrote, and parts out of place.

Lines are those of `wearcast.history.edges.count_edges`; those that are told have names for codes.
"""

from collections.abc import Iterator

import numpy as np
import pandas as pd

from wearcast.history.edges import ACTIONS, FIT, REMOVE, TURN
from wearcast.history.places.repeated import repeated_deeds, tell_repeated
from wearcast.history.places.stock_take import stock_takes, tell_stock_takes
from wearcast.history.places.together import tell_together, written_together
from wearcast.history.steps import Bools, starts_of
from wearcast.history.words import names_words, rows_by_source
from wearcast.logbook.findings.coded import key_of, repeated
from wearcast.told import Problem, Severity

ADD_FIT = "Write fit, or add the fit that is missing"
ADD_OR_CORRECT = "Add the fit that is missing, or correct the part"
DELETE_ONE = "If it was done once, delete the other row"
DELETE_TURN = "If a new part went on and was not turned, delete this row"
COUNTED = "one is counted here, and the spell before it is kept out of the fit"

_FLAGS = ("assumed", "missed", "moved", "on_curve", "misread", "early", "observed", "batch")


def tell_changes(
    counted: pd.DataFrame,
    changes: pd.DataFrame,
    places: pd.DataFrame,
    parts: pd.DataFrame,
    names: pd.Index,
    unclear: pd.Index,
) -> list[Problem]:
    """Findings on the lines that the count of edges could not take as they stand.

    At an unclear place a change was set aside whose day nobody knows: what the count lacks there
    is told already.
    """
    other_part = counted["part"].to_numpy() != counted["part_before"].to_numpy()
    clear = ~counted["place"].isin(unclear).to_numpy()
    flags = {name: counted[name].to_numpy(dtype=bool) for name in _FLAGS}
    off = ~flags["on_curve"] & ~flags["misread"] & flags["observed"]
    early = flags["on_curve"] & flags["early"] & flags["observed"]

    part = np.append(parts["part"].to_numpy(), "")  # -1: none

    def lines(rows: Bools) -> pd.DataFrame:
        here = counted.iloc[np.flatnonzero(rows)]
        written, place = changes.iloc[here["change"]], places.iloc[here["place"]]
        return here.assign(
            name=names.to_numpy()[here["machine"]],
            position=place["position"].to_numpy(),
            carried=part[place["carried"]],
            part_before=part[here["part_before"]],
            part=part[here["part"]],
            code=here["part"],
            edges=parts["edges"].to_numpy().astype(np.int64)[here["part"]],
            action=np.array(ACTIONS, object)[here["action"]],
            table="changes",
            source=written["source"].to_numpy(),
            row=written["row"].to_numpy(),
        )

    return [
        *_assumed_fits(lines(flags["assumed"] & clear)),
        *_fits_on_empty(lines(flags["missed"] & clear & ~other_part)),
        *_fits_of_another_part(lines(flags["missed"] & clear & other_part)),
        *_nothing_there(lines(_removed_twice(counted))),
        *_done_twice(lines(_on_one_day(counted) & ~flags["batch"])),
        *tell_together(lines(flags["batch"] & written_together(counted))),
        *tell_repeated(lines(repeated_deeds(counted)), counted),
        *tell_stock_takes(lines(stock_takes(counted))),
        *_turned_after(lines(flags["moved"])),
        *_out_of_place(lines(_strange_fits(counted, places))),
        *_off_the_curve(lines(off)),
        *_reckoned_back(lines(early)),
    ]


def _findings(
    lines: pd.DataFrame,
    column: str,
    severity: Severity,
    wrong: list[str],
    remedy: str,
    weight: float,
) -> Iterator[Problem]:
    """One finding a line."""
    columns = (lines[name] for name in ("source", "row", column))
    for source, row, value, why in zip(*columns, wrong, strict=True):
        yield Problem(
            source, "changes", (int(row),), column, str(value), severity, why, remedy, weight
        )


def _assumed_fits(lines: pd.DataFrame) -> Iterator[Problem]:
    columns = (lines[name] for name in ("name", "position", "edges", "part"))
    wrong = [
        f"{name} {position} was on the last of the {edges} edges of {part}, so this turn is taken "
        "for a fit of a new one"
        for name, position, edges, part in zip(*columns, strict=True)
    ]
    return _findings(lines, "action", "repaired", wrong, ADD_FIT, 2.0)


def _fits_on_empty(lines: pd.DataFrame) -> Iterator[Problem]:
    wrong = [
        f"{name} {position} was empty, so a fit before this line was not written: {COUNTED}"
        for name, position in zip(lines["name"], lines["position"], strict=True)
    ]
    return _findings(lines, "action", "repaired", wrong, ADD_FIT, 2.0)


def _fits_of_another_part(lines: pd.DataFrame) -> Iterator[Problem]:
    columns = (lines[name] for name in ("name", "position", "part_before", "part"))
    wrong = [
        f"{name} {position} carried {before}, so a fit of {part} was not written: {COUNTED}"
        for name, position, before, part in zip(*columns, strict=True)
    ]
    return _findings(lines, "part", "repaired", wrong, ADD_OR_CORRECT, 2.0)


def _removed_twice(lines: pd.DataFrame) -> Bools:
    """A removal straight after a removal."""
    removed = (lines["action"].eq(REMOVE) & lines["observed"]).to_numpy()
    before = np.roll(removed, 1) & ~starts_of(lines["place"].to_numpy())
    return np.asarray(removed & before)


def _nothing_there(lines: pd.DataFrame) -> Iterator[Problem]:
    wrong = [
        f"{name} {position} was already empty"
        for name, position in zip(lines["name"], lines["position"], strict=True)
    ]
    return _findings(lines, "action", "note", wrong, "Add the fit that is missing, if any", 1.0)


def _on_one_day(lines: pd.DataFrame) -> Bools:
    """Whether the same was done to a place on that day once more."""
    place, day, action = (lines[name].to_numpy() for name in ("place", "day", "action"))
    done = (lines["observed"] & lines["ends"]).to_numpy() & np.isin(action, (FIT, TURN))
    same = np.append((place[1:] == place[:-1]) & (day[1:] == day[:-1]), False)[: len(lines)]
    rows = np.flatnonzero(done & (same | np.roll(same, 1)))
    twice = np.zeros(len(lines), dtype=bool)
    twice[rows] = repeated(key_of([place[rows], day[rows], action[rows]]))
    return twice


def _done_twice(lines: pd.DataFrame) -> Iterator[Problem]:
    """One note for each place that was fitted twice on a day, or twice turned to the next edge.

    Lines that differ in their hours and in their cause tell two deeds.
    """
    alike = ["place", "day", "action"]
    one = [lines.duplicated([*alike, column], keep=False) for column in ("run", "cause")]
    twice = lines[one[0] | one[1]]
    groups: dict[tuple[int, int, str], list[int]] = {}
    for at, key in enumerate(zip(*(twice[name] for name in alike), strict=True)):
        groups.setdefault(key, []).append(at)
    columns = ("name", "position", "source", "row")
    names, positions, sources, numbers = (twice[name].tolist() for name in columns)
    for (_, _, action), here in sorted(groups.items()):
        deed = "fitted" if action == "fit" else "turned"
        wrong = f"{names[here[0]]} {positions[here[0]]} was {deed} {len(here)} times on that day;"
        for source in sorted({sources[at] for at in here}):
            rows = tuple(sorted(numbers[at] for at in here if sources[at] == source))
            yield Problem(
                source, "changes", rows, "action", action, "note", f"{wrong} each counts",
                DELETE_ONE, 1.0,
            )  # fmt: skip


def _turned_after(lines: pd.DataFrame) -> Iterator[Problem]:
    wrong = [
        f"{name} {position} had no edge left to turn to, so the fit of that day is taken to have "
        "come first"
        for name, position in zip(lines["name"], lines["position"], strict=True)
    ]
    return _findings(lines, "action", "repaired", wrong, DELETE_TURN, 1.0)


def _strange_fits(lines: pd.DataFrame, places: pd.DataFrame) -> Bools:
    """Whether a part was fitted that the positions table does not know there."""
    part, carried = lines["part"].to_numpy(), places["carried"].to_numpy()[lines["place"]]
    fitted = (lines["action"].eq(FIT) & lines["observed"]).to_numpy()
    return np.asarray(fitted & (part != carried) & (carried >= 0))


def _out_of_place(fitted: pd.DataFrame) -> Iterator[Problem]:
    """One note for each file, place and part that the positions table does not know there."""
    for (name, position, part, carried), here in fitted.groupby(
        ["name", "position", "part", "carried"]
    ):
        for source, table, rows in rows_by_source(here):
            wrong = f"the positions table says {carried} on {name} {position}"
            remedy = "Correct the part, or the positions table if it changed for good"
            yield Problem(source, table, rows, "part", str(part), "note", wrong, remedy, 0.5)


def _off_the_curve(lines: pd.DataFrame) -> Iterator[Problem]:
    """One note a file on changes at a time for which no run hours are known."""
    wrong = (
        "no meter reading within 60 days tells the run hours then ({names}): the spells beside "
        "are kept out of the fit"
    )
    return _hours_notes(lines, wrong, "Write the hours on the change, or add readings", 1.5)


def _reckoned_back(lines: pd.DataFrame) -> Iterator[Problem]:
    """One note a file on changes before the first meter value of their machines."""
    wrong = (
        "before the first meter reading ({names}): the run hours are reckoned back at the first "
        "weeks' rate"
    )
    return _hours_notes(lines, wrong, "Write the hours on the change, or add a reading", 0.5)


def _hours_notes(lines: pd.DataFrame, wrong: str, remedy: str, weight: float) -> Iterator[Problem]:
    """One note a file on the hours of these lines; ``{names}`` stands for their machines."""
    for source, table, rows in rows_by_source(lines):
        names = names_words(sorted(set(lines.loc[lines["source"].eq(source), "name"])))
        said = wrong.replace("{names}", names)
        yield Problem(source, table, rows, "hours", "", "note", said, remedy, weight)
