"""Records of kinds that came to mind only when the drafter was there."""

from pathlib import Path

import pandas as pd

from tests.studies.records.fleet import happen, with_work
from tests.studies.records.kept import Kept, at_places, comma, said, text, workbook

PLACES = ["front blade", "rear blade", "left brush", "right brush"]


def day_tabs(folder: Path) -> Kept:
    """A tab a month, in whose rows only the number of the day stands."""
    truth = happen(41, ("Mole", "Vole"), start="2026-02-02", weeks=20)
    verb = {"turn": "turned", "fit": "new"}

    def phrase(position, action, cause, n):
        return f"{position}: {verb[action]}" + (" (broken)" if cause == "damaged" else "")

    changes, meanings = said(truth.changes, phrase)
    every = pd.concat([truth.readings.assign(phrase=None), changes])
    every = every.sort_values(["date", "machine"], kind="stable")
    sheets = {}
    for month, rows in every.groupby(every["date"].dt.to_period("M")):
        sheets[month.strftime("%b %Y")] = [
            ["Day", "Machine", "Clock", "Notes"],
            *([r.date.day, r.machine, r.hours, r.phrase] for r in rows.itertuples()),
        ]
    path = workbook(folder / "cellar.xlsx", sheets)
    return Kept((path,), with_work(truth), changes, meanings)


def italian(folder: Path) -> Kept:
    """A language that nobody promised: everything is left to the person."""
    truth = happen(42, ("LP1", "LP2"), weeks=30)
    place = at_places("lama anteriore", "lama posteriore", "spazzola sinistra", "spazzola destra")
    verb = {"turn": "girata", "fit": "sostituita"}
    why = {"worn": "usurata", "damaged": "strappata"}

    def phrase(position, action, cause, n):
        return f"{place[position]} {verb[action]}, {why[cause]}"

    changes, meanings = said(truth.changes, phrase)
    meters = [["Macchina", "Data", "Contaore"]]
    meters += [
        [r.machine, f"{r.date:%d/%m/%Y}", comma(r.hours)] for r in truth.readings.itertuples()
    ]
    done = [["Data", "Macchina", "Lavoro"]]
    done += [[f"{r.date:%d/%m/%Y}", r.machine, r.phrase] for r in changes.itertuples()]
    paths = (text(folder / "ore.csv", meters, ";"), text(folder / "lavori.csv", done, ";"))
    columns = {"Macchina": "machine", "Data": "date", "Contaore": "hours", "Lavoro": "did"}
    return Kept(paths, truth.readings, changes.drop(columns="hours"), meanings, columns=columns)


def meter_in_phrase(folder: Path) -> Kept:
    """The meter stands in the phrase, so that no two phrases are alike."""
    truth = happen(43, ("U-1", "U-2"), weeks=26, whole=True)
    verb = {"turn": "turned", "fit": "replaced"}

    def phrase(position, action, cause, n):
        meter = int(truth.changes["hours"][n])
        return f"{position} {verb[action]} @ {meter} hrs" + ("" if cause == "worn" else " - torn")

    changes, meanings = said(truth.changes, phrase)
    done = [["Date", "Unit", "Remarks"]]
    done += [[f"{r.date:%Y/%m/%d}", r.machine, r.phrase] for r in changes.itertuples()]
    meters = [["Date", "Unit", "Hour meter"]]
    meters += [[f"{r.date:%Y/%m/%d}", r.machine, r.hours] for r in truth.readings.itertuples()]
    paths = (text(folder / "remarks.csv", done), text(folder / "hour meters.csv", meters))
    return Kept(paths, truth.readings, changes.drop(columns="hours"), meanings)


def checklist(folder: Path) -> Kept:
    """A weekly check of every part: ok, worn and the like are no deeds, turned and new are."""
    truth = happen(44, ("C1", "C2"), start="2026-01-09", weeks=30)
    word = {"turn": "turned", "fit": "new"}
    changes = truth.changes.assign(cause="worn")
    week = changes["date"] + pd.to_timedelta((4 - changes["date"].dt.day_of_week) % 7, "D")
    changes = changes.assign(date=week).drop_duplicates(["machine", "date", "position"])
    done = changes.set_index(["machine", "date", "position"])["action"]
    rows = [["Checked on", "Machine", "Hours", *(place.capitalize() for place in PLACES), "By"]]
    for n, r in enumerate(truth.readings.itertuples()):
        cells = []
        for place in PLACES:
            action = done.get((r.machine, r.date, place))
            cells.append(word[action] if action else ("ok", "half worn", "ok", "dirty")[n % 4])
        rows.append([r.date.to_pydatetime(), r.machine, r.hours, *cells, "kp"])
    path = workbook(folder / "weekly check.xlsx", {"Check": rows})
    words = {("action", "ok"): "skip", ("action", "dirty"): "skip", ("action", "half worn"): "skip"}
    phrases = {f"{place} {word}": [] for place in PLACES for _, word in words}
    changes = changes.drop(columns="hours")
    return Kept((path,), truth.readings, changes, phrases, words)


def newest_first(folder: Path) -> Kept:
    """A text file a machine, the newest row on top, times of day behind American dates."""
    truth = happen(45, ("Heron-1", "Heron-2", "Heron-3"), weeks=28)
    verb = {"turn": "rotated", "fit": "replaced"}

    def phrase(position, action, cause, n):
        return f"{verb[action]} {position}" + (" (ripped)" if cause == "damaged" else "")

    changes, meanings = said(truth.changes, phrase)
    every = pd.concat([truth.readings.assign(phrase=""), changes])
    paths = []
    for machine, own in every.groupby("machine"):
        own = own.sort_values("date", ascending=False)
        rows = [["When", "Meter", "What was done"]]
        rows += [[f"{r.date:%m/%d/%Y} 7:30 AM", r.hours, r.phrase] for r in own.itertuples()]
        paths.append(text(folder / f"{machine}.csv", rows))
    return Kept(tuple(paths), with_work(truth), changes, meanings)


def site_and_number(folder: Path) -> Kept:
    """Machines numbered anew at each site, all in one book."""
    names = ("Quay 1", "Quay 2", "Mill 1", "Mill 2")
    truth = happen(46, names, weeks=30)
    verb = {"turn": "turn", "fit": "renew"}
    meters = [["Site", "No.", "Date", "Hours"]]
    meters += [
        [*r.machine.split(), r.date.to_pydatetime(), r.hours] for r in truth.readings.itertuples()
    ]
    done = [["Site", "No.", "Date", "Part", "Work", "Reason"]]
    done += [
        [*r.machine.split(), r.date.to_pydatetime(), r.position, verb[r.action], r.cause]
        for r in truth.changes.itertuples()
    ]
    path = workbook(folder / "all sites.xlsx", {"Meters": meters, "Parts": done})
    columns = {"Site": "machine", "No.": "machine"}
    changes = truth.changes.drop(columns="hours")
    return Kept((path,), truth.readings, changes, columns=columns)


def stacked_blocks(folder: Path) -> Kept:
    """A block a machine below each other, its name in a line above each: it cannot be read."""
    truth = happen(47, ("Pike", "Perch"), weeks=20)
    rows = []
    for machine, own in truth.readings.groupby("machine"):
        rows += [[f"Machine {machine}"], ["Date", "Hours"]]
        rows += [[r.date.to_pydatetime(), r.hours] for r in own.itertuples()]
        rows.append([])
    done = [["Machine", "Date", "Position", "Action", "Cause"]]
    done += [
        [r.machine, r.date.to_pydatetime(), r.position, r.action, r.cause]
        for r in truth.changes.itertuples()
    ]
    path = workbook(folder / "blocks below.xlsx", {"Book": rows, "Changes": done})
    changes = truth.changes.drop(columns="hours")
    return Kept((path,), truth.readings, changes, serves=False)
