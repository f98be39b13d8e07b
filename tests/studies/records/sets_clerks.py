"""Records of kinds that people who had never seen the tool brought along."""

import datetime
from pathlib import Path

import openpyxl
import pandas as pd

from tests.studies.records.fleet import Happened, happen, with_work
from tests.studies.records.kept import Kept, at_places, said, text, workbook

VERB, WHY = {"turn": "turned", "fit": "new"}, {"worn": "", "damaged": ", torn"}


def _phrase(position: str, action: str, cause: str, _: int) -> str:
    return f"{position} {VERB[action]}{WHY[cause]}"


def _logged(truth: Happened) -> tuple[pd.DataFrame, pd.DataFrame, dict]:
    """Readings and work in one list by day; the changes and what their phrases say."""
    changes, meanings = said(truth.changes, _phrase)
    every = pd.concat([truth.readings.assign(phrase=None), changes])
    every["phrase"] = every["phrase"].astype(object).where(every["phrase"].notna(), None)
    return every.sort_values(["machine", "date"], kind="stable"), changes, meanings


def side_by_side(folder: Path) -> Kept:
    """Meters and changes beside each other on one sheet, an empty column between them."""
    truth = happen(105, ("M1", "M2", "M3"))
    left = [[r.date.to_pydatetime(), r.machine, r.hours] for r in truth.readings.itertuples()]
    right = [
        [r.date.to_pydatetime(), r.machine, r.position, VERB[r.action], r.cause]
        for r in truth.changes.itertuples()
    ]
    rows = [["METERS", None, None, None, "PARTS CHANGED"]]
    rows += [["Date", "Machine", "Hours", None, "Date", "Machine", "Part", "What", "Why"]]
    for at in range(max(len(left), len(right))):
        one = left[at] if at < len(left) else [None] * 3
        rows.append([*one, None, *(right[at] if at < len(right) else [])])
    path = workbook(folder / "site.xlsx", {"Sheet1": rows})
    return Kept((path,), truth.readings, truth.changes.drop(columns="hours"))


def ditto_marks(folder: Path) -> Kept:
    """A mark for the machine and the day above."""
    every, changes, meanings = _logged(happen(118, ("D1", "D2")))
    rows, above = [["Date", "Machine", "Meter", "Work"]], (None, None)
    for r in every.itertuples():
        here = r.machine, r.date
        same = here[0] == above[0], here == above
        day, name = r.date.to_pydatetime(), r.machine
        rows.append(['"' if same[1] else day, '"' if same[0] else name, r.hours, r.phrase])
        above = here
    path = workbook(folder / "ditto.xlsx", {"Book": rows})
    return Kept((path,), with_work(happen(118, ("D1", "D2"))), changes, meanings)


def questions(folder: Path) -> Kept:
    """A column a question, answered by yes or no at every visit."""
    truth = happen(119, ("Y1", "Y2"))
    changes = truth.changes.assign(cause="worn")
    ask = {
        f"{place.capitalize()} {word}?": (place, action)
        for place in ("front blade", "rear blade", "left brush", "right brush")
        for word, action in (("turned", "turn"), ("replaced", "fit"))
        if word == "replaced" or "blade" in place
    }
    done = {*zip(changes.machine, changes.date, changes.position, changes.action, strict=True)}
    visits = with_work(truth).drop_duplicates(["machine", "date"])
    rows = [["Machine", "Date", "Hours", *ask]]
    rows += [
        [r.machine, r.date.to_pydatetime(), r.hours,
         *("yes" if (r.machine, r.date, *asked) in done else "no" for asked in ask.values())]
        for r in visits.itertuples()
    ]  # fmt: skip
    path = workbook(folder / "checklist.xlsx", {"Sheet1": rows})
    return Kept((path,), visits, changes.drop(columns="hours"))


def minutes(folder: Path) -> Kept:
    """A telematics export that counts minutes, beside a list of changes."""
    truth = happen(108, ("TX-100", "TX-101"))
    rows = [["Asset", "Recorded at", "Total runtime (min)"]]
    rows += [
        [r.machine, f"{r.date:%Y-%m-%d} 22:15:04", round(r.hours * 60)]
        for r in truth.readings.itertuples()
    ]
    done = [["date", "machine", "position", "action", "cause"]]
    done += [
        [f"{r.date:%Y-%m-%d}", r.machine, r.position, r.action, r.cause]
        for r in truth.changes.itertuples()
    ]
    paths = text(folder / "runtime.csv", rows), text(folder / "changes.csv", done)
    return Kept(paths, truth.readings, truth.changes.drop(columns="hours"))


def durations(folder: Path) -> Kept:
    """Meters that the spreadsheet shows as hours and minutes; two meters, of which one counts."""
    truth = happen(109, ("P1", "P2"))
    every, changes, meanings = _logged(truth)
    book = openpyxl.Workbook()
    book.active.append(["Date", "Machine", "Hours (key)", "Hours (brush)", "Work"])
    for row, r in enumerate(every.itertuples(), 2):
        spans = [datetime.timedelta(hours=hours) for hours in (r.hours * 1.3 + 100, r.hours)]
        book.active.append([r.date.to_pydatetime(), r.machine, *spans, r.phrase])
        for column in (3, 4):
            book.active.cell(row, column).number_format = "[h]:mm"
    book.save(folder / "meters.xlsx")
    changes = changes.drop(columns="hours")
    columns = {"Hours (brush) #2": "hours"}
    return Kept((folder / "meters.xlsx",), with_work(truth), changes, meanings, columns=columns)


def status_codes(folder: Path) -> Kept:
    """An export in codes with orders that were withdrawn, its counters and a plan of services."""
    truth = happen(110, ("10004711", "10004712"))
    codes = at_places("SQF", "SQR", "BRL", "BRR")
    act, why = {"turn": "ROT", "fit": "RPL"}, {"worn": "WEA", "damaged": "DMG"}
    orders = [["Order", "Equipment", "System status", "Actual finish", "Object part",
               "Activity code", "Cause code"]]  # fmt: skip
    for number, r in enumerate(truth.changes.itertuples(), 400100):
        told = codes[r.position], act[r.action], why[r.cause]
        orders.append([number, r.machine, "CLSD", f"{r.date:%d.%m.%Y}", *told])
        if number % 9 == 0:
            orders.append([number + 900, r.machine, "DLFL", f"{r.date:%d.%m.%Y}", *told])
    counters = [["Measuring point", "Equipment", "Meas. date", "Counter reading", "Unit"]]
    counters += [
        ["MP", r.machine, f"{r.date:%d.%m.%Y}", r.hours, "H"] for r in truth.readings.itertuples()
    ]
    plan = [["Planned date", "Equipment", "Job"], ["15.02.2026", "10004711", "replace left brush"],
            ["15.03.2026", "10004712", "replace left brush"]]  # fmt: skip
    sheets = {"Orders": orders, "Counters": counters, "Service plan": plan}
    path = workbook(folder / "EXPORT.xlsx", sheets)
    words = {("action", word): ours for ours, word in act.items()}
    words |= {("cause", word): ours for ours, word in why.items()}
    words |= {("only", "CLSD"): "yes", ("only", "DLFL"): "no"}
    changes = truth.changes.drop(columns="hours").replace({"position": codes})
    return Kept((path,), truth.readings, changes, words=words)
