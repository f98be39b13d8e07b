"""Records of kinds that turned up when three people tried their own files."""

from pathlib import Path

import pandas as pd

from tests.studies.records.fleet import Happened, happen, with_work
from tests.studies.records.kept import Kept, at_places, comma, said, text, workbook

WHY = {"worn": "", "damaged": ", torn"}


def _logged(truth: Happened, changes: pd.DataFrame) -> pd.DataFrame:
    """Readings and work in one list by day."""
    every = pd.concat([truth.readings.assign(phrase=""), changes])
    return every.sort_values(["date", "machine"], kind="stable")


def blade_cards(folder: Path) -> Kept:
    """A row a part, with the days on which it was fitted and turned; the meters beside."""
    truth = happen(318, ("T1", "T2"))
    rows: list[list] = [["Machine", "Position", "Fitted", "Turn 1", "Turn 2", "Turn 3"]]
    written = []
    for place, done in truth.changes.groupby(["machine", "position"]):
        card: list = []
        for at, r in zip(done.index, done.itertuples(), strict=True):
            if r.action == "fit":
                card = [*place]
                rows.append(card)
            if card:
                card.append(r.date.to_pydatetime())
                written.append(at)
    meters = [["Machine", "Date", "Hours"]]
    meters += [[r.machine, r.date.to_pydatetime(), r.hours] for r in truth.readings.itertuples()]
    path = workbook(folder / "cards.xlsx", {"Cards": rows, "Hours": meters})
    changes = truth.changes.loc[sorted(written)].drop(columns="hours").assign(cause="worn")
    return Kept((path,), truth.readings, changes)


def void_rows(folder: Path) -> Kept:
    """A log in which slips are struck out by a remark."""
    truth = happen(329, ("U1", "U2"))
    verb = {"turn": "turned", "fit": "new"}
    changes, meanings = said(truth.changes, lambda p, a, c, _: f"{p} {verb[a]}{WHY[c]}")
    rows = [["Date", "Machine", "Meter", "Work", "Remark"]]
    for number, r in enumerate(_logged(truth, changes).itertuples()):
        row = [r.date.to_pydatetime(), r.machine, r.hours]
        rows.append([*row, r.phrase or None, None])
        if r.phrase and number % 5 == 0:
            rows.append([*row, "rear blade new", "VOID - entered in error"])
    path = workbook(folder / "log.xlsx", {"Log": rows})
    return Kept((path,), with_work(truth), changes, meanings)


def polish(folder: Path) -> Kept:
    """One sheet of meters and work in a language that nobody promised."""
    truth = happen(306, ("M1", "M2"))
    place = at_places("guma przednia", "guma tylna", "szczotka lewa", "szczotka prawa")
    verb, why = (
        {"turn": "obr\u00f3cona", "fit": "wymieniona"},
        {"worn": "", "damaged": " (rozdarta)"},
    )
    changes, meanings = said(truth.changes, lambda p, a, c, _: f"{place[p]} {verb[a]}{why[c]}")
    rows = [["Data", "Maszyna", "Licznik", "Prace"]]
    rows += [
        [f"{r.date:%d.%m.%Y}", r.machine, comma(r.hours, " "), r.phrase]
        for r in _logged(truth, changes).itertuples()
    ]
    path = text(folder / "dziennik.csv", rows, ";")
    columns = {"Data": "date", "Maszyna": "machine", "Licznik": "hours", "Prace": "did"}
    return Kept((path,), with_work(truth), changes, meanings, columns=columns)
