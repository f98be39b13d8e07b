"""Writes ``sample_logs`` from `tests.sample_fleet`: ``python -m tests.sample_writing [FOLDER]``.

The same bytes each time. The tables are what a careful crew would have kept; ``messy/`` is the same
logbook before anyone looked through it (`tests.sample_faults`).
"""

import sys
from datetime import datetime
from pathlib import Path

import numpy as np
import pandas as pd
import xlsxwriter

from tests import fleets, sample_faults, sample_fleet
from tests.fleets import AS_OF, Fleet
from tests.sample_fleet import NEW, NOW, REPLACED, RETIRED, ROLLS, SILENT

REPLACED_ON = pd.Timestamp("2026-01-14")
SILENT_FROM = "2026-07-12"
AREA = {"Ferry Hall": 34, "Seed Library": 26, "Tram Barn": 31}
"""Measured area rate, m2 an hour and cm of width; the other sites give the width alone."""

# columns as in `_PART_COLUMNS`
PARTS = """
GUM-FRONT|front blade, gum rubber|blade|gum blade|4|7.40|4|0|10|2|Brack & Weir|90|||6
GUM-FRONT|front blade, gum rubber|blade|gum blade|4|6.60|4|0|10|2|Brack & Weir|90|24||6
GUM-REAR|rear blade, gum rubber|blade|gum blade|4|9.80|4|0|10|2|Brack & Weir|90|||8
GUM-REAR|rear blade, gum rubber|blade|gum blade|4|8.90|4|0|10|2|Brack & Weir|90|24||8
PU-FRONT|front blade, polyurethane|blade|pu blade|4|13.50|2|4|14|3|Brack & Weir|160|||6
PU-REAR|rear blade, polyurethane|blade|pu blade|4|17.20|2|4|14|3|Brack & Weir|160|||8
NYLON-BRUSH|brush, nylon|brush|nylon brush|1|58.00|1|0|28|7|Marram Brushes|400|||10
GRIT-BRUSH|brush, grit in nylon|brush|grit brush|1|84.00|1|2|28|7|Marram Brushes|300|||10
SCRUB-PAD|pad, scrub|pad|scrub pad|2|4.90|5|10|5|1|Slipway Supply|25|||3
SCRUB-PAD|pad, scrub|pad|scrub pad|2|4.30|5|10|5|1|Slipway Supply|25|100||3
SCRUB-PAD-THIN|pad, scrub, thin (old)|pad|scrub pad|2|4.10|5|0|5|1|Slipway Supply|25||SCRUB-PAD|3
POLISH-PAD|pad, polish|pad|polish pad|2|5.60|5|0|5|1|Slipway Supply|35|||3
STRIP-PAD|pad, strip|pad|strip pad|2|5.20|5|0|5|1|Slipway Supply||||3
SKIRT|side skirt|other|skirt|1|22.50|2|0|21|4|Brack & Weir||||12
FILTER|vacuum filter|other|filter|1|15.80|1|5|12|3|Slipway Supply|500|||4
"""
STOCK = """
GUM-FRONT|18|harbour
GUM-FRONT|9|hill
GUM-REAR|11|harbour
GUM-REAR|8|hill
PU-FRONT|6|harbour
PU-FRONT|12|hill
PU-REAR|9|harbour
PU-REAR|4|hill
NYLON-BRUSH|8|harbour
NYLON-BRUSH|6|hill
GRIT-BRUSH|14|harbour
GRIT-BRUSH|2|hill
SCRUB-PAD|30|harbour
SCRUB-PAD|45|hill
SCRUB-PAD-THIN|15|hill
POLISH-PAD|20|hill
STRIP-PAD|10|harbour
SKIRT|4|harbour
SKIRT|10|hill
FILTER|12|harbour
FILTER|40|hill
"""
ON_ORDER = """
NYLON-BRUSH|12|2026-11-16|hill
PU-FRONT|8|2026-11-09|harbour
SCRUB-PAD|50|2026-10-28|harbour
GRIT-BRUSH|6|2026-12-04|harbour
"""
SETTINGS = {
    "currency": "crowns",
    "service_level": "0.95",
    "review_weeks": "13",
    "price_growth": "0.03",
    "as_of": f"{AS_OF:%Y-%m-%d}",
    "dates": "day first",
    "lead_days": "14",
    "gather_days": "14",
    "closed_days": "2026-12-25 2026-12-28 2027-01-01",
    "speed_km_h": "4",
    "work_share": "0.55",
    "labour_rate": "31",
}


def tables(fleet: Fleet) -> dict[str, pd.DataFrame]:
    """The logbook as the crew kept it."""
    rng = np.random.default_rng([sample_fleet.SEED, 7])
    return {
        "machines": _machines(fleet),
        "readings": _readings(fleet, rng),
        "changes": _changes(fleet, rng),
        "floors": fleets.floors_table(fleet),
        "parts": _lines(PARTS, _PART_COLUMNS),
        "positions": _positions(fleet),
        "stock": _lines(STOCK, ["part", "on_hand", "depot"]).assign(
            counted=lambda stock: np.where(stock["depot"] == "hill", "2026-10-26", "2026-10-30")
        ),
        "on_order": _lines(ON_ORDER, ["part", "pieces", "due", "depot"]),
        "plans": _plans(fleet),
        "settings": pd.DataFrame(SETTINGS.items(), columns=["setting", "value"]),
    }


_PART_COLUMNS = [
    "part",
    "name",
    "kind",
    "wears_as",
    "edges",
    "price",
    "pack",
    "min_order",
    "lead_days",
    "lead_days_sd",
    "supplier",
    "usual_hours",
    "from_pieces",
    "replaced_by",
    "minutes",
]


def _lines(text, columns):
    return pd.DataFrame([line.split("|") for line in text.strip().splitlines()], columns=columns)


def _machines(fleet):
    """The machines and where they work; one is gone, one comes next month."""
    frame = fleets.machines_table(fleet)
    machines = fleet.machines
    area = machines["site"].map(AREA) * machines["width_cm"]
    deck = fleet.slots[fleet.slots["position"] == "deck"].set_index("machine")["wears_as"]
    frame.insert(3, "deck", np.where(deck.str.endswith("pad"), "pads", "brushes"))
    frame.insert(4, "width_cm", machines["width_cm"])
    frame.insert(5, "m2_per_hour", area.map("{:.0f}".format, na_action="ignore").fillna(""))
    age = np.arange(len(frame)) * 37 % 900
    old = pd.Series(fleets.dates(-7 * fleet.now - 100 - age))
    frame["in_service"] = old.where(machines["starts"] == 0, frame["in_service"])
    gone = f"{AS_OF + pd.Timedelta(days=7 * (sample_fleet.week_of('2026-02-15') - NOW)):%Y-%m-%d}"
    return frame.assign(retired=np.where(machines["machine"] == RETIRED, gone, ""))


def shown(fleet: Fleet, machine: np.ndarray, hours: np.ndarray) -> np.ndarray:
    """What the meters showed at these run hours: offsets, a roll-over, a replaced meter."""
    total = fleets.run_hours(fleet.weekly)
    names = fleet.machines["machine"].to_numpy()
    offset = 137.0 + 211.0 * (np.arange(len(names)) * 7 % 19) - total[:, fleet.warm]
    rolls, fresh = (np.flatnonzero(names == name)[0] for name in (ROLLS, REPLACED))
    offset[rolls] = 9999.9 - total[rolls, fleet.warm + 47]
    meter = (hours + offset[machine]) % 10000
    at = fleets.meter(fleet, np.array([fresh]), np.array([(REPLACED_ON - AS_OF).days]))[0]
    after = (machine == fresh) & (hours >= at - 1e-9)
    return np.where(after, hours - at + 0.4, meter).round(1)


def _readings(fleet, rng):
    """Weekly readings, one of them the first of a new meter."""
    frame = _still_written(fleet, fleets.readings_table(fleet, rng))
    extra = pd.DataFrame({"machine": [REPLACED], "date": [f"{REPLACED_ON:%Y-%m-%d}"]})
    frame = frame[frame["machine"].ne(REPLACED) | frame["date"].ne(extra["date"][0])]
    frame = pd.concat([frame.assign(new_meter=""), extra.assign(new_meter="yes")])
    machine = _number(fleet, frame["machine"])
    day = (pd.to_datetime(frame["date"]) - AS_OF).dt.days.to_numpy()
    frame["hours"] = shown(fleet, machine, fleets.meter(fleet, machine, day))
    frame = frame[["machine", "date", "hours", "new_meter"]]
    return frame.sort_values(["machine", "date"], ignore_index=True)


def _changes(fleet, rng):
    """The changes; about one blade in sixty was fitted without a line, some parts are not named."""
    frame = _still_written(fleet, fleets.changes_table(fleet, rng)).reset_index(drop=True)
    known = frame["hours"].ne("")
    run = pd.to_numeric(frame["hours"][known]).to_numpy()
    machine = _number(fleet, frame["machine"][known])
    frame.loc[known, "hours"] = [f"{hours:.1f}" for hours in shown(fleet, machine, run)]
    frame.loc[frame["action"].eq("turn") | (rng.random(len(frame)) < 0.03), "part"] = ""
    blade = frame["position"].str.endswith("blade") & frame["action"].eq("fit")
    return frame[~(blade & (rng.random(len(frame)) < 1 / 60))]


def _still_written(fleet, frame):
    """Without what nobody wrote: a silent machine's last months, a retired one's."""
    silent = frame["machine"].eq(SILENT) & (frame["date"] >= SILENT_FROM)
    retired = frame["machine"].eq(RETIRED) & (frame["date"] > "2026-02-14")
    return frame[~(silent | retired)]


def _number(fleet, names):
    return names.map(
        dict(zip(fleet.machines["machine"], fleet.machines.index, strict=True))
    ).to_numpy()


def _positions(fleet):
    return fleets.positions_table(fleet)[["machine", "position", "part", "pieces"]]


def _plans(fleet):
    """The school shut at the turn of the year, two trams' halls twice the hours, the newcomer."""
    machines = fleet.machines.set_index("machine")
    rows = [
        (name, sample_fleet.CLOSED[0], 0, sample_fleet.CLOSED[1])
        for name in machines.index[machines["site"] == "Pier School"]
    ]
    rows += [
        (name, start, round(2 * machines.loc[name, "level"], 1), "")
        for name, start in sample_fleet.DOUBLED.items()
    ]
    rows += [(NEW, fleets.dates([15])[0], machines.loc[NEW, "level"], "")]
    return pd.DataFrame(rows, columns=["machine", "start", "hours_per_week", "end"])


PROPOSAL = {
    "machines": """machine|site|m2_per_hour
SM-1|Salt Museum|2400
SM-2|Salt Museum|2400
SM-3|Salt Museum|1500
SM-4|Salt Museum|1500
SM-5|Salt Museum|3100""",
    "floors": """machine|floor|share|share_low|share_high
SM-1|terrazzo|0.8|0.7|0.9
SM-1|quarry tile|0.2|0.1|0.3
SM-2|terrazzo|1||
SM-3|vinyl|0.6|0.5|0.8
SM-3|terrazzo|0.4|0.2|0.5
SM-4|quarry tile|0.5|0.3|0.7
SM-4|smooth concrete|0.5|0.3|0.7
SM-5|broom concrete|0.7|0.5|0.8
SM-5|smooth concrete|0.3|0.2|0.5""",
    "positions": """machine|position|part|pieces
SM-1|front blade|PU-FRONT|1
SM-1|rear blade|PU-REAR|1
SM-1|deck|SCRUB-PAD|2
SM-1|vacuum filter|FILTER|1
SM-2|front blade|PU-FRONT|1
SM-2|rear blade|PU-REAR|1
SM-2|deck|SCRUB-PAD|2
SM-2|vacuum filter|FILTER|1
SM-3|front blade|GUM-FRONT|1
SM-3|rear blade|GUM-REAR|1
SM-3|deck|POLISH-PAD|2
SM-3|vacuum filter|FILTER|1
SM-4|front blade|GUM-FRONT|1
SM-4|rear blade|GUM-REAR|1
SM-4|deck|NYLON-BRUSH|2
SM-4|vacuum filter|FILTER|1
SM-5|front blade|PU-FRONT|1
SM-5|rear blade|PU-REAR|1
SM-5|deck|GRIT-BRUSH|2
SM-5|side skirts|SKIRT|2
SM-5|vacuum filter|FILTER|1""",
    "plans": """machine|start|hours_per_week|end
SM-1|2027-02-01|28|
SM-2|2027-02-01|28|
SM-3|2027-02-01|18|
SM-4|2027-02-01|14|
SM-5|2027-02-01|35|""",
}


def write_folder(frames: dict[str, pd.DataFrame], folder: Path) -> None:
    """One CSV a table."""
    folder.mkdir(parents=True, exist_ok=True)
    for name, frame in frames.items():
        frame.to_csv(folder / f"{name}.csv", index=False, lineterminator="\n")


def write_workbook(frames: dict[str, pd.DataFrame], path: Path) -> None:
    """One workbook, a sheet a table; numbers as numbers, dates as dates."""
    path.parent.mkdir(parents=True, exist_ok=True)
    with xlsxwriter.Workbook(path) as book:
        book.set_properties({"created": AS_OF.to_pydatetime(), "title": "sample logbook"})
        head, day = book.add_format({"bold": True}), book.add_format({"num_format": "yyyy-mm-dd"})
        for name, frame in frames.items():
            sheet = book.add_worksheet(name)
            sheet.freeze_panes(1, 0)
            sheet.set_column(0, len(frame.columns) - 1, 15)
            sheet.write_row(0, 0, list(frame.columns), head)
            for column, values in enumerate(frame.astype(object).to_numpy().T):
                for row, value in enumerate(values, start=1):
                    _write_cell(sheet, row, column, value, day)


def _write_cell(sheet, row, column, value, day):
    """A cell as a person's spreadsheet would hold it; blanks are left out."""
    text = str(value)
    if text in ("", "nan"):
        return
    if len(text) == 10 and text[4] == text[7] == "-":
        sheet.write_datetime(row, column, datetime.fromisoformat(text), day)
    elif text.replace(".", "", 1).isdigit():
        sheet.write_number(row, column, float(text))
    else:
        sheet.write_string(row, column, text)


def write_sample(folder: Path) -> None:
    """All of ``sample_logs`` but its README."""
    frames = tables(sample_fleet.build())
    write_folder(frames, folder)
    write_workbook(frames, folder / "workbook" / "logbook.xlsx")
    write_folder(sample_faults.messy(frames), folder / "messy")
    write_folder({name: _table(text) for name, text in PROPOSAL.items()}, folder / "proposal")


def _table(text):
    heading, *lines = text.splitlines()
    return _lines("\n".join(lines), heading.split("|"))


if __name__ == "__main__":
    write_sample(Path(sys.argv[1] if len(sys.argv) > 1 else "sample_logs"))
