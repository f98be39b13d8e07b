"""Records of sites that write German, French, Spanish or Dutch."""

from pathlib import Path

import pandas as pd

from tests.studies.records.fleet import happen, with_work
from tests.studies.records.kept import Kept, at_places, comma, grid, said, text, workbook


def german_weeks(folder: Path) -> Kept:
    """Meters in a grid of calendar weeks, changes in a sheet of columns."""
    truth = happen(21, ("RM 1", "RM 2", "RM 5"), weeks=36)
    place = at_places("Lippe vorn", "Lippe hinten", "Bürste links", "Bürste rechts")
    verb, why = {"turn": "gewendet", "fit": "neu"}, {"worn": "verschlissen", "damaged": "gerissen"}
    weekly = truth.readings.assign(
        week=[f"KW {d.isocalendar()[1]}" for d in truth.readings["date"]]
    )
    wide = grid(weekly, "machine", "week", "hours")
    meters = [["Betriebsstunden 2026"], [], ["Maschine", *wide.columns]]
    meters += [[machine, *values] for machine, *values in wide.itertuples()]
    done = [["Maschine", "Datum", "Stelle", "Maßnahme", "Grund", "Zählerstand"]]
    done += [
        [
            r.machine,
            r.date.to_pydatetime(),
            place[r.position],
            verb[r.action],
            why[r.cause],
            r.hours,
        ]
        for r in truth.changes.itertuples()
    ]
    path = workbook(
        folder / "Reinigungsmaschinen 2026.xlsx", {"Zähler 2026": meters, "Wechsel": done}
    )
    words = {("position", v): k for k, v in place.items()}
    words |= {("action", v): k for k, v in verb.items()}
    words |= {("cause", v): k for k, v in why.items()}
    return Kept((path,), truth.readings, truth.changes, words=words, grain="W")


def german_log(folder: Path) -> Kept:
    """One log in German free text; decimal commas, dots in dates and as thousands."""
    truth = happen(22, ("4711", "4712", "4720"), weeks=32)
    place = at_places(
        ("vordere Lippe", "Lippe vorne", "vord. Sauglippe"),
        ("hintere Lippe", "Lippe hi.", "hint. Sauglippe"),
        ("linke Bürste", "Bürste li.", "Bürste links"),
        ("rechte Bürste", "Bürste re.", "Bürste rechts"),
    )
    verb = {"turn": ("gedreht", "gewendet"), "fit": ("erneuert", "gewechselt")}
    why = {"worn": (", abgenutzt", ""), "damaged": (", eingerissen", " (beschädigt)")}

    def phrase(position, action, cause, n):
        return f"{place[position][n % 3]} {verb[action][n // 3 % 2]}{why[cause][n // 2 % 2]}"

    changes, meanings = said(truth.changes, phrase)
    every = pd.concat([truth.readings.assign(phrase=""), changes])
    every = every.sort_values(["date", "machine"], kind="stable")
    rows = [["Datum", "Gerät", "Std.", "Arbeiten"]]
    rows += [
        [f"{r.date:%d.%m.%Y}", r.machine, comma(r.hours, "."), r.phrase] for r in every.itertuples()
    ]
    path = text(folder / "Wartungsbuch.csv", rows, ";", "cp1252")
    return Kept((path,), with_work(truth), changes, meanings)


def french(folder: Path) -> Kept:
    """A sheet of meters and one of interventions, in French."""
    truth = happen(23, ("AL-1", "AL-2", "AL-3"), weeks=34)
    place = at_places("lame avant", "lame arrière", "brosse gauche", "brosse droite")
    verb = {"turn": "retournée", "fit": "remplacée"}
    why = {"worn": " (usure)", "damaged": " (déchirée)"}

    def phrase(position, action, cause, n):
        return f"{place[position].capitalize()} {verb[action]}{why[cause]}"

    changes, meanings = said(truth.changes, phrase)
    meters = [["Relevés des compteurs"], ["Machine", "Date", "Compteur (h)"]]
    meters += [[r.machine, f"{r.date:%d/%m/%Y}", r.hours] for r in truth.readings.itertuples()]
    done = [["Date", "Machine", "Intervention", "Technicien"]]
    done += [[f"{r.date:%d/%m/%Y}", r.machine, r.phrase, "LM"] for r in changes.itertuples()]
    path = workbook(folder / "autolaveuses.xlsx", {"Relevés": meters, "Interventions": done})
    return Kept((path,), truth.readings, changes.drop(columns="hours"), meanings)


def spanish(folder: Path) -> Kept:
    """Two files in Spanish, with semicolons and decimal commas."""
    truth = happen(24, ("F1", "F2"), weeks=36)
    place = at_places("goma delantera", "goma trasera", "cepillo izquierdo", "cepillo derecho")
    verb, why = {"turn": "girada", "fit": "cambio"}, {"worn": "desgaste", "damaged": "rotura"}
    meters = [["Fecha", "Máquina", "Horómetro"]]
    meters += [
        [f"{r.date:%d-%m-%Y}", r.machine, comma(r.hours)] for r in truth.readings.itertuples()
    ]
    done = [["Fecha", "Máquina", "Pieza", "Trabajo", "Motivo"]]
    done += [
        [f"{r.date:%d-%m-%Y}", r.machine, place[r.position], verb[r.action], why[r.cause]]
        for r in truth.changes.itertuples()
    ]
    paths = (text(folder / "horas.csv", meters, ";"), text(folder / "cambios.csv", done, ";"))
    words = {("position", v): k for k, v in place.items()}
    words |= {("action", v): k for k, v in verb.items()}
    words |= {("cause", v): k for k, v in why.items()}
    changes = truth.changes.drop(columns="hours")
    return Kept(paths, truth.readings, changes, words=words, columns={"Pieza": "position"})


def dutch(folder: Path) -> Kept:
    """A tab a month in Dutch with a remark beside the meter."""
    truth = happen(25, ("Schrob 1", "Schrob 2"), weeks=36)
    place = at_places("voorste rubber", "achterste rubber", "linker borstel", "rechter borstel")
    verb, why = (
        {"turn": "gedraaid", "fit": "vervangen"},
        {"worn": "versleten", "damaged": "gescheurd"},
    )

    def phrase(position, action, cause, n):
        return f"{place[position]} {verb[action]}, {why[cause]}"

    changes, meanings = said(truth.changes, phrase)
    every = pd.concat([truth.readings.assign(phrase=None), changes])
    every = every.sort_values(["date", "machine"], kind="stable")
    months = ["jan", "feb", "mrt", "apr", "mei", "jun", "jul", "aug", "sep", "okt", "nov", "dec"]
    sheets = {}
    for month, rows in every.groupby(every["date"].dt.month):
        sheets[f"{months[month - 1]} 2026"] = [
            ["Datum", "Machine", "Urenteller", "Opmerking"],
            *([r.date.to_pydatetime(), r.machine, r.hours, r.phrase] for r in rows.itertuples()),
        ]
    path = workbook(folder / "schrobmachines.xlsx", sheets)
    return Kept((path,), with_work(truth), changes, meanings)


def month_grid(folder: Path) -> Kept:
    """Meters in a grid of month names, changes in a list by position."""
    truth = happen(26, ("K1", "K2", "K3"), start="2026-01-02", weeks=46)
    monthly = truth.readings.groupby(
        ["machine", truth.readings["date"].dt.to_period("M")], as_index=False
    ).last()
    monthly["month"] = monthly["date"].dt.strftime("%B")
    wide = grid(monthly.sort_values("date"), "machine", "month", "hours")
    meters = [["Meter at the end of the month, 2026"], ["Machine", *wide.columns]]
    meters += [[machine, *values] for machine, *values in wide.itertuples()]
    done = [["Machine", "Date", "Position", "Action", "Cause"]]
    done += [
        [r.machine, r.date.to_pydatetime(), r.position, r.action, r.cause]
        for r in truth.changes.itertuples()
    ]
    path = workbook(folder / "wharf.xlsx", {"Meters 2026": meters, "Changes": done})
    readings = monthly[["machine", "date", "hours"]]
    return Kept((path,), readings, truth.changes.drop(columns="hours"), grain="M")
