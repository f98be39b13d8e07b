"""A small sound logbook as files, and what is told when something in it is changed."""

from collections.abc import Mapping
from pathlib import Path

from wearcast.logbook.book import Logbook, read_logbook
from wearcast.told import sentence

MACHINES = """\
machine,site,depot,width_cm,in_service,retired,since
M-014,North Hall,main,65,,,
M-015,North Hall,main,65,,,
M-022,South Hall,main,80,2025-11-03,,
"""
READINGS = """\
machine,date,hours,new_meter
M-014,2026-01-05,1204.5,
M-014,2026-01-19,1251.0,
M-014,2026-02-16,1318.0,
M-015,2026-01-05,310.0,
M-015,2026-01-19,342.5,
M-015,2026-02-16,402.0,
M-022,2026-01-05,88.5,
M-022,2026-01-19,131.0,
M-022,2026-02-16,214.0,
"""
CHANGES = """\
machine,date,position,action,part,cause,hours
M-014,2026-01-05,front blade,fit,GB-1,,1204.5
M-014,2026-01-21,front blade,turn,,worn,1257.5
M-014,2026-02-10,front blade,turn,,damaged,1306.0
M-015,2026-01-05,front blade,fit,GB-1,,
M-015,2026-02-02,front blade,turn,,worn,
M-022,2026-01-12,left brush,fit,BR-2,,
M-022,2026-02-09,left brush,fit,BR-2,worn,
"""
FLOORS = """\
machine,floor,share,since
M-014,vinyl,0.6,
M-014,quarry tile,0.4,
M-015,vinyl,1,
M-022,broomed concrete,100,
"""
PARTS = """\
part,name,kind,edges,price,pack,min_order,lead_days,supplier,usual_hours
GB-1,gum blade,blade,4,18.5,2,2,14,Northrubber,100
BR-2,nylon brush,brush,1,92,1,1,21,Bristlers,400
"""
POSITIONS = """\
machine,position,part,pieces
M-014,front blade,GB-1,1
M-015,front blade,GB-1,1
M-022,left brush,BR-2,2
"""
STOCK = """\
part,on_hand,depot,counted
GB-1,4,main,2026-02-12
BR-2,2,main,2026-02-12
"""
ON_ORDER = """\
part,pieces,due,depot
GB-1,6,2026-03-20,main
"""
PLANS = """\
machine,start,hours_per_week,end
M-015,2026-07-06,0,2026-08-16
"""
SETTINGS = """\
setting,value
currency,EUR
service_level,0.95
"""
SOUND: dict[str, str] = {
    "machines": MACHINES,
    "readings": READINGS,
    "changes": CHANGES,
    "floors": FLOORS,
    "parts": PARTS,
    "positions": POSITIONS,
    "stock": STOCK,
    "on_order": ON_ORDER,
    "plans": PLANS,
    "settings": SETTINGS,
}


def write_folder(folder: Path, tables: Mapping[str, str | bytes]) -> Path:
    """The tables as CSV files of a folder."""
    folder.mkdir(parents=True, exist_ok=True)
    for name, text in tables.items():
        content = text if isinstance(text, bytes) else text.encode()
        (folder / f"{name}.csv").write_bytes(content)
    return folder


def changed(table: str, old: str, new: str) -> dict[str, str]:
    """The sound logbook with one place in one table rewritten."""
    assert SOUND[table].count(old) >= 1, f"{old!r} does not stand in {table}"
    return {**SOUND, table: SOUND[table].replace(old, new)}


def told_of(book: Logbook) -> list[str]:
    """Every finding as a sentence, without the folder, heaviest first."""
    folders = {str(Path(source).parent) for source in book.sources}
    lines = [sentence(problem) for problem in book.told]
    for folder in folders:
        lines = [line.replace(f"{folder}/", "") for line in lines]
    return lines


def read_tables(folder: Path, tables: Mapping[str, str | bytes], **options: object) -> Logbook:
    """The tables written to a folder and read back as a logbook."""
    return read_logbook(write_folder(folder, tables), **options)  # type: ignore[arg-type]


def cases(text: str) -> dict[str, tuple[str, str, str, str]]:
    """Cases by name, each a table, what stands in it, what is written instead, and what is told.

    A line ``name | table | as it stands | as written`` (a line break as ``\\n``, a blank as
    ``nothing``), then what is told, further in, in as many lines as it takes.
    """
    found: dict[str, tuple[str, str, str, str]] = {}
    name = ""
    for line in text.strip("\n").split("\n"):
        if line.startswith("    "):
            *head, told = found[name]
            found[name] = (*head, f"{told} {line.strip(' ')}".lstrip(" ").replace("\\n", "\n"))
        else:
            name, table, *texts = line.split(" | ")
            old, new = ("" if one == "nothing" else one.replace("\\n", "\n") for one in texts)
            found[name] = (table, old, new, "")
    return found
