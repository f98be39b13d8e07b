"""Records of kinds that a second look found, each with something that no other set has."""

from pathlib import Path

import pandas as pd

from tests.studies.records.fleet import BLADES, happen
from tests.studies.records.kept import Kept, at_places, comma, grid, said, text, workbook

GERMAN = at_places("Lippe vorn", "Lippe hinten", "Bürste links", "Bürste rechts")


def days_without_year(folder: Path) -> Kept:
    """A German card a machine: days without a year, marks explained in a legend."""
    truth = happen(51, ("SR 1", "SR 2"), weeks=26)
    changes = truth.changes.assign(cause="worn")
    sheets = {}
    for machine, days in truth.readings.groupby("machine"):
        own = changes[changes["machine"] == machine].set_index(["date", "position"])["action"]
        meters = {r.date: r.hours for r in days.itertuples()}
        work = changes[changes["machine"] == machine]
        meters |= {r.date: r.hours for r in work.itertuples()}
        rows = [["D = gedreht, W = Wechsel"], ["Tag", "Zähler", *GERMAN.values()]]
        for day, hours in sorted(meters.items()):
            cells = [{"turn": "D", "fit": "W"}.get(own.get((day, p), "")) for p in GERMAN]
            rows.append([f"{day.day}.{day.month}.", hours, *cells])
        sheets[machine] = rows
    path = workbook(folder / "Maschinenkarten 2026.xlsx", sheets)
    both = pd.concat([truth.readings, changes[["machine", "date", "hours"]]]).drop_duplicates(
        ["machine", "date"]
    )
    return Kept((path,), both, changes)


def german_orders(folder: Path) -> Kept:
    """An export of work orders in order of their numbers, with the day they were made besides."""
    truth = happen(52, ("G-11", "G-12", "G-17"), weeks=34)
    verb = {"turn": "wenden", "fit": "erneuern"}
    why = {"worn": "Verschleiß", "damaged": "Beschädigung"}
    rows = []
    for n, r in enumerate(truth.changes.itertuples()):
        made = r.date - pd.Timedelta(days=n % 5)
        name = f"{GERMAN[r.position]} {verb[r.action]}"
        rows.append((r.date, made, r.machine, name, why[r.cause], "erledigt", comma(r.hours)))
        if n % 5 == 0:
            state = ("offen", "storniert", "geplant")[n // 5 % 3]
            rows.append((r.date, made, r.machine, name, why[r.cause], state, ""))
    rows = [
        row for _, row in sorted(zip([(7 * n) % 101 for n in range(len(rows))], rows, strict=True))
    ]
    heads = [
        "Auftrag",
        "Angelegt am",
        "Erledigt am",
        "Gerät",
        "Kurztext",
        "Ursache",
        "Status",
        "Zählerstand",
    ]
    orders = [heads]
    for n, (day, made, machine, *rest) in enumerate(rows):
        orders.append([4711 + n, f"{made:%d.%m.%y}", f"{day:%d.%m.%y}", machine, *rest])
    meters = [["Gerät", "Datum", "Betriebsstunden"]]
    meters += [
        [r.machine, f"{r.date:%d.%m.%y}", comma(r.hours)] for r in truth.readings.itertuples()
    ]
    paths = (text(folder / "Aufträge.csv", orders, ";"), text(folder / "Stunden.csv", meters, ";"))
    meanings = {
        f"{GERMAN[r.position]} {verb[r.action]}": [(r.position, r.action, "")]
        for r in truth.changes.itertuples()
    }
    words = {("cause", v): k for k, v in why.items()}
    return Kept(paths, truth.readings, truth.changes, meanings, words)


def months_without_days(folder: Path) -> Kept:
    """A French tab a month that holds the meters of its last day; the year is the file's."""
    truth = happen(53, ("B 1", "B 2", "B 3"), start="2026-01-02", weeks=46)
    monthly = truth.readings.groupby(
        ["machine", truth.readings["date"].dt.to_period("M")], as_index=False
    ).last()
    months = ["janvier", "février", "mars", "avril", "mai", "juin", "juillet", "août"]
    months += ["septembre", "octobre", "novembre", "décembre"]
    sheets = {}
    for month, rows in monthly.groupby(monthly["date"].dt.month):
        sheets[months[month - 1]] = [
            ["Autolaveuse", "Compteur fin de mois"],
            *([r.machine, r.hours] for r in rows.itertuples()),
        ]
    verb = {"turn": "retournée", "fit": "neuve"}
    place = at_places("raclette avant", "raclette arrière", "brosse G", "brosse D")
    changes, meanings = said(
        truth.changes,
        lambda p, a, c, _: f"{place[p]} {verb[a]}" + (", déchirée" if c == "damaged" else ""),
    )
    done = [["Date", "Autolaveuse", "Travaux"]]
    done += [[f"{r.date:%d/%m/%Y}", r.machine, r.phrase] for r in changes.itertuples()]
    paths = (
        workbook(folder / "compteurs 2026.xlsx", sheets),
        text(folder / "travaux.csv", done, ";"),
    )
    readings = monthly[["machine", "date", "hours"]]
    columns = {"Compteur fin de mois": "hours"}
    return Kept(
        paths, readings, changes.drop(columns="hours"), meanings, columns=columns, grain="M"
    )


def clock_times(folder: Path) -> Kept:
    """Spanish shifts with the time of day they began and ended, and the hours worked."""
    truth = happen(54, ("M-A", "M-B"), start="2026-01-04", weeks=30)
    run = truth.readings.sort_values(["machine", "date"])
    run = run.assign(run=run.groupby("machine")["hours"].diff().round(1)).dropna()
    rows = [["Fecha", "Máquina", "Inicio", "Fin", "Horas trabajadas"]]
    for n, r in enumerate(run.sort_values(["date", "machine"]).itertuples()):
        rows.append([f"{r.date:%d/%m/%Y}", r.machine, f"0{6 + n % 2}:00", "14:30", comma(r.run)])
    verb, place = (
        {"turn": "giro", "fit": "cambio"},
        at_places("labio delantero", "labio trasero", "cepillo izq.", "cepillo dcho."),
    )
    changes, meanings = said(
        truth.changes,
        lambda p, a, c, _: f"{verb[a]} {place[p]}" + (" (rotura)" if c == "damaged" else ""),
    )
    done = [["Fecha", "Máquina", "Observaciones"]]
    done += [[f"{r.date:%d/%m/%Y}", r.machine, r.phrase] for r in changes.itertuples()]
    paths = (text(folder / "turnos.csv", rows, ";"), text(folder / "taller.csv", done, ";"))
    readings = run[["machine", "date", "hours"]]
    return Kept(paths, readings, changes.drop(columns="hours"), meanings, from_zero=True)


def work_in_a_grid(folder: Path) -> Kept:
    """Weeks across with what was done in their cells; the meters in a grid of the same kind."""
    truth = happen(55, ("Nr 1", "Nr 2", "Nr 3"), start="2026-01-11", weeks=30)
    changes = truth.changes
    week = changes["date"] + pd.to_timedelta((6 - changes["date"].dt.day_of_week) % 7, "D")
    changes = changes.assign(date=week).drop_duplicates(["machine", "date"])
    verb = {"turn": "turned", "fit": "replaced"}
    changes, meanings = said(
        changes, lambda p, a, c, _: f"{p} {verb[a]}" + (" (split)" if c == "damaged" else "")
    )

    def weekly(table, value):
        labels = [f"Week {day.isocalendar()[1]}" for day in table["date"]]
        wide = grid(table.assign(week=labels).sort_values("date"), "machine", "week", value)
        rows = [
            [m, *(None if pd.isna(v) else v for v in values)] for m, *values in wide.itertuples()
        ]
        return [["Machine", *wide.columns], *rows]

    sheets = {"Meter 2026": weekly(truth.readings, "hours"), "Work 2026": weekly(changes, "phrase")}
    path = workbook(folder / "grids.xlsx", sheets)
    return Kept((path,), truth.readings, changes.drop(columns="hours"), meanings)


def pairs_of_columns(folder: Path) -> Kept:
    """Meter and work of each machine side by side under its merged name: it cannot be read."""
    names = ("GX-1", "GX-2")
    truth = happen(56, names, weeks=24)
    meters = truth.readings.pivot_table(index="date", columns="machine", values="hours")
    rows = [["Date", "GX-1", None, "GX-2", None], [None, "Meter", "Work", "Meter", "Work"]]
    for day, *hours in meters.itertuples():
        since = truth.changes[truth.changes["date"].between(day, day + pd.Timedelta(days=6))]
        work = [
            "; ".join(f"{r.position} {r.action}" for r in since.itertuples() if r.machine == name)
            for name in names
        ]
        rows.append([day.to_pydatetime(), hours[0], work[0] or None, hours[1], work[1] or None])
    path = workbook(folder / "pairs.xlsx", {"Book": rows}, [("Book", "B1:C1"), ("Book", "D1:E1")])
    return Kept((path,), truth.readings, truth.changes, serves=False)


def parts_fitted(folder: Path) -> Kept:
    """A list of new parts alone: which part, where and how many, and no word for what was done."""
    truth = happen(57, ("AX", "BX"), weeks=36)
    fits = truth.changes[truth.changes["action"] == "fit"].assign(cause="worn")
    rows = [["Date", "Machine", "Part fitted", "Qty"]]
    rows += [
        [r.date.to_pydatetime(), r.machine, r.position.capitalize(), 1] for r in fits.itertuples()
    ]
    meters = [["Date", "Machine", "Hour meter"]]
    meters += [[r.date.to_pydatetime(), r.machine, r.hours] for r in truth.readings.itertuples()]
    path = workbook(folder / "stores.xlsx", {"Issued": rows, "Meters": meters})
    phrases = {p.capitalize(): [(p, "fit", "")] for p in (*BLADES, "left brush", "right brush")}
    columns = {"Part fitted": "did"}
    changes = fits.drop(columns="hours")
    return Kept((path,), truth.readings, changes, phrases, columns=columns)
