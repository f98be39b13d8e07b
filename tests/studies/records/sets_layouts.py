"""Records whose layout is the trouble: merged headings in two rows, a file a site."""

from pathlib import Path

import pandas as pd

from tests.studies.records.fleet import happen
from tests.studies.records.kept import Kept, said, text, workbook


def two_row_headings(folder: Path) -> Kept:
    """Dates down, machines across under merged hall names; changes under merged groups."""
    names = ("north 1", "north 2", "south 1")
    truth = happen(31, names, weeks=30)
    wide = truth.readings.pivot_table(index="date", columns="machine", values="hours")[list(names)]
    meters = [
        ["Hour meters, machine halls"],
        [],
        ["Date", "north", None, "south"],
        [None, 1, 2, 1],
        *([day.to_pydatetime(), *values] for day, *values in wide.itertuples()),
    ]
    mark = {"turn": "turned", "fit": "new"}
    changes = truth.changes.assign(cause="worn")
    places = ["front blade", "rear blade", "left brush", "right brush"]
    done = [
        ["Parts changed"],
        ["Date", "Machine", "Blade", None, "Brush", None],
        [None, None, "front", "rear", "left", "right"],
    ]
    for (day, machine), own in changes.groupby(["date", "machine"], sort=True):
        by = dict(zip(own["position"], own["action"].map(mark), strict=True))
        done.append([day.to_pydatetime(), machine, *(by.get(each) for each in places)])
    merged = [("Meters", "B3:C3"), ("Parts", "C2:D2"), ("Parts", "E2:F2")]
    path = workbook(folder / "halls.xlsx", {"Meters": meters, "Parts": done}, merged)
    words = {("action", v): k for k, v in mark.items()}
    heads = {"Blade front": "front blade", "Blade rear": "rear blade"}
    heads |= {"Brush left": "left brush", "Brush right": "right brush"}
    words |= {("position", k): v for k, v in heads.items()}
    phrases = {f"{h} {m}": [(p, a, "")] for h, p in heads.items() for a, m in mark.items()}
    return Kept((path,), truth.readings, changes.drop(columns="hours"), phrases, words)


def file_a_site(folder: Path) -> Kept:
    """A workbook a site, both with machines 1 and 2."""
    truth = happen(32, ("harbour 1", "harbour 2", "market 1", "market 2"), weeks=32)
    verb = {"turn": "turned", "fit": "replaced"}

    def phrase(position, action, cause, n):
        return f"{position} {verb[action]}" + (" (torn)" if cause == "damaged" else "")

    changes, meanings = said(truth.changes, phrase)
    paths = []
    for site in ("harbour", "market"):
        own = truth.readings[truth.readings["machine"].str.startswith(site)]
        work = changes[changes["machine"].str.startswith(site)]
        meters = [["Machine", "Date", "Hours"]]
        meters += [[int(r.machine[-1]), r.date.to_pydatetime(), r.hours] for r in own.itertuples()]
        done = [["Machine", "Date", "Work"]]
        done += [[int(r.machine[-1]), r.date.to_pydatetime(), r.phrase] for r in work.itertuples()]
        paths.append(workbook(folder / f"{site}.xlsx", {"Hours": meters, "Service": done}))
    return Kept(tuple(paths), truth.readings, changes.drop(columns="hours"), meanings)


def weeks_down(folder: Path) -> Kept:
    """``Week 45`` down, machines across, in a text file; changes dated by the day."""
    truth = happen(33, ("Otter", "Heron", "Teal"), weeks=36)
    wide = truth.readings.pivot_table(index="date", columns="machine", values="hours", sort=False)
    meters = [["2026", *wide.columns]]
    meters += [[f"Week {d.isocalendar()[1]}", *values] for d, *values in wide.itertuples()]
    done = [["Date", "Machine", "Part", "Qty", "Remarks"]]
    names = {"turn": "turned", "fit": "new one fitted"}

    def phrase(position, action, cause, n):
        return f"{position} {names[action]}" + (", was torn" if cause == "damaged" else "")

    changes, meanings = said(truth.changes, phrase)
    done += [[f"{r.date:%d %b %Y}", r.machine, "", 1, r.phrase] for r in changes.itertuples()]
    paths = (text(folder / "meters 2026.csv", meters), text(folder / "work.csv", done))
    return Kept(paths, truth.readings, changes.drop(columns="hours"), meanings, grain="W")


def hours_and_marks(folder: Path) -> Kept:
    """Hours run each week, and an X under each part that was renewed; nothing was turned."""
    truth = happen(34, ("P7", "P8"), start="2026-01-04", weeks=40)
    run = truth.readings.sort_values(["machine", "date"])
    run = run.assign(run=run.groupby("machine")["hours"].diff().round(1)).dropna()
    fits = truth.changes[truth.changes["action"] == "fit"].assign(cause="worn")
    week = fits["date"] + pd.to_timedelta((6 - fits["date"].dt.day_of_week) % 7, "D")
    fits = fits.assign(date=week).drop_duplicates(["machine", "date", "position"])
    marked = fits.set_index(["machine", "date", "position"])["action"]
    places = ["front blade", "rear blade", "left brush", "right brush"]
    rows = [
        ["Week to", "Machine", "Hours this week", "Front blade", "Rear blade", "L brush", "R brush"]
    ]
    for r in run.sort_values(["date", "machine"]).itertuples():
        cells = ["x" if (r.machine, r.date, p) in marked.index else None for p in places]
        rows.append([r.date.to_pydatetime(), r.machine, r.run, *cells])
    path = workbook(folder / "weekly sheet.xlsx", {"Weekly": rows})
    words = {("action", "x"): "fit"}
    words |= {("position", "L brush"): "left brush", ("position", "R brush"): "right brush"}
    phrases = {"x": [("", "fit", "")]}
    changes = fits.drop(columns="hours")
    readings = run[["machine", "date", "hours"]]
    return Kept((path,), readings, changes, phrases, words, from_zero=True)
