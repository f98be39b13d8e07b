"""Records of sites that write English."""

from pathlib import Path

import pandas as pd

from tests.studies.records.fleet import BLADES, happen, with_work
from tests.studies.records.kept import Kept, at_places, said, text, workbook

SHORT = at_places("front squeegee", "rear squeegee", "LH brush", "RH brush")


def sheet_a_machine(folder: Path) -> Kept:
    """A sheet a machine: title, meter book with remarks beside the readings."""
    truth = happen(1, ("GX-01", "GX-02", "GX-03"), weeks=30)
    verb = {"turn": ("turned", "flipped"), "fit": ("replaced", "new")}
    why = {"worn": ("", ", worn"), "damaged": (" - torn", ", ripped")}

    def phrase(position, action, cause, n):
        done, end = verb[action][n % 2], why[cause][n // 2 % 2]
        return f"{done} {SHORT[position]}{end}"

    changes, meanings = said(truth.changes, phrase)
    sheets = {"Cover": [["Cleaning machines, Ropewalk terminal"], ["Meter book, please fill in"]]}
    for machine, days in truth.readings.groupby("machine"):
        own = changes[changes["machine"] == machine]
        rows = [(r.date, r.hours, None) for r in days.itertuples()]
        rows += [(r.date, r.hours, r.phrase) for r in own.itertuples()]
        rows = sorted(rows, key=lambda row: row[0])
        head = [[f"Machine {machine}"], ["Ropewalk terminal"], [], ["Date", "Meter", "Work done"]]
        sheets[machine] = head + [[day.strftime("%d/%m/%Y"), *rest, "jb"] for day, *rest in rows]
        sheets[machine][3] = ["Date", "Meter", "Work done", "Initials"]
    path = workbook(folder / "meter book.xlsx", sheets)
    return Kept((path,), with_work(truth), changes, meanings)


def service_log(folder: Path) -> Kept:
    """One service log in free text, abbreviated and with typing slips; weekly meters beside it."""
    truth = happen(2, ("S12", "S14", "S15", "S19"), weeks=34)
    names = at_places(
        ("frt blade", "front blade", "fr. sqg"),
        ("rear blade", "rear sqg", "back blade"),
        ("left brush", "l/h brush", "lh brsh"),
        ("right brush", "r/h brush", "rh brush"),
    )
    verbs = {"turn": ("turned", "rotated", "trned"), "fit": ("new", "replaced", "chgd")}
    whys = {"worn": (" worn", "", " - worn out"), "damaged": (" torn", " damaged", " (split)")}

    def phrase(position, action, cause, n):
        a, b, c = verbs[action][n % 3], names[position][n // 3 % 3], whys[cause][n // 2 % 3]
        return f"{a} {b}{c}"

    changes, meanings = said(truth.changes, phrase)
    others = ["cleaned tank", "battery water topped up", "flat tyre, wheel changed", "vac motor ok"]
    rows = [(r.date, r.machine, r.hours, r.phrase) for r in changes.itertuples()]
    for number, row in enumerate(truth.readings.iloc[::9].itertuples()):
        rows.append((row.date + pd.Timedelta(days=2), row.machine, "", others[number % 4]))
    rows.sort(key=lambda row: row[:2])
    log = [["Date", "M/c", "Hrs", "Job"]]
    log += [[day.strftime("%d-%b-%y"), *rest] for day, *rest in rows]
    readings = [["date", "machine", "meter reading"]]
    readings += [[f"{r.date:%d-%b-%y}", r.machine, r.hours] for r in truth.readings.itertuples()]
    paths = (text(folder / "service log.csv", log), text(folder / "meters.csv", readings))
    return Kept(paths, truth.readings, changes, meanings | {other: [] for other in others})


def monthly_tabs(folder: Path) -> Kept:
    """A tab a month with everything in it; US dates; the heading changes its words on the way."""
    truth = happen(3, ("101", "102", "103"), start="2026-01-04", weeks=32, whole=True)
    verb = {"turn": "Flip", "fit": "Install new"}
    why = {"worn": "wear", "damaged": "damage"}

    def phrase(position, action, cause, n):
        return f"{verb[action]} {SHORT[position]} ({why[cause]})"

    changes, meanings = said(truth.changes, phrase)
    every = pd.concat([truth.readings.assign(phrase=None), changes])
    every = every.sort_values(["date", "machine"], kind="stable")
    sheets = {}
    for month, rows in every.groupby(every["date"].dt.to_period("M")):
        meter = "Hour meter" if month.month < 5 else "Meter hrs"
        sheets[month.strftime("%B")] = [
            ["Scrubber log", None, month.strftime("%B %Y")],
            ["Date", "Unit", meter, "Service performed", "Tech"],
            *([f"{r.date:%m/%d/%Y}", int(r.machine), int(r.hours), r.phrase, "RT"]
              for r in rows.itertuples()),
            ["Total entries", len(rows)],
        ]  # fmt: skip
    path = workbook(folder / "scrubbers 2026.xlsx", sheets)
    return Kept((path,), with_work(truth), changes, meanings)


def marks_by_position(folder: Path) -> Kept:
    """A column a position, with T for turned, N for new and X for a new brush."""
    truth = happen(4, ("Bay 1", "Bay 2", "Bay 3"), weeks=36)
    changes = truth.changes.assign(cause="worn")
    mark = {"turn": "T", "fit": "N"}
    heads = ["Front blade", "Rear blade", "Left brush", "Right brush"]
    rows = []
    both = [truth.readings, truth.changes[["machine", "date", "hours"]]]
    days = pd.concat(both).drop_duplicates(["machine", "date"]).sort_values(["date", "machine"])
    done = changes.set_index(["machine", "date", "position"])["action"]
    for r in days.itertuples():
        cells = []
        for head in heads:
            action = done.get((r.machine, r.date, head.lower()))
            blade = head.lower() in BLADES
            cells.append(action and (mark[action] if blade else "X"))
        rows.append([r.machine, r.date.to_pydatetime(), r.hours, *cells])
    sheet = [
        ["T = turned, N = new, X = new brush"],
        [],
        ["Machine", "Date", "Meter", *heads],
        *rows,
    ]
    path = workbook(folder / "card.xlsx", {"Machine cards": sheet})
    words = {("action", "T"): "turn", ("action", "N"): "fit", ("action", "X"): "fit"}
    phrases = {m: [("", a, "")] for (_, m), a in words.items()}
    return Kept((path,), days[["machine", "date", "hours"]], changes, phrases, words)


def shift_hours(folder: Path) -> Kept:
    """The meter at start and end of every shift, and a second sheet for parts."""
    truth = happen(5, ("A", "B"), weeks=30)
    rows = []
    for machine, own in truth.readings.groupby("machine"):
        for before, after in zip(own[:-1].itertuples(), own[1:].itertuples(), strict=True):
            rows += _shifts(machine, before, after)
    rows.sort(key=lambda row: row[:2])
    parts = [["date", "machine", "part changed", "what", "why"]]
    parts += [
        [r.date.to_pydatetime(), r.machine, r.position, {"turn": "turned", "fit": "new"}[r.action],
         {"worn": "worn", "damaged": "torn"}[r.cause]]
        for r in truth.changes.itertuples()
    ]  # fmt: skip
    heads = ["Date", "Machine", "Shift", "Start hours", "End hours"]
    path = workbook(folder / "shifts.xlsx", {"Shifts": [heads, *rows], "Parts": parts})
    ends = pd.DataFrame(
        [(machine, pd.Timestamp(day), end) for day, machine, _, _, end in rows],
        columns=["machine", "date", "hours"],
    )
    columns = {"part changed": "position", "what": "action", "why": "cause"}
    return Kept((path,), ends, truth.changes.drop(columns="hours"), columns=columns)


def _shifts(machine, before, after):
    """Three shifts of a week: day, machine, shift, meter at start and end."""
    meters = [round(before.hours + (after.hours - before.hours) * n / 3, 1) for n in range(4)]
    days = [before.date + pd.Timedelta(days=n) for n in (2, 4, 7)]
    return [
        [day.to_pydatetime(), machine, ("early", "late")[n % 2], meters[n], meters[n + 1]]
        for n, day in enumerate(days)
    ]


def run_hours(folder: Path) -> Kept:
    """Hours run in the week instead of a meter, and a list of changes."""
    truth = happen(6, ("R-1", "R-2", "R-3"), start="2026-01-04", weeks=40)
    run = truth.readings.sort_values(["machine", "date"])
    run = run.assign(run=run.groupby("machine")["hours"].diff().round(1)).dropna()
    run = run.sort_values(["date", "machine"])
    rows = [["Week ending", "Machine", "Run hours"]]
    rows += [[f"{r.date:%Y-%m-%d}", r.machine, r.run] for r in run.itertuples()]
    verb = {"turn": "turn", "fit": "replace"}
    why = {"worn": "normal wear", "damaged": "damaged"}
    done = [["Date", "Machine", "Position", "Work", "Reason"]]
    done += [
        [f"{r.date:%Y-%m-%d}", r.machine, r.position, verb[r.action], why[r.cause]]
        for r in truth.changes.itertuples()
    ]
    paths = (text(folder / "hours.csv", rows), text(folder / "changes.csv", done))
    changes = truth.changes.drop(columns="hours")
    return Kept(paths, run[["machine", "date", "hours"]], changes, from_zero=True)


def work_orders(folder: Path) -> Kept:
    """Work orders with a status; cancelled, open and planned ones did not happen."""
    truth = happen(7, ("Unit 3", "Unit 4", "Unit 8"), weeks=36)
    verb = {"turn": "Turn", "fit": "Replace"}
    reason = {"worn": "Worn", "damaged": "Damage"}
    status = ["Completed", "Closed"]
    rows = [
        [r.date, r.machine, f"{verb[r.action]} {r.position}", reason[r.cause], status[n % 2]]
        for n, r in enumerate(truth.changes.itertuples())
    ]
    meanings = {
        f"{verb[r.action]} {r.position}": [(r.position, r.action, "")]
        for r in truth.changes.itertuples()
    }
    undone = ["Cancelled", "Open", "Planned", "Rejected"]
    for n, r in enumerate(truth.changes[::4].itertuples()):
        day = r.date + pd.Timedelta(days=3)
        task = f"{verb[r.action]} {r.position}"
        rows.append([day, r.machine, task, reason[r.cause], undone[n % 4]])
    rows.sort(key=lambda row: row[:3])
    orders = [["WO no.", "Date", "Asset", "Task", "Failure reason", "Status"]]
    orders += [
        [f"WO-{4000 + n}", day.to_pydatetime(), *rest] for n, (day, *rest) in enumerate(rows)
    ]
    meters = [["Asset", "Reading date", "Hour meter"]]
    meters += [[r.machine, r.date.to_pydatetime(), r.hours] for r in truth.readings.itertuples()]
    path = workbook(folder / "maintenance export.xlsx", {"WO": orders, "Meters": meters})
    words = {("only", each): "yes" for each in status} | {("only", each): "no" for each in undone}
    words |= {("cause", "Worn"): "worn", ("cause", "Damage"): "damaged"}
    changes = truth.changes.drop(columns="hours")
    return Kept((path,), truth.readings, changes, meanings, words, {"Task": "did"})


def iso_weeks(folder: Path) -> Kept:
    """Readings by ISO week; changes by the day."""
    truth = happen(8, ("N1", "N2"), start="2026-01-09", weeks=36)
    rows = [["week", "machine", "hours"]]
    for r in truth.readings.itertuples():
        year, week, _ = r.date.isocalendar()
        rows.append([f"{year}-W{week:02d}", r.machine, r.hours])
    done = [["date", "machine", "position", "action", "cause", "hours"]]
    done += [
        [f"{r.date:%Y-%m-%d}", r.machine, r.position, r.action, r.cause, r.hours]
        for r in truth.changes.itertuples()
    ]
    paths = (text(folder / "readings.csv", rows), text(folder / "changes.csv", done))
    return Kept(paths, truth.readings, truth.changes, grain="W")


def block_machine(folder: Path) -> Kept:
    """The machine stands only in the first row of its block."""
    truth = happen(9, ("Deck 2 east", "Deck 2 west", "Ramp"), weeks=30)
    changes = truth.changes.assign(cause="worn")
    meters, done = [["Machine", "Date", "Hours"]], [["Machine", "Date", "Position", "Action"]]
    for machine, own in truth.readings.groupby("machine", sort=False):
        for n, r in enumerate(own.itertuples()):
            meters.append([None if n else machine, r.date.to_pydatetime(), r.hours])
        meters.append([])
        for n, r in enumerate(changes[changes["machine"] == machine].itertuples()):
            day = r.date.to_pydatetime()
            done.append([None if n else machine, day, r.position, r.action])
    path = workbook(folder / "blocks.xlsx", {"Readings": meters, "Changes": done})
    return Kept((path,), truth.readings, changes.drop(columns="hours"))


def two_brushes(folder: Path) -> Kept:
    """Both brushes in one row, with a quantity; weeks of readings in a grid of dates."""
    truth = happen(10, ("T1", "T2", "T3"), weeks=32)
    blades = truth.changes[truth.changes["position"].isin(BLADES)]
    left = truth.changes[truth.changes["position"] == "left brush"]
    both = pd.concat([left, left.assign(position="right brush")])
    changes = pd.concat([blades, both]).assign(cause="worn")
    verb = {"turn": "turned", "fit": "replaced"}
    rows = [(r.date, r.machine, r.position, verb[r.action], 1) for r in blades.itertuples()] + [
        (r.date, r.machine, "left + right brush", "replaced", 2) for r in left.itertuples()
    ]
    rows.sort(key=lambda row: row[:3])
    done = [["Date", "Machine", "Where", "Action", "Qty"]]
    done += [[day.to_pydatetime(), *rest] for day, *rest in rows]
    wide = truth.readings.pivot_table(index="machine", columns="date", values="hours")
    meters = [["Machine", *(day.to_pydatetime() for day in wide.columns)]]
    meters += [[machine, *values] for machine, *values in wide.itertuples()]
    path = workbook(folder / "depot.xlsx", {"Hour meters": meters, "Parts fitted": done})
    changes = changes.drop(columns="hours").assign(pieces=1)
    one = {f"{p} {v}": [(p, a, "")] for p in BLADES for a, v in verb.items()}
    two = {"left + right brush replaced": [("left brush", "fit", ""), ("right brush", "fit", "")]}
    return Kept((path,), truth.readings, changes, one | two)


def purchases_only(folder: Path) -> Kept:
    """Invoices: what was bought, never what was done on which machine."""
    rows = [["Invoice date", "Article", "Description", "Qty", "Unit price", "Total"]]
    for n, day in enumerate(pd.date_range("2026-01-12", periods=20, freq="13D")):
        name = ["squeegee blade 700", "cylindrical brush"][n % 2]
        rows.append([f"{day:%d.%m.%Y}", f"A-{n % 2}", name, 4, 12.5, 50.0])
    path = text(folder / "invoices.csv", rows)
    return Kept((path,), pd.DataFrame(), pd.DataFrame(), serves=False)
